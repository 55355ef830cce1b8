//! The lanes of reserves and the band below them: what is drawn of a number, of a proof, of what is
//! unknown; and that on a long job nothing is left out.

use super::panels::{bench, state, state_of};
use egui_kittest::kittest::Queryable;
use standwell::review::{Known, Review};
use standwell::viewer::panels::lanes::{self, bins, less, marks};
use standwell::viewer::panels::strip::{self, Span, signed};
use standwell::viewer::state::grade_of_stage;
use standwell::viewer::theme::Grade;

fn lane() -> egui::Rect {
    egui::Rect::from_min_size(egui::pos2(0.0, 0.0), egui::vec2(300.0, 30.0))
}

/// The lane is 30 high and 3 at its top: a reserve of 1 lies at 20, one of 0.4 at 26.
#[test]
fn a_bound_is_open_a_lack_is_hatched_and_the_unknown_has_no_height() {
    let exact = marks(lane(), &Known::Exactly(2.0));
    assert_eq!((exact.filled, exact.open, exact.short), (Some(10.0), false, None));
    let bound = marks(lane(), &Known::AtLeast(1.0));
    assert_eq!((bound.filled, bound.open, bound.short), (Some(20.0), true, None));
    let lack = marks(lane(), &Known::Exactly(0.4));
    assert_eq!(lack.filled, lack.short);
    assert!((lack.short.unwrap() - 26.0).abs() < 1e-4);
    // Nothing is known of how far below: nothing is filled, all of it is missing.
    let below = marks(lane(), &Known::Below(1.0));
    assert_eq!((below.filled, below.short), (None, Some(30.0)));
    for unknown in [Known::Unknown("why".into()), Known::Exactly(f64::NAN)] {
        let m = marks(lane(), &unknown);
        assert!(m.unknown && m.filled.is_none() && m.short.is_none());
    }
    assert_eq!(marks(lane(), &Known::Nothing), lanes::Marks::default());
}

#[test]
fn of_two_the_less_is_kept_and_what_is_unknown_before_all() {
    let (exact, bound, below) = (Known::Exactly, Known::AtLeast, Known::Below);
    assert_eq!(less(exact(2.0), exact(0.5)), exact(0.5));
    // 2 exactly and at least 1.5: the least of both is at least 1.5.
    assert_eq!(less(exact(2.0), bound(1.5)), bound(1.5));
    assert_eq!(less(exact(1.2), bound(1.5)), exact(1.2));
    assert_eq!(less(below(1.0), exact(1.4)), below(1.0));
    assert_eq!(less(below(1.0), exact(0.0)), exact(0.0));
    assert_eq!(less(below(1.0), bound(4.0)), below(1.0));
    assert_eq!(less(Known::Nothing, bound(4.0)), bound(4.0));
    for other in [exact(0.0), below(1.0), Known::Nothing] {
        assert!(less(Known::Unknown("why".into()), other.clone()).is_unknown());
        assert!(less(other, Known::Unknown("why".into())).is_unknown());
    }
    assert!(less(exact(f64::NAN), exact(1.0)).is_unknown());
}

/// As many stages as are wanted, by repeating those of a review.
fn long(count: usize) -> Review {
    let mut review = (*state().review.unwrap()).clone();
    let (stages, summaries) = (review.sequence.stages.clone(), review.summaries.clone());
    review.sequence.stages = (0..count).map(|i| stages[i % stages.len()].clone()).collect();
    review.summaries = (0..count).map(|i| summaries[i % summaries.len()].clone()).collect();
    review
}

/// Ten thousand stages on a thousand points: one stage alone is unknown, one alone short of its
/// limit, and both are seen.
#[test]
fn on_a_long_job_the_worst_of_each_bin_is_drawn() {
    let mut review = long(10_000);
    for summary in &mut review.summaries {
        summary.reserves.push.known = Known::AtLeast(2.0);
        summary.worst = None;
        summary.unknown = false;
    }
    review.summaries[4_321].reserves.push.known = Known::Exactly(0.3);
    review.summaries[7_777].reserves.push.known = Known::Unknown("why".into());
    review.summaries[4_321].worst = Some(standwell::findings::Severity::Stop);
    let all = bins(&review, Span::all(10_000), 1000.0);
    assert!(all.len() <= 250, "{} bins", all.len());
    assert!(all.windows(2).all(|p| p[0].to == p[1].from));
    assert_eq!((all[0].from, all[all.len() - 1].to), (0, 10_000));
    let of = |stage: usize| all.iter().find(|b| (b.from..b.to).contains(&stage)).unwrap();
    assert_eq!(of(4_321).least[1], Known::Exactly(0.3));
    assert_eq!(of(4_321).grade, Some(Grade::Stop));
    assert!(of(7_777).least[1].is_unknown());
    assert_eq!(of(100).least[1], Known::AtLeast(2.0));
    // With room for each, every stage is a bin of its own.
    let close = bins(&review, Span { from: 4_300.0, to: 4_350.0 }, 1000.0);
    assert_eq!(close.len(), 50);
    assert!(close.iter().all(|b| b.to == b.from + 1));
}

/// Signs over the band do not lie on one another, and each is at least as bad as what it covers.
#[test]
fn signs_over_the_band_keep_apart_and_hide_nothing_worse() {
    let review = long(3_000);
    for width in [300.0, 900.0, 1400.0, 60_000.0] {
        let span = Span::all(3_000);
        let all = bins(&review, span, width);
        let x = |stage: usize| stage as f32 * width / 3_000.0;
        let signs = signed(&all, x, 15.0);
        assert!(!signs.is_empty());
        let middle = |s: &(usize, usize, Grade)| (x(s.0) + x(s.1)) * 0.5;
        assert!(signs.windows(2).all(|p| middle(&p[1]) - middle(&p[0]) >= 15.0), "{width}");
        for stage in 0..3_000 {
            let Some(grade) = grade_of_stage(&review, stage).filter(|g| *g > Grade::Note) else {
                continue;
            };
            let over = signs.iter().find(|s| (s.0..s.1).contains(&stage));
            assert!(
                over.is_some_and(|s| s.2 >= grade),
                "{width}: stage {stage} {grade:?} {over:?}"
            );
        }
    }
}

#[test]
fn a_closer_look_keeps_the_stage_under_the_pointer_and_stays_within_the_job() {
    let span = Span::all(1_000).closer(4.0, 300.0, 1_000);
    assert!((span.to - span.from - 250.0).abs() < 1e-9);
    assert!(((300.0 - span.from) / 250.0 - 0.3).abs() < 1e-9);
    assert_eq!(span.closer(1e-6, 300.0, 1_000), Span::all(1_000));
    let edge = Span::all(1_000).closer(1e9, 0.0, 1_000);
    assert!(edge.from == 0.0 && (edge.to - 8.0).abs() < 1e-9, "{edge:?}");
    let moved = span.with(990, 1_000);
    assert!(moved.from <= 990.0 && moved.to >= 991.0 && moved.to <= 1_000.0);
    assert_eq!(span.with(300, 1_000), span);
    assert_eq!(Span::all(3).closer(100.0, 1.0, 3), Span::all(3));
}

/// The proven bracket is said in words beside its lane.
#[test]
fn the_lane_says_what_is_proven_at_the_stage() {
    let text = standwell::cli::shipped::find("sound-floor").unwrap().text;
    let mut s = state_of(text);
    let review = s.review.clone().unwrap();
    let proven = |r: &Review, i: usize| {
        let critical = &r.summaries[i].reserves.critical;
        matches!(critical.known, Known::AtLeast(_)).then_some(critical.required)
    };
    let stage = (0..review.summaries.len()).find(|&i| proven(&review, i).is_some()).unwrap();
    s.stage = stage;
    let Known::AtLeast(share) = review.summaries[stage].reserves.critical.known else { panic!() };
    let factor = s.units.ratio(share * review.summaries[stage].reserves.critical.required);
    let harness = bench(s, strip::ui, [1100.0, strip::HEIGHT]);
    let words = format!("at least {factor}");
    assert!(harness.query_all_by_label_contains(&words).next().is_some(), "{words}");
}
