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
        let (mut slips, mut lifts) = (First::default(), First::default());
        for ((&(_, post), weight), push) in frame.feet.iter().zip(weight).zip(push) {
            let push = push.map(|p| p * sense);
            let all = [0, 1, 2].map(|d| weight[d] + push[d]);
            if all[2] < HARDLY {
                grip.idle.push(post);
            }
            if weight[2] < HARDLY && all.iter().all(|f| f.abs() < HARDLY) {
                continue;
            }
            if !holds_beyond(*weight, push, friction, slips.bound()) {
                slips.take(post, slips_at(*weight, push, friction));
            }
            let up = if push[2] < 0.0 { weight[2].max(0.0) / -push[2] } else { f64::INFINITY };
            lifts.take(post, up);
        }
        (grip.slips_at, grip.slips) = slips.found();
        (grip.lifts_at, grip.lifts) = lifts.found();
        grip
    })
}

/// The least share, and the first post that has it but for round-off: of posts that are alike it does
/// not choose the one.
struct First {
    least: f64,
    /// Posts that may be the one, in their order.
    near: Vec<(MemberId, f64)>,
}

impl Default for First {
    fn default() -> Self {
        Self { least: f64::INFINITY, near: Vec::new() }
    }
}

impl First {
    /// What is larger is not looked for.
    fn bound(&self) -> f64 {
        self.least * (1.0 + ROUND_OFF)
    }

    fn take(&mut self, post: MemberId, share: f64) {
        self.least = self.least.min(share);
        if share.is_finite() && share <= self.bound() {
            self.near.push((post, share));
        }
    }

    fn found(self) -> (f64, Option<MemberId>) {
        let bound = self.bound();
        let first = self.near.iter().find(|(_, share)| *share <= bound);
        (self.least, first.map(|(post, _)| *post))
    }
}

/// Whether a foot certainly does not slip up to a share of `push`. Between two pushes inside the cone of
/// friction all are inside, since it is convex; it is asked a little further, for round-off.
fn holds_beyond(weight: [f64; 3], push: [f64; 3], friction: f64, share: f64) -> bool {
    let further = share * (1.0 + 1e-6);
    let inside = |force: [f64; 3]| {
        let holds = friction * force[2];
        holds > 0.0 && force[0] * force[0] + force[1] * force[1] < holds * holds * (1.0 - 1e-6)
    };
    inside(weight) && inside([0, 1, 2].map(|d| weight[d] + further * push[d]))
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
    use super::{First, holds_beyond, slips_at};
    use crate::assembly::MemberId;

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

    #[test]
    fn a_foot_that_holds_beyond_a_share_slips_later() {
        let some = [-900.0, -250.0, -30.0, 0.0, 40.0, 310.0, 1200.0];
        let (mut held, mut not) = (0, 0);
        for weight in some.map(|x| [x / 9.0, 20.0, 1000.0]) {
            for push in some.iter().flat_map(|x| some.map(|z| [*x, 35.0, z])) {
                let due = slips_at(weight, push, 0.3);
                for share in [0.1, 0.5, 1.0, 3.0, 20.0] {
                    let holds = holds_beyond(weight, push, 0.3, share);
                    assert!(!holds || due > share, "{weight:?}, {push:?}: {due} is before {share}");
                    (held, not) = (held + usize::from(holds), not + usize::from(due > share));
                }
            }
        }
        // It says so nearly wherever it is so.
        assert!(held > not * 9 / 10 && held > 100, "{held} of {not}");
        assert!(!holds_beyond([0.0, 0.0, 1000.0], [1.0, 0.0, 0.0], 0.3, f64::INFINITY));
        assert!(!holds_beyond([0.0, 0.0, f64::NAN], [1.0, 0.0, 0.0], 0.3, 1.0));
    }

    #[test]
    fn of_feet_that_are_alike_the_first_is_named() {
        let mut first = First::default();
        for (post, share) in (0..).zip([7.0, f64::INFINITY, 5.0 + 1e-12, 5.0, 5.0 - 1e-12, 6.0]) {
            first.take(MemberId(post), share);
        }
        assert_eq!(first.found(), (5.0 - 1e-12, Some(MemberId(2))));
        let mut none = First::default();
        none.take(MemberId(0), f64::INFINITY);
        assert_eq!(none.found(), (f64::INFINITY, None));
    }
}
