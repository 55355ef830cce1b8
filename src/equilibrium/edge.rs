//! Who stands on an overhang, and what rail and walkway add.

use crate::criteria::Pack;

/// Height of the guard rail above the walkway, metres.
/// Source: 29 CFR 1926.502(b)(1), top edge 42 in ± 3 in (from memory).
pub const RAIL_HEIGHT: f64 = 1.07;

/// Distance between two people at work, metres: 18 in.
/// Source: 29 CFR 1926 Subpart L Appendix A, two persons 18 in either side of the middle (from
/// memory); taken as the closest two of them stand.
pub const PEOPLE_APART: f64 = 0.46;

/// Moment of the pack's workers at the tip, and words for where they stand.
///
/// The first stands at the tip, the others behind him as close as people work. On a deck they may
/// stand beside him instead: then this member takes a share by the spacing to its neighbour.
pub(super) fn workers(pack: &Pack, overhang: f64, beside: Option<f64>) -> (f64, Vec<f64>) {
    let weight = pack.worker_weight.value.si();
    let count = pack.workers_on_overhang.value;
    let behind: Vec<f64> = (0..count)
        .map(|k| overhang - PEOPLE_APART * f64::from(k))
        .take_while(|&arm| arm > 0.0)
        .collect();
    let abreast: Vec<f64> = match beside.filter(|&s| s > 0.0) {
        Some(spacing) => (0..count)
            .map(|k| {
                // One to the left, one to the right of the first, and so on.
                let aside = PEOPLE_APART * f64::from(k.div_ceil(2));
                overhang * (1.0 - aside / spacing).max(0.0)
            })
            .filter(|&arm| arm > 0.0)
            .collect(),
        None => Vec::new(),
    };
    let sum = |arms: &[f64]| weight * arms.iter().sum::<f64>();
    if sum(&abreast) > sum(&behind) { (sum(&abreast), abreast) } else { (sum(&behind), behind) }
}
