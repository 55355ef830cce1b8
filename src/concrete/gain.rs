//! Strength by age as a share of the 28-day strength, and what share of its service load a young
//! slab may carry.

use serde::{Deserialize, Serialize};

/// How concrete gains strength when kept moist near 20 °C. A site in the cold is slower: maturity
/// is for that.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub enum Gain {
    /// ACI 209: t / (4 + 0.85 t) for type I cement, moist cured (from memory).
    Aci209,
    /// EN 1992-1-1 3.1.2: exp[s (1 − √(28/t))]; s is 0.20, 0.25 or 0.38 by class of cement (from
    /// memory).
    En1992 { s: f64 },
    /// Age in days and share, as the mix's own tests gave it. Rising in both; straight between the
    /// points, nothing before the first, no more after the last.
    Points(Vec<(f64, f64)>),
}

impl Gain {
    /// Share of the 28-day strength at an age in days, never more than 1: what concrete gains
    /// later is not counted on. Zero at no age and where the age is no number.
    #[must_use]
    pub fn share(&self, days: f64) -> f64 {
        if days.is_nan() || days <= 0.0 {
            return 0.0;
        }
        self.uncapped(days).clamp(0.0, 1.0)
    }

    /// The formula itself, beyond 28 days as well.
    #[must_use]
    pub fn uncapped(&self, days: f64) -> f64 {
        match self {
            Self::Aci209 => days / (4.0 + 0.85 * days),
            Self::En1992 { s } => (s * (1.0 - (28.0 / days).sqrt())).exp(),
            Self::Points(points) => between(points, days).unwrap_or(0.0),
        }
    }

    /// What is wrong with it, if anything.
    #[must_use]
    pub fn fault(&self) -> Option<String> {
        match self {
            Self::Aci209 => None,
            Self::En1992 { s } if s.is_finite() && (0.1..=0.6).contains(s) => None,
            Self::En1992 { s } => Some(format!(
                "s = {s} is no class of cement: EN 1992-1-1 3.1.2 has 0.20, 0.25 and 0.38"
            )),
            Self::Points(points) => {
                let good =
                    |p: &(f64, f64)| p.0.is_finite() && p.0 > 0.0 && (0.0..=1.5).contains(&p.1);
                if points.is_empty() {
                    Some("a curve of strength without a point".to_owned())
                } else if !points.iter().all(good) {
                    Some("a point of the curve is no age above zero with a share of the 28-day strength".to_owned())
                } else if points.windows(2).any(|w| w[1].0 <= w[0].0 || w[1].1 < w[0].1) {
                    Some("the curve of strength does not rise from point to point".to_owned())
                } else {
                    None
                }
            }
        }
    }
}

/// Straight between points that rise in x; the last value beyond them, nothing before the first.
pub(crate) fn between(points: &[(f64, f64)], x: f64) -> Option<f64> {
    let (first, last) = (points.first()?, points.last()?);
    if x.is_nan() || x < first.0 {
        return None;
    }
    if x >= last.0 {
        return Some(last.1);
    }
    let after = points.iter().position(|p| p.0 > x)?;
    let (a, b) = (points[after - 1], points[after]);
    Some(a.1 + (b.1 - a.1) * (x - a.0) / (b.0 - a.0))
}

/// Share of its service load that a slab may carry at a share of its strength: share^0.6, after
/// Sadgrove (CIRIA report 136; European Concrete Building Project; from memory). Never more than 1.
#[must_use]
pub fn sadgrove(share: f64) -> f64 {
    if share.is_nan() || share <= 0.0 { 0.0 } else { share.min(1.0).powf(0.6) }
}
