//! Which feet pull in a direction, and the ways from set to set of lifted feet.
//!
//! Heads loaded off their axis and crooked posts have signs of their own. A foot may pull under one choice
//! of signs and push under another, so that the feet that are up together are not the same under all. Asked
//! is the set of all that may pull, and beside it the set of each choice; neither is the worse for every
//! post (`tests/mechanics/whole_frame.rs` has stages in which posts are used by a seventh further with one
//! choice's feet up than with all up that may lift, and than with none).

use crate::mechanics::stage::contact;
use std::collections::BTreeSet;

/// Signs of heads loaded off their axis, and of crooked posts; and which feet count as pulling under them.
#[derive(Clone, Copy, Debug)]
pub(super) struct Choice {
    /// None: for each foot those that pull on it.
    signs: Option<[f64; 2]>,
    /// Only feet that clearly pull: forces told here are a little above those that are there, and a foot
    /// that hardly pulls may be down.
    clearly: bool,
}

impl Choice {
    /// Feet that may pull, whatever the signs: what pulls under any choice is among them.
    pub(super) const ANY: Self = Self { signs: None, clearly: false };
}

/// A foot clearly pulls if it does so by this share of what it bears at rest.
const CLEARLY: f64 = 0.1;

/// All that may pull, then each choice of signs, then each with what clearly pulls.
pub(super) const CHOICES: [Choice; 9] = {
    const fn of(eccentric: f64, crooked: f64, clearly: bool) -> Choice {
        Choice { signs: Some([eccentric, crooked]), clearly }
    }
    [
        Choice::ANY,
        of(1.0, 1.0, false),
        of(1.0, -1.0, false),
        of(-1.0, 1.0, false),
        of(-1.0, -1.0, false),
        of(1.0, 1.0, true),
        of(1.0, -1.0, true),
        of(-1.0, 1.0, true),
        of(-1.0, -1.0, true),
    ]
};

/// By which the ground pushes up on each foot.
#[derive(Clone, Copy, Debug)]
pub(super) struct Up<'a> {
    /// Under the weight alone, with all feet down.
    pub at_rest: &'a [f64],
    /// Under weight and lateral forces, by heads off their axis, and by crooked posts.
    pub by: &'a [Vec<f64>],
}

/// Feet that pull. The push at one head is the push test's affair.
pub(super) fn pulling(up: Up<'_>, choice: Choice) -> BTreeSet<usize> {
    let [under, eccentric, crooked] = [0, 1, 2].map(|k| &up.by[k]);
    let largest = under.iter().map(|r| r.abs()).fold(0.0, f64::max);
    let least = |foot: usize| {
        let more = match choice.signs {
            None => -eccentric[foot].abs() - crooked[foot].abs(),
            Some(signs) => signs[0] * eccentric[foot] + signs[1] * crooked[foot],
        };
        let spared = if choice.clearly { CLEARLY * up.at_rest[foot].max(0.0) } else { 0.0 };
        under[foot] + more + spared
    };
    (0..under.len()).filter(|&foot| contact::lifts(least(foot), largest)).collect()
}

/// A set of lifted feet with the compressions it was asked under.
#[derive(Clone, Debug)]
pub(super) struct Step {
    pub lifted: BTreeSet<usize>,
    /// By frame member, positive, at the loads themselves.
    pub compression: Vec<f64>,
}

/// Sets that were asked one after the other, with what came out: as [`pulling`] takes it.
#[derive(Debug, Default)]
pub(super) struct Way(Vec<(Step, Vec<Vec<f64>>)>);

impl Way {
    pub(super) fn push(&mut self, step: Step, up: &[Vec<f64>]) {
        self.0.push((step, up[..3].to_vec()));
    }
}

/// Where a choice leaves the ways gone already, from its first step on. None: it ends where one of them ends.
pub(super) fn leaves(ways: &[Way], first: Step, at_rest: &[f64], choice: Choice) -> Option<Step> {
    let begins = |way: &Way| way.0.first().is_some_and(|(step, _)| step.lifted == first.lifted);
    let Some(found) = ways.iter().position(begins) else { return Some(first) };
    let way = &ways[found];
    for (k, (step, by)) in way.0.iter().enumerate() {
        let mut lifted = step.lifted.clone();
        lifted.extend(pulling(Up { at_rest, by }, choice));
        let goes_on = way.0.get(k + 1).map_or(&step.lifted, |(next, _)| &next.lifted);
        if lifted != *goes_on {
            let left = Step { lifted, compression: step.compression.clone() };
            // Another choice may have left there as well, and gone a way of its own.
            return leaves(&ways[found + 1..], left, at_rest, choice);
        }
    }
    None
}

#[cfg(test)]
mod tests {
    use super::{Choice, Step, Up, Way, leaves, pulling};
    use std::collections::BTreeSet;

    /// By foot: at rest, off the axis, crooked.
    fn up(feet: &[[f64; 3]]) -> Vec<Vec<f64>> {
        (0..3).map(|family| feet.iter().map(|foot| foot[family]).collect()).collect()
    }

    fn step(feet: &[usize]) -> Step {
        Step { lifted: feet.iter().copied().collect(), compression: Vec::new() }
    }

    fn of(signs: Option<[f64; 2]>) -> Choice {
        Choice { signs, clearly: false }
    }

    #[test]
    fn a_foot_pulls_under_some_signs_alone() {
        let by = up(&[[3.0, 2.0, -2.0], [3.0, 2.0, 2.0], [-1.0, 0.0, 0.0], [9.0, 1.0, 1.0]]);
        let at_rest = [20.0; 4];
        let feet = |choice| {
            pulling(Up { at_rest: &at_rest, by: &by }, choice).into_iter().collect::<Vec<_>>()
        };
        assert_eq!(feet(of(None)), [0, 1, 2]);
        assert_eq!(feet(of(Some([1.0, 1.0]))), [2]);
        assert_eq!(feet(of(Some([-1.0, 1.0]))), [0, 2]);
        assert_eq!(feet(of(Some([-1.0, -1.0]))), [1, 2]);
        // A tenth of what they bear at rest is more than they pull.
        let clearly = Choice { clearly: true, ..of(Some([-1.0, -1.0])) };
        assert_eq!(feet(clearly), [0; 0]);
    }

    #[test]
    fn ways_are_left_where_the_next_set_is_another() {
        // Foot 0 is up; then foot 1 pulls whatever the signs, and foot 2 under some.
        let first = up(&[[0.0; 3], [-1.0, 0.0, 0.0], [1.0, 2.0, 0.0]]);
        let none = up(&[[0.0; 3]; 3]);
        let way = |steps: &[(&[usize], &Vec<Vec<f64>>)]| {
            let mut way = Way::default();
            steps.iter().for_each(|(feet, up)| way.push(step(feet), up));
            way
        };
        let mut ways = vec![way(&[(&[0], &first), (&[0, 1, 2], &none)])];
        let left = |ways: &[Way], first: &[usize], signs| {
            let left = leaves(ways, step(first), &[0.0; 3], of(signs));
            left.map(|step| step.lifted.into_iter().collect::<Vec<_>>())
        };
        assert_eq!(left(&ways, &[0], None), None);
        assert_eq!(left(&ways, &[0], Some([-1.0, 1.0])), None);
        assert_eq!(left(&ways, &[0], Some([1.0, 1.0])), Some(vec![0, 1]));
        assert_eq!(left(&ways, &[3], Some([1.0, 1.0])), Some(vec![3]));
        // The next choice that leaves there has the way of the one before, as far as it is its own.
        let then = up(&[[0.0; 3], [0.0; 3], [1.0, 0.0, 2.0]]);
        ways.push(way(&[(&[0, 1], &then)]));
        assert_eq!(left(&ways, &[0], Some([1.0, 1.0])), None);
        assert_eq!(left(&ways, &[0], Some([1.0, -1.0])), Some(vec![0, 1, 2]));
    }

    #[test]
    fn a_way_that_ends_before_the_last_foot_of_a_choice_is_left_at_its_end() {
        let mut way = Way::default();
        way.push(step(&[0]), &up(&[[0.0; 3], [1.0, 2.0, 0.0]]));
        let left = leaves(&[way], step(&[0]), &[0.0; 2], of(Some([-1.0, 1.0])));
        assert_eq!(left.expect("it is left").lifted, BTreeSet::from([0, 1]));
    }

    /// One that stays where the way goes on has the same set as that began with.
    #[test]
    fn a_choice_may_end_where_a_way_began() {
        let mut way = Way::default();
        way.push(step(&[0]), &up(&[[0.0; 3], [1.0, 2.0, 0.0]]));
        way.push(step(&[0, 1]), &up(&[[0.0; 3]; 2]));
        let left = leaves(&[way], step(&[0]), &[0.0; 2], of(Some([1.0, 1.0])));
        assert_eq!(left.expect("it is left").lifted, BTreeSet::from([0]));
    }
}
