//! How far the sideways load may grow until the first foot slips or lifts, by the elastic forces.
//!
//! Statics alone lets the feet share a sideways load as kindly as it can be shared; the stiffness
//! of the frame shares it as it is. The first foot to slip in that state is said, beside the
//! factor at which the whole has no equilibrium left.
//!
//! Holds if: one foot with friction μ slips at μN/H and lifts at N/−ΔN (`tests` below, by hand).

use super::idealise::StageFrame;
use crate::assembly::MemberId;

/// Feet on which less than this acts are left out, newtons.
const HARDLY: f64 = 1.0;

/// The first foot to go in the elastic state, under the stage's weight and a growing sideways load.
#[derive(Clone, Debug, PartialEq)]
pub struct Grip {
    /// Plan direction of the load.
    pub direction: [f64; 2],
    /// Share of the notional lateral or wind at which the first foot slips; infinite if none does.
    pub slips_at: f64,
    pub slips: Option<MemberId>,
    /// The same for the first that lifts.
    pub lifts_at: f64,
    pub lifts: Option<MemberId>,
    /// Feet that bear nothing under the whole of the load; in the order of the frame's feet.
    pub idle: Vec<MemberId>,
}

/// Goes through all feet. `weight` and `push` are the forces of the ground on each foot, newtons,
/// by the stage's weight and by the whole sideways load along `axis`; against it they turn round.
#[must_use]
pub fn both_ways(
    frame: &StageFrame,
    axis: [f64; 2],
    weight: &[[f64; 3]],
    push: &[[f64; 3]],
    friction: f64,
) -> [Grip; 2] {
    [1.0, -1.0].map(|sense| {
        let direction = [axis[0] * sense, axis[1] * sense];
        let mut grip = Grip {
            direction,
            slips_at: f64::INFINITY,
            slips: None,
            lifts_at: f64::INFINITY,
            lifts: None,
            idle: Vec::new(),
        };
        let (mut slips, mut lifts) = (Vec::new(), Vec::new());
        for ((&(_, post), weight), push) in frame.feet.iter().zip(weight).zip(push) {
            let push = push.map(|p| p * sense);
            let all = [0, 1, 2].map(|d| weight[d] + push[d]);
            if all[2] < HARDLY {
                grip.idle.push(post);
            }
            if weight[2] < HARDLY && all.iter().all(|f| f.abs() < HARDLY) {
                continue;
            }
            slips.push((post, slips_at(*weight, push, friction)));
            let up = if push[2] < 0.0 { weight[2].max(0.0) / -push[2] } else { f64::INFINITY };
            lifts.push((post, up));
        }
        (grip.slips_at, grip.slips) = least(&slips);
        (grip.lifts_at, grip.lifts) = least(&lifts);
        grip
    })
}

/// The least share, and the first post that has it but for round-off: of posts that are alike it does
/// not choose the one.
fn least(shares: &[(MemberId, f64)]) -> (f64, Option<MemberId>) {
    let least = shares.iter().map(|s| s.1).fold(f64::INFINITY, f64::min);
    let first = shares.iter().find(|s| s.1.is_finite() && s.1 <= least * (1.0 + ROUND_OFF));
    (least, first.map(|s| s.0))
}

/// Shares that differ by less are alike.
const ROUND_OFF: f64 = 1e-9;

/// Least share of `push` at which the horizontal part leaves the cone of friction.
#[must_use]
pub fn slips_at(weight: [f64; 3], push: [f64; 3], friction: f64) -> f64 {
    let square = friction * friction;
    let along = |p: [f64; 3], q: [f64; 3]| p[0] * q[0] + p[1] * q[1] - square * p[2] * q[2];
    let (a, b, c) = (along(push, push), 2.0 * along(weight, push), along(weight, weight));
    if weight[2] <= 0.0 || c > 0.0 {
        return 0.0;
    }
    // Inside the cone at zero: the first positive root of a·k² + b·k + c is where it leaves.
    let root = (b * b - 4.0 * a * c).max(0.0).sqrt();
    let far = -0.5 * (b + root.copysign(b));
    let (first, second) = (far / a, c / far);
    [first, second].into_iter().filter(|k| k.is_finite() && *k > 0.0).fold(f64::INFINITY, f64::min)
}

#[cfg(test)]
mod tests {
    use super::slips_at;

    fn near(a: f64, b: f64) {
        assert!((a - b).abs() < 1e-9, "{a} is not {b}");
    }

    #[test]
    fn one_foot_slips_at_mu_n_over_h() {
        near(slips_at([0.0, 0.0, 1000.0], [60.0, 80.0, 0.0], 0.3), 3.0);
        // Relieved by the push itself: 100 k = 0.3 (1000 − 200 k).
        near(slips_at([0.0, 0.0, 1000.0], [100.0, 0.0, -200.0], 0.3), 300.0 / 160.0);
        // Pressed home faster than it is pushed: never.
        assert!(slips_at([0.0, 0.0, 1000.0], [100.0, 0.0, 500.0], 0.3).is_infinite());
        // Already sliding, and hardly there.
        near(slips_at([400.0, 0.0, 1000.0], [100.0, 0.0, 0.0], 0.3), 0.0);
        near(slips_at([0.0, 0.0, 0.0], [100.0, 0.0, 0.0], 0.3), 0.0);
        // It had a push the other way first: −50 + 100 k = 300.
        near(slips_at([-50.0, 0.0, 1000.0], [100.0, 0.0, 0.0], 0.3), 3.5);
        assert!(slips_at([0.0, 0.0, 10.0], [0.0, 0.0, 0.0], 0.3).is_infinite());
    }
}
