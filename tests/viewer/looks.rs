//! What is drawn and what is not; dimension strings; the lines of reserves; measuring.

use super::panels::{bench, state, state_of};
use egui_kittest::kittest::Queryable;
use standwell::review::Known;
use standwell::units::UnitSystem;
use standwell::viewer::dimensions::spans;
use standwell::viewer::histories;
use standwell::viewer::panels::{history, shown, strip};
use standwell::viewer::shown::{Cut, Drawn, Kind, Shown};
use standwell::viewer::stage_paint::{Paint, leave_out, paint};
use standwell::viewer::vocab::{Intent, Item};

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

/// Against the review's own numbers: of a post no more than its capacity over its load, of a beam that
/// tips what the finding has measured.
#[test]
fn the_history_of_a_member_is_that_of_the_stages() {
    let text = standwell::cli::shipped::find("slab-edge").unwrap().text;
    let s = state_of(text);
    let review = s.review.clone().unwrap();
    let last = review.stages.len() - 1;
    let worst = &review.summaries[last].reserves.post;
    let id = review.assembly.find(&worst.member).unwrap();
    let history = histories::of_member(&review, id);
    assert_eq!(history.len(), review.stages.len());
    let mut alike = 0;
    for (stage, known) in history.iter().enumerate() {
        let own = review.summaries[stage].reserves.posts.iter().find(|(post, _)| *post == id);
        let (Some((_, own)), Known::Exactly(least)) = (own, known) else {
            assert!(own.is_none() || known.is_unknown(), "stage {stage}: {own:?} and {known:?}");
            continue;
        };
        let own = f64::from(*own);
        assert!(*least <= own * (1.0 + 1e-5), "stage {stage}: {least} and {own}");
        alike += usize::from((least - own).abs() <= 1e-5 * own);
    }
    assert!(alike > 0, "its capacity is what counts at some stage");
    assert!(history[0] == Known::Nothing || review.sequence.stages[0].stands(id));
    let tips = review.stages.iter().enumerate().find_map(|(stage, judged)| {
        let worst = |t: &&standwell::equilibrium::Tipping| t.factor < t.required;
        Some((stage, judged.equilibrium.tipping.iter().find(worst)?.clone()))
    });
    if let Some((stage, tips)) = tips {
        let history = histories::of_member(&review, tips.member);
        let Known::Exactly(least) = history[stage] else { panic!("{:?}", history[stage]) };
        assert!(least <= tips.factor / tips.required + 1e-9);
    }
}

#[test]
fn what_is_not_known_of_a_member_is_said_with_its_plot() {
    let known = [
        Known::Nothing,
        Known::Exactly(2.5),
        Known::Unknown("post-9 does not state its data".to_owned()),
        Known::Exactly(f64::INFINITY),
    ];
    let said = |now: usize| history::words(&known, now, |r| format!("{r:.2}"));
    assert!(said(0).starts_with("nothing to judge now; least 2.50 at stage 1"), "{}", said(0));
    assert!(said(2).starts_with("now unknown: post-9 does not state"), "{}", said(2));
    assert!(said(1).contains("now 2.50") && said(1).contains("unknown at 1 stage;"));
    assert!(said(3).starts_with("no demand now"));
}

/// Chosen in the window, its plot is there a moment later.
#[test]
fn a_chosen_members_history_is_worked_out() {
    let mut app = super::plugin::showing(super::site::review(3, 2));
    let id = super::plugin::state(&app).review.as_ref().unwrap().assembly.members[0].id;
    app.world_mut().write_message(Intent::Choose(Some(Item::Member(id))));
    super::plugin::wait(&mut app, "the history", |a| {
        super::plugin::state(a).history.as_ref().is_some_and(|h| h.member == id)
    });
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
