//! Moments along a compressed piece. Timoshenko and Gere, *Theory of Elastic Stability*, 2nd ed.,
//! ch. 1 (from memory; the values are recomputed here from the closed forms).
//!
//! ```text
//!   P ─▶( M₀ ═══════════════ M₁ )◀─ P     u = (L/2)·√(P/EI)
//!   equal end moments       max = M·sec u                    (secant formula)
//!   one end moment          max = M/sin 2u   where 2u > π/2
//!   load q across           max = qL²/8 · 2(sec u − 1)/u²
//! ```

use standwell::mechanics::beam_column::{Along, Profile};

const EI: f64 = 116e3;
const L: f64 = 2.4;

fn at(share: f64) -> (Profile, f64, f64) {
    let p = share * std::f64::consts::PI.powi(2) * EI / (L * L);
    (Profile::new(EI, L, p).unwrap(), p, L / 2.0 * (p / EI).sqrt())
}

fn largest(moments: &Along) -> f64 {
    moments.iter().fold(0.0f64, |a, m| a.max(m.abs()))
}

/// sec u at P/P_E = 0.25 and 0.5 is 1.41421 and 2.25217.
#[test]
fn secant_formula() {
    for (share, factor) in [(0.25, std::f64::consts::SQRT_2), (0.5, 2.252_17)] {
        let (profile, _, u) = at(share);
        let moments = profile.moments([1.0, 1.0], 0.0);
        assert!((moments[4] * u.cos() - 1.0).abs() < 1e-12);
        assert!((moments[4] / factor - 1.0).abs() < 1e-5, "{} at {share}", moments[4]);
    }
}

/// The largest moment lies between two places that are looked at: what is allowed for the bulge
/// covers it, and is less than 2 % of it, up to 0.81 of the piece's own buckling load.
#[test]
fn what_lies_between_two_places_is_covered() {
    for tenth in 0..=8 {
        let share = 0.1 * f64::from(tenth) + 0.01;
        let (profile, p, u) = at(share);
        let k = (p / EI).sqrt();
        for (ends, q) in [
            ([0.0, 1.0], 0.0),
            ([1.0, 1.0], 0.0),
            ([-0.4, 1.0], 0.0),
            ([0.0, 0.0], -1.0),
            ([0.3, 1.0], 2.0),
        ] {
            let moments = profile.moments(ends, q);
            let exact = (0..=4000)
                .map(|i| {
                    let x = L * f64::from(i) / 4000.0;
                    let m = |end: f64| end - q / (k * k);
                    ((m(ends[0]) * (k * (L - x)).sin() + m(ends[1]) * (k * x).sin())
                        / (k * L).sin()
                        + q / (k * k))
                        .abs()
                })
                .fold(0.0, f64::max);
            let bound = largest(&moments) + profile.bulge(&moments, q);
            assert!(bound >= exact * (1.0 - 1e-9), "{share} {ends:?} {q}: {bound} under {exact}");
            assert!(bound <= exact * 1.02 + 0.02, "{share} {ends:?} {q}: {bound} over {exact}");
        }
        let one = profile.moments([0.0, 1.0], 0.0);
        let most = if 2.0 * u > std::f64::consts::FRAC_PI_2 { 1.0 / (2.0 * u).sin() } else { 1.0 };
        let bound = largest(&one) + profile.bulge(&one, 0.0);
        assert!(bound >= most * (1.0 - 1e-12) && bound <= 1.02 * most);
        let across = profile.moments([0.0, 0.0], -1.0)[4];
        let closed = L * L / 8.0 * 2.0 * (1.0 / u.cos() - 1.0) / (u * u);
        assert!((across / closed - 1.0).abs() < 1e-9, "{across} against {closed}");
    }
}

#[test]
fn too_near_its_own_buckling_load_is_no_answer() {
    let euler = std::f64::consts::PI.powi(2) * EI / (L * L);
    assert!(Profile::new(EI, L, 0.95 * euler).is_none());
    assert!(Profile::new(EI, L, f64::NAN).is_none());
    assert!(Profile::new(EI, L, 0.0).is_some());
}
