//! What is drawn and what is not; dimension strings; the lines of reserves; measuring.

use super::panels::{bench, state, state_of};
use egui_kittest::kittest::Queryable;
use standwell::review::Known;
use standwell::units::UnitSystem;
use standwell::viewer::dimensions::spans;
use standwell::viewer::panels::{history, shown, strip};
use standwell::viewer::shown::{Cut, Drawn, Kind, Shown};
use standwell::viewer::stage_paint::{Paint, leave_out, paint};
use standwell::viewer::vocab::Intent;

#[test]
fn kinds_are_hidden_and_faded_and_a_box_cuts() {
    let mut s = state();
    s.act(&Intent::GoToStage(s.last_stage()));
    let review = s.review.clone().unwrap();
    let all = paint(&review, s.stage, None);
    let with = |shown: &Shown| {
        let mut paints = all.clone();
        leave_out(&review, shown, &mut paints);
        paints
    };
    assert_eq!(with(&s.shown), all);
    let mut shown = s.shown.clone();
    shown.kinds[Kind::Posts as usize] = Drawn::Not;
    let hidden = with(&shown);
    for (member, paint) in review.assembly.members.iter().zip(&hidden) {
        assert_eq!(member.is_post(), *paint == Paint::NOTHING && all[member.id.index()] != *paint);
    }
    // The upper half: posts have their middle in the lower, ledgers at the top.
    let mut cut = s.shown.clone();
    cut.cut = Cut { low: [0.0, 0.0, 0.6], ..Cut::default() };
    for member in &review.assembly.members {
        let high = nalgebra::center(&member.ends[0], &member.ends[1]).z > 1.8;
        assert_eq!(cut.of(member) == Drawn::Full, high, "{}", member.name);
    }
    // The full box holds everything, its corners too.
    assert!(review.assembly.members.iter().all(|m| s.shown.of(m) == Drawn::Full));
}

#[test]
fn the_menu_hides_a_kind() {
    let mut harness = bench(state(), shown::ui, [400.0, 500.0]);
    harness.get_by_label("deck sheets hidden").click();
    harness.run_steps(2);
    let sent = harness.state().out.iter().find_map(|i| match i {
        Intent::Shown(shown) => Some(shown.kind(Kind::Sheets)),
        _ => None,
    });
    assert_eq!(sent, Some(Drawn::Not));
}

/// As on a drawing: each bay where there is room, equal ones together where there is not.
#[test]
fn bays_are_written_one_by_one_or_together() {
    let at = [0.0, 2.0, 4.0, 6.0, 7.5];
    let texts = |room: usize| -> Vec<(usize, usize, String)> {
        let fits = |from: usize, to: usize, _: &str| (to - from) * room >= 10;
        spans(&at, UnitSystem::Metres, &fits).into_iter().map(|s| (s.from, s.to, s.text)).collect()
    };
    assert_eq!(texts(10).len(), 4);
    assert_eq!(texts(10)[3], (3, 4, "1.500 m".to_owned()));
    assert_eq!(texts(5), [(0, 3, "3 × 2.000 m".to_owned())]);
    assert!(texts(1).is_empty());
}

#[test]
fn a_kind_of_reserve_is_switched_off_in_the_strip() {
    let mut harness = bench(state(), strip::ui, [1100.0, strip::HEIGHT]);
    harness.get_by_label("post").click();
    harness.run_steps(2);
    assert!(harness.state().out.contains(&Intent::Reserve(2, false)));
}

/// Against the review's own numbers for the same post.
#[test]
fn the_history_of_a_post_is_that_of_the_stages() {
    let text = standwell::cli::shipped::find("slab-edge").unwrap().text;
    let s = state_of(text);
    let review = s.review.clone().unwrap();
    let last = review.stages.len() - 1;
    let worst = &review.summaries[last].reserves.post;
    let id = review.assembly.find(&worst.member).unwrap();
    let history = history::of_member(&review, id);
    let Known::Exactly(least) = worst.known else { panic!("{worst:?}") };
    assert!((history[last].unwrap() - least).abs() < 1e-5 * least);
    assert_eq!(history.len(), review.stages.len());
    assert!(history[0].is_none() || review.sequence.stages[0].stands(id));
}

#[test]
fn two_ends_are_measured_and_a_third_begins_anew() {
    let mut s = state();
    let member = s.review.as_ref().unwrap().assembly.members[0].clone();
    s.act(&Intent::MeasureAt(member.ends[0]));
    assert_eq!(s.measure, None, "not asked for");
    s.act(&Intent::Measure(true));
    s.act(&Intent::MeasureAt(member.ends[0]));
    s.act(&Intent::MeasureAt(member.ends[1]));
    assert_eq!(s.measure.as_ref().unwrap().len(), 2);
    s.act(&Intent::MeasureAt(member.ends[1]));
    assert_eq!(s.measure.as_ref().unwrap().len(), 1);
    s.act(&Intent::Measure(false));
    assert_eq!(s.measure, None);
}
