//! What a slab carries at its age, in bending and in punching. SI units: pascals, metres, newtons.
//!
//! The formulas are from memory and to be checked against the documents: ACI 318-19 22.2, 22.6.5;
//! EN 1992-1-1 6.1, 6.4.4 with recommended values. They know nothing of openings, of edge columns, of
//! moments passed to columns beyond the factor stated, or of post-tensioning.

/// Which document's formulas count.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Code {
    Aci318,
    En1992,
}

/// A strip of slab in bending.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bending {
    /// To the middle of the tension steel, metres.
    pub depth: f64,
    /// Area of steel per width, m²/m.
    pub steel: f64,
    /// Its yield stress, pascals.
    pub fy: f64,
    /// Moment per width is `coefficient · load · span²`.
    pub coefficient: f64,
    pub span: f64,
}

/// A column under a flat slab.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Punching {
    pub depth: f64,
    /// Sides of the column, metres.
    pub column: (f64, f64),
    /// Floor area it carries, m².
    pub area: f64,
    /// Tension steel over the column as a share of the section (EN 1992 counts it).
    pub ratio: f64,
}

/// Largest share of the depth that the stress block may take before the steel may not yield first:
/// 0.375 of the depth to the neutral axis times the least β1 of 0.65 (ACI 318-19 21.2.2, 22.2.2.4.3).
const BLOCK: f64 = 0.375 * 0.65;

/// Design moment per width, N·m/m, with the strength reduction or partial factors in it.
#[must_use]
pub fn bending_moment(code: Code, s: &Bending, strength: f64) -> f64 {
    if !positive(&[s.depth, s.steel, s.fy, strength]) {
        return 0.0;
    }
    let (stress, yields, reduction) = match code {
        Code::Aci318 => (0.85 * strength, s.fy, 0.9),
        Code::En1992 => (strength / 1.5, s.fy / 1.15, 1.0),
    };
    let block = (s.steel * yields / stress).min(BLOCK * s.depth);
    reduction * stress * block * (s.depth - 0.5 * block)
}

/// Design punching resistance of the concrete at an inside column, newtons.
#[must_use]
pub fn punching_force(code: Code, p: &Punching, strength: f64) -> f64 {
    let (c1, c2) = p.column;
    if !positive(&[p.depth, c1, c2, strength]) {
        return 0.0;
    }
    let mega = strength / 1e6;
    match code {
        Code::Aci318 => {
            let around = 2.0 * (c1 + c2 + 2.0 * p.depth);
            let long = c1.max(c2) / c1.min(c2);
            let size = (2.0 / (1.0 + p.depth / 0.254)).sqrt().min(1.0);
            let v = (0.33f64)
                .min(0.17 * (1.0 + 2.0 / long))
                .min(0.083 * (2.0 + 40.0 * p.depth / around));
            0.75 * v * size * mega.sqrt() * 1e6 * around * p.depth
        }
        Code::En1992 => {
            let around = 2.0 * (c1 + c2) + 4.0 * std::f64::consts::PI * p.depth;
            let k = (1.0 + (0.2 / p.depth).sqrt()).min(2.0);
            let ratio = p.ratio.clamp(0.0, 0.02);
            let v =
                (0.12 * k * (100.0 * ratio * mega).cbrt()).max(0.035 * k.powf(1.5) * mega.sqrt());
            // Inside columns: 1.15 for moments passed to them (6.4.3(6)).
            v * 1e6 * around * p.depth / 1.15
        }
    }
}

/// Area load that the strip carries, pascals, all of it raised by `factor`.
#[must_use]
pub fn bending_load(code: Code, s: &Bending, strength: f64, factor: f64) -> f64 {
    if !positive(&[s.coefficient, s.span, factor]) {
        return 0.0;
    }
    bending_moment(code, s, strength) / (factor * s.coefficient * s.span * s.span)
}

/// Area load that the column carries, pascals, all of it raised by `factor`. The load inside the
/// perimeter is not taken off.
#[must_use]
pub fn punching_load(code: Code, p: &Punching, strength: f64, factor: f64) -> f64 {
    if !positive(&[p.area, factor]) {
        return 0.0;
    }
    punching_force(code, p, strength) / (factor * p.area)
}

fn positive(values: &[f64]) -> bool {
    values.iter().all(|v| v.is_finite() && *v > 0.0)
}
