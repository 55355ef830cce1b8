//! The strands of a factor, with what is asked of all of them beside one another: most are as they were at the
//! stage before, and none of those is looked at itself.

use super::eliminated::Eliminated;
use super::front::Pivots;
use super::shapes::Shape;
use std::sync::Arc;

/// Strands of a factor, by key.
#[derive(Clone, Debug, Default)]
pub(super) struct StrandList {
    strands: Vec<Arc<Eliminated>>,
    facts: Vec<Facts>,
}

/// Of a strand.
#[derive(Clone, Copy, Debug)]
struct Facts {
    key: u32,
    unknowns: u32,
    /// Where its shape is in memory, which the strand holds.
    shape: usize,
    fronts: usize,
    pivots: Pivots,
}

fn address(shape: &Arc<Shape>) -> usize {
    Arc::as_ptr(shape).addr()
}

impl StrandList {
    pub(super) fn with_room(strands: usize) -> Self {
        Self { strands: Vec::with_capacity(strands), facts: Vec::with_capacity(strands) }
    }

    /// Puts one behind the others.
    pub(super) fn push(&mut self, strand: Arc<Eliminated>) {
        self.facts.push(Facts {
            key: strand.shape.key,
            unknowns: u32::try_from(strand.shape.own.len()).unwrap_or(u32::MAX),
            shape: address(&strand.shape),
            fronts: strand.fronts.len(),
            pivots: strand.pivots,
        });
        self.strands.push(strand);
    }

    /// Puts one of another list behind the others.
    pub(super) fn push_of(&mut self, other: &Self, at: usize) {
        self.facts.push(other.facts[at]);
        self.strands.push(Arc::clone(&other.strands[at]));
    }

    pub(super) fn iter(&self) -> std::slice::Iter<'_, Arc<Eliminated>> {
        self.strands.iter()
    }

    pub(super) fn strand(&self, at: usize) -> &Arc<Eliminated> {
        &self.strands[at]
    }

    pub(super) fn len(&self) -> usize {
        self.strands.len()
    }

    /// How many unknowns a strand has.
    pub(super) fn unknowns(&self, at: usize) -> usize {
        self.facts[at].unknowns as usize
    }

    /// The place of a key, from a place on before which there are lesser ones alone.
    pub(super) fn seek(&self, key: u32, from: usize) -> usize {
        let lesser = self.facts[from..].iter().take_while(|facts| facts.key < key);
        from + lesser.count()
    }

    /// Whether the strand at a place has this key, and this very shape.
    pub(super) fn is_at(&self, at: usize, key: u32, shape: &Arc<Shape>) -> bool {
        let facts = self.facts.get(at);
        facts.is_some_and(|facts| facts.key == key && facts.shape == address(shape))
    }

    /// Fronts of all strands, and their pivots.
    pub(super) fn together(&self) -> (usize, Pivots) {
        let mut pivots = Pivots::NONE;
        let mut fronts = 0;
        for facts in &self.facts {
            fronts += facts.fronts;
            pivots.join(facts.pivots);
        }
        (fronts, pivots)
    }

    /// By strand: whether another list has it otherwise.
    pub(super) fn unlike(&self, other: &Self) -> Vec<bool> {
        let mut at = 0;
        let unlike = |(strand, facts): (&Arc<Eliminated>, &Facts)| {
            at = other.seek(facts.key, at);
            let known = other.strands.get(at).filter(|_| other.facts[at].key == facts.key);
            // Most often they are one and the same. A shape that was given up in between is another thing,
            // but no other shape.
            known.is_none_or(|known| {
                !Arc::ptr_eq(known, strand)
                    && (!known.shape.is_as(&strand.shape) || known.described != strand.described)
            })
        };
        self.strands.iter().zip(&self.facts).map(unlike).collect()
    }
}
