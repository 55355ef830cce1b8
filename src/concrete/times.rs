//! Least times before forms come away, where nobody has specified or tested anything. They inform;
//! whether they may release anything is the criteria pack's.
//!
//! Source: ACI 347 table, seen in print at concreteconstruction.net "When to strip forms", which
//! prints the two headings of live load against dead load the wrong way round; "Safe time to strip a
//! slab" in the same magazine has them right ("live load less than dead load … 10 to 20 ft … not
//! less than 7 days"). Times are at 10 °C (50 °F) and more, not necessarily in one stretch.

use serde::{Deserialize, Serialize};

/// What is formed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Formed {
    SlabSoffit,
    BeamSoffit,
    Arch,
    /// Pans of ribbed slabs up to 30 in wide, and wider.
    NarrowPans,
    WidePans,
}

const TEN_FEET: f64 = 3.048;
const TWENTY_FEET: f64 = 6.096;

/// Days at 10 °C and more before the forms come away. `span` in metres between supports;
/// `live_over_dead`: the structure's design live load is greater than its dead load;
/// `undisturbed`: the forms come off without disturbing the shores, which halves the time (for pans
/// it is what the table's time is for).
#[must_use]
pub fn days(formed: Formed, span: f64, live_over_dead: bool, undisturbed: bool) -> Option<f64> {
    if !span.is_finite() || span <= 0.0 {
        return None;
    }
    // Live load less than dead load, and more.
    let (less, more) = match (formed, span) {
        (Formed::SlabSoffit, s) if s < TEN_FEET => (4.0, 3.0),
        (Formed::SlabSoffit, s) if s <= TWENTY_FEET => (7.0, 4.0),
        (Formed::SlabSoffit, _) => (10.0, 7.0),
        (Formed::BeamSoffit, s) if s < TEN_FEET => (7.0, 4.0),
        (Formed::BeamSoffit, s) if s <= TWENTY_FEET => (14.0, 7.0),
        (Formed::BeamSoffit, _) => (21.0, 14.0),
        (Formed::Arch, _) => (14.0, 7.0),
        (Formed::NarrowPans, _) => return Some(3.0),
        (Formed::WidePans, _) => return Some(4.0),
    };
    let whole = if live_over_dead { more } else { less };
    Some(if undisturbed { 0.5 * whole } else { whole })
}
