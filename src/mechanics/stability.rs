//! Stability functions of a prismatic beam under axial force.
//!
//! With ρ = N·L²/EI (N tension positive, −ρ = φ² in compression) the end moments of a beam whose
//! ends turn by θ1, θ2 against its chord are EI/L·(a·θ1 + b·θ2) and EI/L·(b·θ1 + a·θ2).
//! With h = φ/2 and p = h·cot h: a − b = 2p (the ends turn against one another) and
//! a + b = 2h²/(1 − p) (both turn one way). Livesley and Chandler, *Stability Functions for
//! Structural Frameworks* (1956); Timoshenko and Gere, *Theory of Elastic Stability*, 2nd ed.,
//! ch. 1 (both from memory; the values are checked against the buckling loads of `analytic.json`).

/// The functions at one axial force.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stability {
    /// Near-end moment, EI/L; 4 without axial force.
    pub near: f64,
    /// Far-end moment, EI/L; 2 without axial force.
    pub far: f64,
    /// Stiffness across the chord, EI/L³; 12 without axial force.
    pub sway: f64,
    /// Moment at held ends under a uniform load w, of w·L²; 1/12 without axial force.
    pub held: f64,
    /// How many buckling loads of the beam with both ends held lie below this force
    /// (Wittrick and Williams 1971, J₀ of one member).
    pub below: usize,
    /// How near one of these is: zero at it, about one far from all.
    pub clear: f64,
}

/// More than this many half waves in one member: round-off would count them.
const LARGEST: f64 = 1e6;

/// Evaluates the functions at ρ = N·L²/EI. `None` where the compression is too large to be counted.
#[must_use]
pub fn stability(rho: f64) -> Option<Stability> {
    // x = h² with its sign: compression above zero.
    let x = -rho / 4.0;
    if !(x < LARGEST && x.is_finite()) {
        return None;
    }
    let (p, rest, below) = if x.abs() < 0.1 {
        let rest = series(x);
        (1.0 - rest, rest, 0)
    } else if x > 0.0 {
        let h = x.sqrt();
        let p = h / h.tan();
        (p, 1.0 - p, clamped_below(h))
    } else {
        let h = (-x).sqrt();
        let p = h / h.tanh();
        (p, 1.0 - p, 0)
    };
    let same = if x == 0.0 { 6.0 } else { 2.0 * x / rest };
    let held = if x == 0.0 { 1.0 / 12.0 } else { rest / (4.0 * x) };
    Some(Stability {
        near: f64::midpoint(same, 2.0 * p),
        far: f64::midpoint(same, -2.0 * p),
        sway: 2.0 * same + rho,
        held,
        below,
        clear: if x > 0.1 { rest.abs().min(1.0 / p.abs()).min(1.0) } else { 1.0 },
    })
}

/// 1 − h·cot h about h = 0, x = h².
fn series(x: f64) -> f64 {
    const C: [f64; 8] = [
        1.0 / 3.0,
        1.0 / 45.0,
        2.0 / 945.0,
        1.0 / 4725.0,
        2.0 / 93_555.0,
        1382.0 / 638_512_875.0,
        4.0 / 18_243_225.0,
        3617.0 / 162_820_783_125.0,
    ];
    C.iter().rev().fold(0.0, |sum, c| (sum + c) * x)
}

/// Buckling loads of a beam held at both ends below φ = 2h: one at each h = nπ (ends turning
/// against one another) and one at each root of tan h = h.
fn clamped_below(h: f64) -> usize {
    let waves = (h / std::f64::consts::PI).floor();
    if waves < 1.0 {
        return 0;
    }
    let into = h - waves * std::f64::consts::PI;
    let passed = into >= std::f64::consts::FRAC_PI_2 || h.tan() > h;
    // `waves` is small: it is bounded by the square root of LARGEST.
    2 * waves as usize - 1 + usize::from(passed)
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::PI;

    #[test]
    fn without_force_the_textbook_numbers() {
        let s = stability(0.0).unwrap();
        assert_eq!((s.near, s.far, s.sway, s.below), (4.0, 2.0, 12.0, 0));
        assert!((s.held - 1.0 / 12.0).abs() < 1e-16);
    }

    #[test]
    fn the_series_meets_the_closed_form() {
        for sign in [-1.0, 1.0] {
            let inside = stability(sign * 0.4 * (1.0 - 1e-12)).unwrap();
            let outside = stability(sign * 0.4 * (1.0 + 1e-12)).unwrap();
            assert!((inside.near - outside.near).abs() < 1e-12);
            assert!((inside.far - outside.far).abs() < 1e-12);
            assert!((inside.held - outside.held).abs() < 1e-12);
        }
    }

    #[test]
    fn a_pinned_pinned_beam_buckles_at_pi() {
        // near² = far² where the ends carry no moment: Euler.
        let s = stability(-PI * PI).unwrap();
        assert!((s.near * s.near - s.far * s.far).abs() < 1e-12);
    }

    #[test]
    fn clamped_buckling_loads_are_counted() {
        // φ = 2π, 8.98682, 4π, 15.4505 (roots of sin(φ/2) = 0 and tan(φ/2) = φ/2).
        for (phi, count) in [
            (6.27, 0),
            (6.29, 1),
            (8.98, 1),
            (8.99, 2),
            (12.56, 2),
            (12.57, 3),
            (15.45, 3),
            (15.46, 4),
        ] {
            assert_eq!(stability(-phi * phi).unwrap().below, count, "φ = {phi}");
        }
    }
}
