//! The see-saw: moments about the last support.
//!
//! For a ledger of back span L and overhang a, uniform weight w, a weight P at the tip, and a back
//! end that is free to lift: overturning w·a²/2 + P·a, stabilising w·L²/2. Source: moments about the
//! outer support, any textbook of statics.

use crate::loads::beam::Piece;

/// Moments about a support, newton metres. Both count positive.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Balance {
    pub overturning: f64,
    pub stabilising: f64,
}

impl Balance {
    /// Stabilising over overturning; infinite where nothing overturns.
    #[must_use]
    pub fn factor(self) -> f64 {
        if self.overturning > 0.0 { self.stabilising / self.overturning } else { f64::INFINITY }
    }
    /// The same with more on the overturning side, and with a hold-down.
    #[must_use]
    pub fn with(self, overturning: f64, held: f64) -> Self {
        Self { overturning: self.overturning + overturning, stabilising: self.stabilising + held }
    }
    /// Pull at a lever behind the support that brings the factor to a required one.
    #[must_use]
    pub fn hold_down(self, lever: f64, required: f64) -> f64 {
        let short = required * self.overturning - self.stabilising;
        if short <= 0.0 {
            0.0
        } else if lever > 0.0 {
            short / lever
        } else {
            f64::INFINITY
        }
    }
}

/// Moments of loads about a support; `outward` is 1 where the overhang lies at greater stations, −1
/// where it lies at smaller ones. What lies across the support is cut there.
///
/// A load that pulls up never helps on the overhang; behind the support it counts against.
#[must_use]
pub fn balance(loads: &[Piece], fulcrum: f64, outward: f64) -> Balance {
    let mut out = Balance::default();
    let mut add = |lever: f64, force: f64| {
        if lever > 0.0 {
            out.overturning += (force * lever).max(0.0);
        } else {
            out.stabilising -= force * lever;
        }
    };
    for load in loads {
        let (from, to) = (load.from.min(load.to), load.from.max(load.to));
        let even = (load.centre - 0.5 * (from + to)).abs() < 1e-9;
        if from < fulcrum && to > fulcrum && even {
            let share = (to - fulcrum) / (to - from);
            add(outward * 0.5 * (to - fulcrum), load.force * share);
            add(outward * 0.5 * (from - fulcrum), load.force * (1.0 - share));
        } else {
            add(outward * (load.centre - fulcrum), load.force);
        }
    }
    out
}

/// The factor of the plain case: back span, overhang, weight per length, weight at the tip.
#[must_use]
pub fn tipping_factor(back_span: f64, overhang: f64, weight: f64, at_tip: f64) -> f64 {
    plain(back_span, overhang, weight, at_tip).factor()
}

/// The moments of the plain case.
#[must_use]
pub fn plain(back_span: f64, overhang: f64, weight: f64, at_tip: f64) -> Balance {
    let length = back_span + overhang;
    let loads = [
        Piece { from: 0.0, to: length, force: weight * length, centre: 0.5 * length },
        Piece { from: length, to: length, force: at_tip, centre: length },
    ];
    balance(&loads, back_span, 1.0)
}
