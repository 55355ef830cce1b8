//! Which one-way parts act: from set to set until every part is right, with an end that is proven.
//!
//! All wrong parts change at once until a set comes back. There are finitely many sets and none is
//! left twice, so that comes in finitely many steps. Then, as the parts allow:
//! - one at a time, lowest index first: for a stiffness that is positive definite this ends with
//!   every part right (Murty, *Linear Programming and Complementarity* (1974); from memory). A set
//!   that comes back then has no such answer here: *unknown*, never a guess.
//! - only from acting to resting: the set of acting parts shrinks at each step, so it ends after as
//!   many steps as there are parts. What is resting and would rather act gives nothing, which is on
//!   the safe side where parts can only help.

use std::collections::BTreeSet;

/// How to go on once a set has come back.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Then {
    OneAtATime,
    OnlyToRest,
}

/// A set came back though parts changed one at a time.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct CameBack;

/// The way from set to set.
#[derive(Clone, Debug)]
pub(super) struct Walk {
    pub acting: Vec<bool>,
    /// A set has come back.
    pub careful: bool,
    then: Then,
    seen: BTreeSet<(bool, Vec<bool>)>,
}

impl Walk {
    /// All parts act.
    pub(super) fn new(parts: usize, then: Then) -> Self {
        let acting = vec![true; parts];
        Self { seen: BTreeSet::from([(false, acting.clone())]), acting, careful: false, then }
    }

    /// Changes what is wrong; true: nothing is, and this is the answer.
    pub(super) fn step(&mut self, wrong: &[usize]) -> Result<bool, CameBack> {
        let mut wrong: Vec<usize> = wrong.to_vec();
        if self.careful {
            match self.then {
                Then::OneAtATime => wrong.truncate(1),
                Then::OnlyToRest => wrong.retain(|&part| self.acting[part]),
            }
        }
        if wrong.is_empty() {
            return Ok(true);
        }
        for part in wrong {
            self.acting[part] = !self.acting[part];
        }
        if !self.seen.insert((self.careful, self.acting.clone())) {
            if self.careful {
                return Err(CameBack);
            }
            self.careful = true;
        }
        Ok(false)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Parts that want to act only while the others do not, and the other way round: going round
    /// and round. One way ends in a set, the other says that there is none.
    #[test]
    fn what_goes_round_ends() {
        for then in [Then::OneAtATime, Then::OnlyToRest] {
            let mut walk = Walk::new(3, then);
            let mut steps = 0;
            let end = loop {
                // Part k is wrong unless it acts exactly where its follower does not: odd, no answer.
                let wrong: Vec<usize> =
                    (0..3).filter(|&k| walk.acting[k] == walk.acting[(k + 1) % 3]).collect();
                match walk.step(&wrong) {
                    Ok(false) => steps += 1,
                    end => break end,
                }
                assert!(steps < 30, "{then:?} does not end");
            };
            assert_eq!(end, if then == Then::OneAtATime { Err(CameBack) } else { Ok(true) });
        }
    }
}
