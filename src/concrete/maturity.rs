//! Maturity: what temperature over time has done to concrete (ASTM C1074, from memory).

use super::gain::between;

/// Kelvins at 0 °C.
const ICE: f64 = 273.15;

/// Nurse–Saul temperature–time factor, °C·h: the sum of (Ta − T0)·Δt over stretches of mean
/// temperature `Ta` °C and length `Δt` hours. Concrete below the datum gains nothing and loses
/// nothing.
///
/// Source: ASTM C1074; the datum temperature is "subtracted from the measured concrete temperature"
/// (seen in print in C1074-98). The datum is the mix's own; 0 °C and −10 °C are both in use.
pub fn nurse_saul(stretches: impl IntoIterator<Item = (f64, f64)>, datum: f64) -> f64 {
    stretches.into_iter().map(|(mean, hours)| (mean - datum).max(0.0) * hours).sum()
}

/// Hours at a constant temperature that give the same temperature–time factor. None where the
/// temperature is not above the datum.
#[must_use]
pub fn hours_at(factor: f64, datum: f64, temperature: f64) -> Option<f64> {
    (temperature > datum).then(|| factor / (temperature - datum))
}

/// Equivalent age at a reference temperature, hours: the sum of exp[−Q (1/Ta − 1/Ts)]·Δt with
/// kelvins inside and `q` in kelvins (activation energy over the gas constant; about 5000 K for
/// plain type I cement). Source: ASTM C1074, from memory.
pub fn equivalent_age(
    stretches: impl IntoIterator<Item = (f64, f64)>,
    q: f64,
    reference: f64,
) -> f64 {
    stretches
        .into_iter()
        .map(|(mean, hours)| (-q * (1.0 / (mean + ICE) - 1.0 / (reference + ICE))).exp() * hours)
        .sum()
}

/// Strength in pascals that a mix's own curve, (temperature–time factor in °C·h, pascals), gives.
///
/// Straight between the tested points; the last tested strength beyond them, since nothing was
/// tested there; none before the first.
#[must_use]
pub fn strength_at(curve: &[(f64, f64)], factor: f64) -> Option<f64> {
    between(curve, factor)
}
