//! Answers about lines and pieces, kept from stage to stage with what they were made of.

use super::ask::Ask;
use super::bodies::MadeOf;
use super::build::Subject;
use super::statics::{Blocks, Forces, Growth};
use super::{Judge, Sideways, Way, lacks};
use crate::assembly::MemberId;
use crate::mechanics::answers::Unknown;
use std::sync::Arc;

/// A program with its answer, and the forces at which it ends.
#[derive(Clone, Debug)]
pub(super) struct Known {
    pub blocks: Blocks,
    pub growth: Result<Growth, Unknown>,
    pub forces: Forces,
}

/// Place of a line or piece in what is kept: axis of the line, first post, state of loads.
pub(super) type Place = (Option<usize>, MemberId, usize);

/// An answer with what it was made of. Only where nothing fails: then it names nothing else.
#[derive(Clone, Debug)]
pub(super) struct Answered {
    made_of: Arc<MadeOf>,
    answer: Arc<Answer>,
}

/// The factors against sliding and tipping.
pub(super) type Answer = Result<[Way; 2], Unknown>;

/// Posts and bars that are asked together, with what they are made of.
#[derive(Clone)]
pub(super) struct Together<'a> {
    pub posts: &'a [MemberId],
    pub bars: &'a [usize],
    /// Axis of a line and its number; none in space.
    pub axis: Option<(usize, [f64; 2])>,
    pub made_of: Arc<MadeOf>,
}

impl Judge<'_> {
    /// Posts and bars with what they are made of: the same as at the stage before, where it is.
    pub(super) fn together<'b>(
        &mut self,
        subject: &Subject<'_>,
        state: usize,
        posts: &'b [MemberId],
        bars: &'b [usize],
        axis: Option<(usize, [f64; 2])>,
    ) -> Together<'b> {
        let place = (axis.map(|a| a.0), posts[0], state);
        let layout = subject.layout.id;
        let made_of = match self.made.get(&place) {
            // The same posts and bars: bodies that are kept tell the rest.
            Some((of, before)) if *of == layout && before.is_still(subject) => Arc::clone(before),
            before => {
                let made_of = subject.made_of(posts, bars);
                let same = before.filter(|(_, before)| **before == made_of);
                same.map_or_else(|| Arc::new(made_of), |(_, before)| Arc::clone(before))
            }
        };
        self.made.insert(place, (layout, Arc::clone(&made_of)));
        Together { posts, bars, axis, made_of }
    }

    /// The answer to a question about a line or piece, if one is kept that was made of the same.
    pub(super) fn known(&self, ask: &Ask<'_>, of: &Together<'_>) -> Option<Arc<Answer>> {
        let before = self.answered.get(&of.key(ask))?;
        let same = Arc::ptr_eq(&before.made_of, &of.made_of) || before.made_of == of.made_of;
        same.then(|| Arc::clone(&before.answer))
    }

    /// The answer to a question about a line or piece.
    pub(super) fn answer(&mut self, ask: &Ask<'_>, of: &Together<'_>) -> Arc<Answer> {
        if let Some(known) = self.known(ask, of) {
            return known;
        }
        let key = of.key(ask);
        let answer = Arc::new(self.ask(ask, of.posts, of.bars, of.axis.map(|a| a.1)));
        let fails = |ways: &[Way; 2]| ways.iter().any(|w| lacks(w.reserve()));
        if answer.as_ref().as_ref().is_ok_and(fails) {
            self.answered.remove(&key);
        } else {
            let made_of = Arc::clone(&of.made_of);
            self.answered.insert(key, Answered { made_of, answer: Arc::clone(&answer) });
        }
        answer
    }
}

impl Together<'_> {
    /// Where the answer to a question about it is kept.
    pub(super) fn key(&self, ask: &Ask<'_>) -> (Place, usize, Vec<MemberId>) {
        let (which, state) = ask.place;
        let place = (self.axis.map(|a| a.0), self.posts[0], state);
        (place, which, ask.idle.iter().copied().collect())
    }
}

/// The least reserves against sliding and tipping that are known; infinite where none is.
pub(super) fn least_of(known: &[(Option<Arc<Answer>>, &Together<'_>)], out: &Sideways) -> [f64; 2] {
    let answers = known.iter().filter_map(|(way, _)| way.as_ref()?.as_ref().as_ref().ok());
    let so_far = [&out.sliding, &out.tipping];
    std::array::from_fn(|k| {
        let reserves = answers.clone().map(|ways| ways[k].reserve());
        reserves.chain(so_far[k].as_ref().map(Way::reserve)).fold(f64::INFINITY, f64::min)
    })
}
