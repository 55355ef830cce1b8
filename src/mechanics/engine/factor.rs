//! Factors of strands, kept with all that they were made of.
//!
//! A strand whose shape and axial forces are the same, bit for bit, as at a stage before is not
//! touched. In one that has changed, each front keeps the exact content it was made of: the unknowns
//! eliminated in it, the words of its parts, and the versions of its children; a front whose content is
//! the same is taken over. The result is therefore the same, bit for bit, as making all anew. Answers
//! to loads are kept in the same way (`answers`).

use super::eliminated::{Eliminated, Made, content, places};
use super::front::Pivots;
use super::lately::Lately;
use super::passes::Passes;
use super::shapes::Shape;
use super::strand_list::StrandList;
use super::strands::{Part, Plan};
use super::uncondensed::Uncondensed;
use std::sync::{Arc, Mutex};
use std::time::Duration;

/// A piece of the matrix: a small dense symmetric matrix on a few unknowns.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Piece {
    /// Unknowns by their lasting number.
    pub dofs: Vec<u32>,
    /// Row-major, `dofs.len()` square.
    pub values: Vec<f64>,
    /// Negative eigenvalues of what was condensed out of it beforehand.
    pub condensed_negative: usize,
}

/// Where pieces come from. A piece is made only where its description has changed.
pub trait Pieces {
    /// What a part is made of beyond the words of its shape.
    fn describe(&self, part: Part) -> u64;
    fn make(&self, part: Part) -> Piece;
}

/// Factors kept for each strand at most: a stage is asked with all feet down, and again in the few
/// contact states in which feet have lifted, each way it is pushed.
const KEPT: usize = 12;

/// The factor of a stage.
#[derive(Clone, Debug)]
pub struct Factor {
    pub(super) of: Of,
    pub pivots: Pivots,
}

impl Factor {
    /// By strand: whether another factor of the same stage has it otherwise, of another shape or under
    /// other axial forces.
    #[must_use]
    pub fn unlike(&self, other: &Self) -> Vec<bool> {
        match (&self.of, &other.of) {
            (Of::Strands(own), Of::Strands(other)) => own.unlike(other),
            (Of::Uncondensed(own), Of::Uncondensed(other)) => own.unlike(other),
            // Keepers of both kinds are never used side by side.
            (Of::Strands(own), _) => vec![true; own.len()],
            (Of::Uncondensed(own), _) => vec![true; own.strands()],
        }
    }
}

/// How it was eliminated.
#[derive(Clone, Debug)]
pub(super) enum Of {
    /// Strand by strand.
    Strands(StrandList),
    /// All at once, nothing condensed and nothing kept.
    Uncondensed(Arc<Uncondensed>),
}

/// Factors of the strands of a few stages.
#[derive(Clone, Debug, Default)]
pub struct Keeper {
    kept: Lately<Eliminated>,
    made: u64,
    /// A factor has been asked for at this stage.
    begun: bool,
    /// Fronts made anew since [`Keeper::begin_stage`], and how many the last factor has. A matrix that
    /// is eliminated all at once is one.
    pub anew: usize,
    pub fronts: usize,
    /// Time that went into places and orders of elimination of matrices eliminated all at once.
    pub ordering: Duration,
    /// Keeps nothing, condenses nothing.
    plainly: bool,
    room: Room,
}

#[derive(Clone, Debug, Default)]
struct Room {
    front: Vec<f64>,
    described: Vec<u64>,
    /// By lasting number: place in the strand at hand.
    place: Vec<u32>,
}

impl Keeper {
    /// One that keeps nothing and condenses nothing: the check and the measure of the other (see
    /// `uncondensed`).
    #[must_use]
    pub fn plainly() -> Self {
        Self { plainly: true, ..Self::default() }
    }

    /// One that keeps what one of so many stages before the present one had a use for.
    #[must_use]
    pub fn of_stages(stages: u64) -> Self {
        Self { kept: Lately::of_stages(stages), ..Self::default() }
    }

    /// The same with nothing kept.
    #[must_use]
    pub fn emptied(&self) -> Self {
        Self { plainly: self.plainly, kept: self.kept.emptied(), ..Self::default() }
    }

    /// Begins a stage. Once a factor is asked for, what none of the last few stages that asked had a use
    /// for is given up.
    pub fn begin_stage(&mut self) {
        self.anew = 0;
        self.begun = false;
    }

    /// The factor of a stage's matrix. Negative pivots include what was condensed.
    ///
    /// `shapes` are those of the plan's strands, one by one.
    pub fn factor<P: Pieces>(&mut self, plan: &Plan, shapes: &[Arc<Shape>], source: &P) -> Factor {
        self.factor_like(plan, shapes, source, None)
    }

    /// The same, where some strands are known to be as in another factor of this keeper. `like`: that one,
    /// and by strand whether its axial forces may be otherwise.
    pub fn factor_like<P: Pieces>(
        &mut self,
        plan: &Plan,
        shapes: &[Arc<Shape>],
        source: &P,
        like: Option<(&Factor, Vec<bool>)>,
    ) -> Factor {
        if self.plainly {
            let made = Uncondensed::new(plan, shapes, source);
            (self.anew, self.fronts) = (self.anew + 1, 1);
            self.ordering += made.ordering;
            let pivots = made.pivots;
            return Factor { of: Of::Uncondensed(Arc::new(made)), pivots };
        }
        if !std::mem::replace(&mut self.begun, true) {
            self.kept.begin_stage();
        }
        let mut strands = StrandList::with_room(shapes.len());
        let like = like.and_then(|(factor, otherwise)| match &factor.of {
            Of::Strands(strands) => Some((strands, otherwise)),
            Of::Uncondensed(_) => None,
        });
        let mut at = 0;
        for (k, (strand, shape)) in plan.strands.iter().zip(shapes).enumerate() {
            if let Some((known, otherwise)) = &like
                && !otherwise[k]
            {
                at = known.seek(strand.key, at);
                if known.is_at(at, strand.key, shape) {
                    strands.push_of(known, at);
                    continue;
                }
            }
            let parts = &plan.parts[strand.parts.clone()];
            let mut described = std::mem::take(&mut self.room.described);
            described.clear();
            described.extend(parts.iter().map(|&(_, part)| source.describe(part)));
            let same = |f: &Eliminated| f.shape.id == shape.id && f.described == described;
            let known = self.kept.find(strand.key, same);
            strands.push(known.unwrap_or_else(|| {
                let made = self.make(shape, &described, parts, source);
                self.kept.keep(strand.key, made, KEPT)
            }));
            self.room.described = described;
        }
        let (fronts, pivots) = strands.together();
        self.fronts = fronts;
        Factor { of: Of::Strands(strands), pivots }
    }

    fn make<P: Pieces>(
        &mut self,
        shape: &Arc<Shape>,
        described: &[u64],
        parts: &[(u32, Part)],
        source: &P,
    ) -> Eliminated {
        let mut fronts: Vec<Arc<Made>> = Vec::with_capacity(shape.nodes.len());
        let mut pivots = Pivots::NONE;
        for (k, node) in shape.nodes.iter().enumerate() {
            let known = self.alike(shape, k, described, &fronts).or_else(|| {
                let content = content(shape, k, described, &fronts);
                self.elsewhere(shape, k, &content)
            });
            let front = known.unwrap_or_else(|| {
                self.made += 1;
                self.anew += 1;
                let content = content(shape, k, described, &fronts);
                let own = &shape.own[node.own.clone()];
                let pieces = parts[node.parts.clone()].iter().map(|&(_, part)| source.make(part));
                let children: Vec<&Made> =
                    shape.children(k).iter().map(|&c| &*fronts[c as usize]).collect();
                let room = &mut self.room.front;
                Arc::new(Made::new(self.made, content, own, pieces.collect(), &children, room))
            });
            pivots.join(front.pivots);
            fronts.push(front);
        }
        let place = &mut self.room.place;
        for (k, &unknown) in (0..).zip(&shape.own) {
            if place.len() <= unknown as usize {
                place.resize(unknown as usize + 1, u32::MAX);
            }
            place[unknown as usize] = k;
        }
        let before = self.kept.shared(shape.key).find(|f| f.shape.id == shape.before);
        let was = before.map(|before| before.was(shape, &fronts));
        let place = |unknown: u32| place[unknown as usize];
        let (at, starts) = match before.zip(was.as_ref()) {
            Some((before, was)) => before.places(was, &fronts, place),
            None => places(&fronts, place),
        };
        let passes = before.zip(was).map(|(before, was)| Passes::after(before, was));
        Eliminated {
            shape: Arc::clone(shape),
            described: described.to_vec(),
            fronts,
            at,
            starts,
            pivots,
            answers: Mutex::default(),
            passes: Mutex::new(passes.unwrap_or_default()),
        }
    }
}

impl Keeper {
    /// The same front of a strand of the same shape, or of the one before.
    fn alike(
        &self,
        shape: &Shape,
        k: usize,
        described: &[u64],
        fronts: &[Arc<Made>],
    ) -> Option<Arc<Made>> {
        let node = &shape.nodes[k];
        let children = shape.children(k);
        let same = |f: &Eliminated| {
            let at = shape.place_in(&f.shape, k)?;
            let theirs = f.shape.children(at);
            let same = f.described[f.shape.nodes[at].parts.clone()]
                == described[node.parts.clone()]
                && children.len() == theirs.len()
                && children
                    .iter()
                    .zip(theirs)
                    .all(|(&c, &t)| f.fronts[t as usize].version == fronts[c as usize].version);
            same.then(|| Arc::clone(&f.fronts[at]))
        };
        self.kept.of(shape.key).find_map(same)
    }

    /// The same front of a strand of another shape.
    fn elsewhere(&self, shape: &Shape, k: usize, content: &[u64]) -> Option<Arc<Made>> {
        self.kept
            .of(shape.key)
            .filter(|f| shape.place_in(&f.shape, k).is_none())
            .filter_map(|f| f.fronts.get(f.shape.place(shape.nodes[k].tree)?))
            .find(|made| made.content == content)
            .cloned()
    }
}
