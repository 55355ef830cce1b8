//! The evidence on which a slab is let to carry itself.
//!
//! Two things are released, each at its own share of the specified strength, which the drawings
//! give: *strip*, the forms come down while posts stay tight under the slab; and *clear*, posts are
//! backed off or taken away. 29 CFR 1926.703(e)(1) takes two kinds of evidence: conditions stipulated
//! in plans and specifications, or a test; times alone are neither.

use super::log::Log;
use super::maturity::{nurse_saul, strength_at};
use serde::{Deserialize, Serialize};

/// How far a slab has been released.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Released {
    /// Nobody has shown that it carries anything.
    #[default]
    No,
    /// Forms may come down while posts stay tight under it.
    Strip,
    /// Posts may be backed off or taken away.
    Clear,
}

/// What the drawings ask for. Pascals and shares of the specified strength.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Criterion {
    pub specified: f64,
    pub strip: f64,
    pub clear: f64,
}

/// Evidence, reduced to numbers.
#[derive(Clone, Debug, PartialEq)]
pub enum Basis<'a> {
    /// Least strength of specimens kept with the slab, pascals.
    Test { strength: f64 },
    /// A temperature log with the mix's own curve, (°C·h, pascals), and its datum, °C.
    Maturity { log: &'a Log, curve: &'a [(f64, f64)], datum: f64 },
    /// The drawings' own condition, fulfilled and signed for.
    Specification { releases: Released },
    /// Days by a table of times.
    Age { days: f64, due_strip: Option<f64>, due_clear: Option<f64>, allowed: bool },
}

/// What the evidence shows.
#[derive(Clone, Debug, PartialEq)]
pub struct Determination {
    pub released: Released,
    /// Strength it shows, pascals; none where it shows none.
    pub strength: Option<f64>,
    /// Numbers and reasons in sentences.
    pub notes: Vec<String>,
}

/// Holds evidence against the criterion.
#[must_use]
pub fn determine(criterion: Option<Criterion>, basis: &Basis<'_>) -> Determination {
    let mut notes = Vec::new();
    let by_strength = |strength: Option<f64>, notes: &mut Vec<String>| {
        let (Some(strength), Some(c)) = (strength, criterion) else {
            if criterion.is_none() {
                notes.push(
                    "The slab states no strength that is due before it is stripped: nothing to hold the evidence against."
                        .to_owned(),
                );
            }
            return Released::No;
        };
        let reached = |share: f64| strength >= share * c.specified;
        notes.push(format!(
            "{} MPa shown; {} MPa due to strip, {} MPa to clear ({:.0} % and {:.0} % of {} MPa).",
            mega(strength),
            mega(c.strip * c.specified),
            mega(c.clear * c.specified),
            100.0 * c.strip,
            100.0 * c.clear,
            mega(c.specified),
        ));
        match (reached(c.strip), reached(c.clear)) {
            (true, true) => Released::Clear,
            (true, false) => Released::Strip,
            (false, _) => Released::No,
        }
    };
    let (released, strength) = match basis {
        Basis::Test { strength } => (by_strength(Some(*strength), &mut notes), Some(*strength)),
        Basis::Maturity { log, curve, datum } => {
            let factor = nurse_saul(log.stretches(), *datum);
            notes.push(format!(
                "{:.0} °C·h in {:.1} h after Nurse and Saul with a datum of {datum} °C; readings at most {:.1} h apart.",
                factor, log.hours(), log.longest_gap()
            ));
            let strength = strength_at(curve, factor);
            if strength.is_none() {
                notes.push(
                    "That is before the first point of the mix's curve: no strength is known."
                        .to_owned(),
                );
            }
            (by_strength(strength, &mut notes), strength)
        }
        Basis::Specification { releases } => {
            notes.push("The drawings' own condition, as signed for.".to_owned());
            (*releases, None)
        }
        Basis::Age { days, due_strip, due_clear, allowed } => {
            let told = |due: &Option<f64>| {
                due.map_or("an unknown number of".to_owned(), |d| d.to_string())
            };
            notes.push(format!(
                "{days} days at 10 °C and more; the table of ACI 347 asks for {} days to strip with shores undisturbed, {} to clear.",
                told(due_strip), told(due_clear)
            ));
            let past = |due: &Option<f64>| due.is_some_and(|d| *days >= d);
            if !allowed {
                notes.push(
                    "Times inform. The criteria pack asks for a specification or a test."
                        .to_owned(),
                );
            }
            let by_time = match (past(due_strip), past(due_clear)) {
                (_, true) => Released::Clear,
                (true, false) => Released::Strip,
                (false, false) => Released::No,
            };
            (if *allowed { by_time } else { Released::No }, None)
        }
    };
    Determination { released, strength, notes }
}

fn mega(pascals: f64) -> String {
    format!("{:.1}", pascals / 1e6)
}
