//! Slabs one above the other with props between them: the state, what changes it, its equilibrium.
//!
//! ```text
//!   slab i+1  ═══════   hard: pushes back in proportion to how far it has sunk since it hardened
//!   props i+1  │ │ │    push: shorten in proportion to their force, or not at all
//!   slab i    ═══════   fresh: pushes back nothing
//!   props i    │ │ │
//!   ground    ▒▒▒▒▒▒▒   does not give
//! ```
//!
//! Loads, forces and stiffnesses are per area of slab, every slab having the same area: pascals and
//! pascals per metre, or units of one slab's weight. Down is positive.

use super::solve::solve;
use num_traits::Num;

/// A number the chain can be solved in.
pub trait Amount: Num + Clone + PartialOrd {
    /// What counts as nothing beside amounts up to `scale`.
    fn nothing(scale: &Self) -> Self;
}

impl Amount for f64 {
    fn nothing(scale: &Self) -> Self {
        1e-9 * scale
    }
}

/// Exact: nothing is nothing.
impl Amount for num_rational::BigRational {
    fn nothing(_: &Self) -> Self {
        num_traits::Zero::zero()
    }
}

/// Whether props let go.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Contact {
    /// Props push and never pull.
    PushOnly,
    /// Props are taken to pull as well: the plain linear method, for comparison only.
    Linear,
}

/// What a level of props is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PropKind {
    /// Under its slab since the slab was cast on it.
    Shore,
    /// Set snug under a slab that carries itself, with nothing in it.
    Reshore,
}

#[derive(Clone, Debug, PartialEq)]
enum SlabState<T> {
    Absent,
    Fresh,
    /// Hard, with the level at which it pushes back nothing.
    Hard(T),
}

#[derive(Clone, Debug)]
struct SlabAt<T> {
    weight: T,
    added: T,
    stiffness: T,
    state: SlabState<T>,
    sunk: T,
    carries: T,
}

#[derive(Clone, Debug)]
struct PropAt<T> {
    kind: PropKind,
    flexibility: T,
    /// How much more the slab above has sunk than the one below when the force is nothing.
    slack: T,
    force: T,
    touching: bool,
}

/// What cannot be done. Slabs are counted from 0, bottom up.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum ChainError {
    #[error("there is no slab {0}")]
    NoSlab(usize),
    #[error("slab {0} is cast already")]
    CastTwice(usize),
    #[error("slab {0} is cast with no slab beneath it to stand its shores on")]
    NothingBeneath(usize),
    #[error("slab {0} is not cast yet")]
    NotCast(usize),
    #[error("slab {0} is still fresh: its shores carry all of it")]
    Fresh(usize),
    #[error("there are no props under slab {0}")]
    NoProps(usize),
    #[error("there are props under slab {0} already")]
    PropsThere(usize),
    #[error("a stiffness or share that is no number above zero")]
    BadNumber,
    #[error("which props push and which have let go does not settle")]
    NotSettled,
}

/// Slabs and props of a building, from the ground up.
#[derive(Clone, Debug)]
pub struct Chain<T> {
    slabs: Vec<SlabAt<T>>,
    props: Vec<Option<PropAt<T>>>,
    contact: Contact,
}

type Done = Result<(), ChainError>;

impl<T: Amount> Chain<T> {
    /// Slabs of these weights and stiffnesses, none of them cast.
    #[must_use]
    pub fn new(slabs: impl IntoIterator<Item = (T, T)>, contact: Contact) -> Self {
        let slabs: Vec<SlabAt<T>> = slabs
            .into_iter()
            .map(|(weight, stiffness)| SlabAt {
                weight,
                added: T::zero(),
                stiffness,
                state: SlabState::Absent,
                sunk: T::zero(),
                carries: T::zero(),
            })
            .collect();
        let props = slabs.iter().map(|_| None).collect();
        Self { slabs, props, contact }
    }

    #[must_use]
    pub fn len(&self) -> usize {
        self.slabs.len()
    }
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.slabs.is_empty()
    }
    #[must_use]
    pub fn is_cast(&self, slab: usize) -> bool {
        self.slabs.get(slab).is_some_and(|s| s.state != SlabState::Absent)
    }
    /// A slab that is cast and has not hardened.
    #[must_use]
    pub fn is_fresh(&self, slab: usize) -> bool {
        self.slabs.get(slab).is_some_and(|s| s.state == SlabState::Fresh)
    }
    /// What a slab itself carries: nothing while fresh or not cast.
    #[must_use]
    pub fn slab(&self, slab: usize) -> T {
        self.slabs.get(slab).map_or_else(T::zero, |s| s.carries.clone())
    }
    /// Its weight and what is on it.
    #[must_use]
    pub fn on(&self, slab: usize) -> T {
        let on = |s: &SlabAt<T>| s.weight.clone() + s.added.clone();
        self.slabs.get(slab).filter(|s| s.state != SlabState::Absent).map_or_else(T::zero, on)
    }
    /// Force in the props under a slab; none where there are none.
    #[must_use]
    pub fn prop(&self, slab: usize) -> Option<T> {
        self.props.get(slab)?.as_ref().map(|p| p.force.clone())
    }
    #[must_use]
    pub fn kind(&self, slab: usize) -> Option<PropKind> {
        self.props.get(slab)?.as_ref().map(|p| p.kind)
    }
    /// The props under a slab have let go: they stand there and carry nothing.
    #[must_use]
    pub fn has_lifted(&self, slab: usize) -> bool {
        self.props.get(slab).and_then(Option::as_ref).is_some_and(|p| !p.touching)
    }

    fn at(&self, slab: usize) -> Result<&SlabAt<T>, ChainError> {
        self.slabs.get(slab).ok_or(ChainError::NoSlab(slab))
    }

    /// The slab is there, hard, and carries itself before anything is done.
    pub fn stands(&mut self, slab: usize) {
        if let Some(slab) = self.slabs.get_mut(slab) {
            slab.state = SlabState::Hard(T::zero());
            slab.carries = slab.weight.clone();
            slab.sunk = slab.weight.clone() / slab.stiffness.clone();
        }
    }

    /// Sets shores on what is beneath and casts a slab on them. What is fresh beneath is hard by then.
    ///
    /// # Errors
    /// When the slab is cast already, or nothing is beneath it.
    pub fn cast(&mut self, slab: usize, flexibility: T) -> Done {
        if self.at(slab)?.state != SlabState::Absent {
            return Err(ChainError::CastTwice(slab));
        }
        if slab > 0 {
            if !self.is_cast(slab - 1) {
                return Err(ChainError::NothingBeneath(slab));
            }
            self.harden(slab - 1)?;
        }
        self.slabs[slab].state = SlabState::Fresh;
        self.slabs[slab].sunk = self.below(slab);
        self.props[slab] = Some(PropAt {
            kind: PropKind::Shore,
            flexibility,
            slack: T::zero(),
            force: T::zero(),
            touching: true,
        });
        self.settle()
    }

    /// How far what a slab's props stand on has sunk.
    fn below(&self, slab: usize) -> T {
        if slab == 0 { T::zero() } else { self.slabs[slab - 1].sunk.clone() }
    }

    /// Lets a slab harden where it lies: from now on it pushes back. One that is hard stays so.
    ///
    /// # Errors
    /// When it is not cast.
    pub fn harden(&mut self, slab: usize) -> Done {
        match self.at(slab)?.state {
            SlabState::Absent => Err(ChainError::NotCast(slab)),
            SlabState::Hard(_) => Ok(()),
            SlabState::Fresh => {
                self.slabs[slab].state = SlabState::Hard(self.slabs[slab].sunk.clone());
                Ok(())
            }
        }
    }

    /// Takes the props under a slab away.
    ///
    /// # Errors
    /// When there are none, or the slab is fresh.
    pub fn take_props(&mut self, slab: usize) -> Done {
        if self.at(slab)?.state == SlabState::Fresh {
            return Err(ChainError::Fresh(slab));
        }
        self.props[slab].take().ok_or(ChainError::NoProps(slab))?;
        self.settle()
    }

    /// Takes a share of the props under a slab away; the others stay undisturbed.
    ///
    /// # Errors
    /// When there are none, the slab is fresh, or the share is not between 0 and 1.
    pub fn take_share(&mut self, slab: usize, share: T) -> Done {
        if self.at(slab)?.state == SlabState::Fresh {
            return Err(ChainError::Fresh(slab));
        }
        let props = self.props[slab].as_mut().ok_or(ChainError::NoProps(slab))?;
        if !(share > T::zero() && share < T::one()) {
            return Err(ChainError::BadNumber);
        }
        props.flexibility = props.flexibility.clone() / (T::one() - share);
        self.settle()
    }

    /// Sets props snug under a slab that carries itself: they start with nothing.
    ///
    /// # Errors
    /// When the slab is not cast or is fresh, or props are there already.
    pub fn reshore(&mut self, slab: usize, flexibility: T) -> Done {
        match self.at(slab)?.state {
            SlabState::Absent => return Err(ChainError::NotCast(slab)),
            SlabState::Fresh => return Err(ChainError::Fresh(slab)),
            SlabState::Hard(_) => {}
        }
        if self.props[slab].is_some() {
            return Err(ChainError::PropsThere(slab));
        }
        let slack = self.slabs[slab].sunk.clone() - self.below(slab);
        self.props[slab] = Some(PropAt {
            kind: PropKind::Reshore,
            flexibility,
            slack,
            force: T::zero(),
            touching: true,
        });
        Ok(())
    }

    /// Puts a load on a slab, or takes it off again with a negative one.
    ///
    /// # Errors
    /// When the slab is not cast, or nothing balances the load, as under fresh concrete that is lifted.
    pub fn load(&mut self, slab: usize, load: T) -> Done {
        if !self.is_cast(slab) {
            return Err(ChainError::NotCast(slab));
        }
        self.slabs[slab].added = self.slabs[slab].added.clone() + load;
        self.settle()
    }

    /// Gives a slab another stiffness, as it does with age: what it carries stays as it is.
    ///
    /// # Errors
    /// When the stiffness is not above zero.
    pub fn stiffen(&mut self, slab: usize, stiffness: T) -> Done {
        if stiffness.partial_cmp(&T::zero()) != Some(std::cmp::Ordering::Greater) {
            return Err(ChainError::BadNumber);
        }
        self.at(slab)?;
        let slab = &mut self.slabs[slab];
        if let SlabState::Hard(rest) = &mut slab.state {
            *rest = slab.sunk.clone() - slab.carries.clone() / stiffness.clone();
        }
        slab.stiffness = stiffness;
        Ok(())
    }

    /// Finds which props push, and all forces.
    fn settle(&mut self) -> Done {
        let rounds = 4 * (self.slabs.len() + 2) * (self.slabs.len() + 2);
        let scale = (0..self.slabs.len()).fold(T::zero(), |sum, i| sum + self.on(i));
        for _ in 0..rounds {
            self.solve()?;
            if self.contact == Contact::Linear {
                return Ok(());
            }
            let least = T::zero() - T::nothing(&scale);
            let pulls = self.touching().filter(|(_, p)| p.force < least).fold(
                None::<(usize, T)>,
                |worst, (i, p)| match worst {
                    Some((i, f)) if f <= p.force => Some((i, f)),
                    _ => Some((i, p.force.clone())),
                },
            );
            if let Some((i, _)) = pulls {
                self.open(i);
                continue;
            }
            let Some(i) = (0..self.props.len()).find(|&i| self.closes(i)) else { return Ok(()) };
            if let Some(p) = self.props[i].as_mut() {
                p.touching = true;
            }
        }
        Err(ChainError::NotSettled)
    }

    fn touching(&self) -> impl Iterator<Item = (usize, &PropAt<T>)> {
        let there = |(i, p): (usize, &'_ Option<PropAt<T>>)| p.as_ref().map(|_| i);
        let found: Vec<usize> = self.props.iter().enumerate().filter_map(there).collect();
        found
            .into_iter()
            .filter_map(|i| Some((i, self.props[i].as_ref()?)))
            .filter(|(_, p)| p.touching)
    }

    fn open(&mut self, i: usize) {
        if let Some(p) = self.props[i].as_mut() {
            p.touching = false;
            p.force = T::zero();
        }
    }

    /// Props that have let go and that the slab above comes down on again.
    fn closes(&self, i: usize) -> bool {
        let Some(p) = self.props[i].as_ref().filter(|p| !p.touching) else { return false };
        let apart = self.slabs[i].sunk.clone() - self.below(i) - p.slack.clone();
        let size =
            if self.slabs[i].sunk < T::zero() { T::zero() } else { self.slabs[i].sunk.clone() };
        apart > T::nothing(&size)
    }

    /// Solves each stack of slabs that touching props join.
    fn solve(&mut self) -> Done {
        let mut from = 0;
        while from < self.slabs.len() {
            let mut to = from + 1;
            while to < self.slabs.len() && self.props[to].as_ref().is_some_and(|p| p.touching) {
                to += 1;
            }
            self.solve_stack(from, to)?;
            from = to;
        }
        Ok(())
    }

    /// Unknowns: how far each slab of `from..to` has sunk, then the force in the props under each
    /// that touch.
    fn solve_stack(&mut self, from: usize, to: usize) -> Done {
        if self.slabs[from].state == SlabState::Absent {
            return Ok(());
        }
        let n = to - from;
        let under: Vec<usize> =
            (from..to).filter(|&i| self.props[i].as_ref().is_some_and(|p| p.touching)).collect();
        let all = n + under.len();
        let mut rows = vec![vec![T::zero(); all]; all];
        let mut right = vec![T::zero(); all];
        for i in from..to {
            let row = &mut rows[i - from];
            let slab = &self.slabs[i];
            right[i - from] = slab.weight.clone() + slab.added.clone();
            if let SlabState::Hard(rest) = &slab.state {
                row[i - from] = slab.stiffness.clone();
                right[i - from] = right[i - from].clone() + slab.stiffness.clone() * rest.clone();
            }
            for (k, &j) in under.iter().enumerate() {
                if j == i {
                    row[n + k] = T::one();
                } else if j == i + 1 {
                    row[n + k] = T::zero() - T::one();
                }
            }
        }
        for (k, &j) in under.iter().enumerate() {
            let Some(prop) = self.props[j].as_ref() else { continue };
            let row = &mut rows[n + k];
            row[j - from] = T::one();
            right[n + k] = prop.slack.clone();
            if j > from {
                row[j - 1 - from] = T::zero() - T::one();
            } else if j > 0 {
                // The stack begins above props that have let go; `below` is not part of it.
                return Err(ChainError::NotSettled);
            }
            row[n + k] = T::zero() - prop.flexibility.clone();
        }
        let x = solve(rows, right).ok_or(ChainError::NotSettled)?;
        for i in from..to {
            let slab = &mut self.slabs[i];
            slab.sunk = x[i - from].clone();
            slab.carries = match &slab.state {
                SlabState::Hard(rest) => {
                    slab.stiffness.clone() * (slab.sunk.clone() - rest.clone())
                }
                SlabState::Fresh | SlabState::Absent => T::zero(),
            };
        }
        for (k, &j) in under.iter().enumerate() {
            if let Some(prop) = self.props[j].as_mut() {
                prop.force = x[n + k].clone();
            }
        }
        Ok(())
    }
}
