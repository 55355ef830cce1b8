//! Reserves: the kinds agree with the one least reserve, and bounds are kept as bounds.

use super::reviewed;
use crate::changes::shipped;
use standwell::review::{Known, critical_factor};

/// The least reserve of a stage's summary is worked out from the same answers in another place.
#[test]
fn none_lies_below_the_least_reserve() {
    for name in ["faulty-floor", "slab-edge", "tall-lobby"] {
        let review = reviewed(&shipped(name));
        let mut numbers = 0;
        for (stage, s) in review.sequence.stages.iter().zip(&review.summaries) {
            let exact = s.reserves.kinds().into_iter().filter_map(|(_, of)| match of.known {
                Known::Exactly(value) if value.is_finite() => Some(value),
                _ => None,
            });
            let least = exact.min_by(f64::total_cmp);
            if let (Some(least), Some(reserve), false) = (least, s.reserve, s.reserve_at_least) {
                numbers += 1;
                let off = (least - reserve).abs();
                assert!(off <= 1e-9 * reserve.max(1.0), "{name} {}: {least} {reserve}", stage.step);
            }
        }
        assert!(numbers > 5, "{name}: {numbers}");
    }
}

/// Capacity over load of a post, from the stage's own loads and the part's table row.
#[test]
fn a_posts_reserve_is_its_table_row_over_its_load() {
    let review = reviewed(&shipped("sound-floor"));
    let last = review.stages.len() - 1;
    let posts = &review.summaries[last].reserves.posts;
    assert!(!posts.is_empty());
    for &(id, reserve) in posts {
        let member = review.assembly.member(id);
        let part = &review.assembly.library.posts[&member.part];
        let row = part.capacity.rows.iter().find(|(h, _)| h.si() >= member.length() - 1e-6);
        let load = review.stages[last].loads.at_foot[id.index()];
        let most = row.unwrap().1.si() / load;
        // The frame's own axial force may be greater than the load taken down, never less.
        assert!(f64::from(reserve) <= most * (1.0 + 1e-6), "{}: {reserve} {most}", member.name);
    }
}

/// Where something moves freely the critical factor is nothing to rely on.
#[test]
fn a_mechanism_has_no_reserve() {
    let review = reviewed(&shipped("faulty-floor"));
    let moving: Vec<usize> = (0..review.stages.len())
        .filter(|&i| !review.stages[i].mechanics.mechanisms.is_empty())
        .collect();
    assert!(!moving.is_empty());
    for i in moving {
        assert_eq!(review.summaries[i].reserves.critical.known, Known::Exactly(0.0));
    }
}

/// The bracket and the number found when a stage is looked at do not contradict one another.
#[test]
fn the_actual_factor_lies_above_what_was_proven() {
    let review = reviewed(&shipped("starter-tower"));
    let last = review.stages.len() - 1;
    let proven = &review.summaries[last].reserves.critical;
    let Known::AtLeast(share) = proven.known else { panic!("{proven:?}") };
    assert!((share - 1.0).abs() < 1e-12);
    let stage = &review.sequence.stages[last];
    match critical_factor(&review.assembly, &review.pack, stage) {
        Known::Exactly(factor) => {
            assert!(factor > proven.required, "{factor}");
            // Held against the proof at a factor just below and just above.
            let at = |required: f64| {
                let mut pack = review.pack.clone();
                pack.critical_factor.value = required;
                standwell::review::judge_one(&review.assembly, &pack, stage).mechanics.critical
            };
            assert_eq!(at(factor * 0.999), standwell::mechanics::Verdict::Met);
            assert_eq!(at(factor * 1.001), standwell::mechanics::Verdict::NotMet);
        }
        other => panic!("{other:?}"),
    }
}
