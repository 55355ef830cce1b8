//! A stage's frame on the lasting tree of its assembly.
//!
//! Unknowns keep their number over the whole sequence: a node is known by its post and its
//! station on it. What is shared between posts are the displacements of the nodes at which
//! something may ever be fixed; rotations, and nodes where only the tube changes, are the post's
//! own and are condensed in its leaf, with the inertia of what is condensed counted. The stage is divided
//! into strands (`super::strands`), each on its part of the tree.

mod answered;
mod carried;
mod divide;
mod entries;
mod feet;
mod kept;
mod lay;
mod loose;
mod parts;
mod planes;
mod redivide;
mod resting;
mod solution;
mod solve;
mod source;
mod unlike;

use super::dissection::Dissection;
use super::factor::{Factor, Keeper};
use super::known::Known;
use super::shapes::Shapes;
use super::strands::Plan;
use crate::assembly::model::{Assembly, MemberId};
use crate::mechanics::answers::Unknown;
use crate::mechanics::frame::{Dof, FrameError, Support};
use crate::mechanics::stage::idealise::StageFrame;
pub use answered::Answered;
use entries::Entries;
use kept::{Kept, STAGES};
pub use loose::Loose;
use parts::{Owner, Parts};
pub use resting::Resting;
pub use solution::TreeSolution;
use source::Laid;
use std::collections::BTreeMap;
use std::sync::Arc;
use std::time::Duration;
pub use unlike::{Beside, Stiffened, Unlike};

/// A joint this near a node makes it a shared one, metres.
const AT_JOINT: f64 = 0.006;

/// The lasting part: tree, numbers, and the fronts of the stage before.
#[derive(Clone, Debug)]
pub struct Engine {
    tree: Dissection,
    post_of: BTreeMap<MemberId, usize>,
    /// By post: stations at which something may be fixed.
    shared_stations: Vec<Vec<f64>>,
    /// By post: every station at which a node may ever lie, ascending, and its first number.
    stations: Vec<(Vec<f64>, u32)>,
    /// How many nodes there may ever be.
    most_nodes: usize,
    known: Known,
    shapes: Shapes,
    kept: Kept,
    taken: Option<Taken>,
    /// What was asked to be proven last.
    asked: Option<Asked>,
    made: Entries,
}

/// The frame taken up last, and what it was laid out to. While loads alone change it is taken up again.
#[derive(Clone, Debug)]
struct Taken {
    frame: Arc<StageFrame>,
    held: Vec<Dof>,
    laid: Arc<Laid>,
    /// The same members on other supports, with what is held besides; the latest last.
    others: Vec<(Vec<Support>, Vec<Dof>, Arc<Laid>)>,
    /// The frame before, which this one was made of.
    before: Option<Arc<Laid>>,
}

/// A stage under axial forces, and its factor.
#[derive(Clone, Debug)]
struct Asked {
    laid: Arc<Laid>,
    axial: Vec<f64>,
    factor: Factor,
}

/// Other supports kept at most: the few contact states of a stage.
const OTHERS: usize = 24;

impl Engine {
    /// One that condenses nothing and takes over nothing: each matrix that is asked for is put together
    /// of all unknowns and factorised afresh by the general sparse solver. Its answers are those of
    /// [`Engine::new`] but for round-off, which makes it the check of the tree and what its speed is
    /// measured against.
    #[must_use]
    pub fn plainly(assembly: &Assembly) -> Self {
        let mut engine = Self::new(assembly);
        engine.kept.each().into_iter().for_each(|keeper| *keeper = Keeper::plainly());
        engine
    }

    #[must_use]
    pub fn new(assembly: &Assembly) -> Self {
        let posts: Vec<MemberId> =
            assembly.members.iter().filter(|m| m.is_post()).map(|m| m.id).collect();
        let post_of: BTreeMap<MemberId, usize> =
            posts.iter().enumerate().map(|(k, &id)| (id, k)).collect();
        let plan: Vec<[f64; 2]> = posts
            .iter()
            .map(|&p| [assembly.member(p).ends[0].x, assembly.member(p).ends[0].y])
            .collect();
        let mut shared_stations: Vec<Vec<f64>> =
            posts.iter().map(|&p| vec![assembly.member(p).length()]).collect();
        let mut joined = Vec::new();
        for member in &assembly.members {
            let mut on: Vec<usize> = Vec::new();
            for &j in assembly.joints_of(member.id) {
                let joint = assembly.joint(j);
                if joint.member != member.id {
                    continue;
                }
                if let Some(&post) = joint.carrier.and_then(|c| post_of.get(&c)) {
                    shared_stations[post].push(joint.carrier_at);
                    on.push(post);
                }
            }
            if let Some(&own) = post_of.get(&member.id) {
                // A post standing on another shares its foot.
                shared_stations[own].push(0.0);
                on.push(own);
            }
            for a in 0..on.len() {
                for b in a + 1..on.len() {
                    joined.push((on[a], on[b]));
                }
            }
        }
        for bay in &assembly.deck_bays {
            let [a, b] = bay.corners.map(|post| post_of.get(&post));
            joined.extend(a.zip(b).map(|(&a, &b)| (a, b)));
        }
        let mut stations = Vec::with_capacity(posts.len());
        let mut most_nodes = 0;
        for (&post, shared) in posts.iter().zip(&shared_stations) {
            let member = assembly.member(post);
            let jack = member.jack.as_ref().map_or(0.0, |(_, extension)| *extension);
            let outer =
                assembly.library.posts.get(&member.part).map_or(0.0, |p| p.outer_length.si());
            let mut all = vec![0.0, jack, jack + outer];
            all.extend(crate::mechanics::stage::sections::overlap_from(assembly, member));
            all.extend(shared);
            all.sort_by(f64::total_cmp);
            all.dedup();
            let first = u32::try_from(most_nodes).unwrap_or(u32::MAX);
            most_nodes += all.len();
            stations.push((all, first));
        }
        Self {
            tree: Dissection::new(&plan, &joined),
            post_of,
            shared_stations,
            stations,
            most_nodes,
            known: Known::default(),
            shapes: Shapes::of_stages(STAGES),
            kept: Kept::default(),
            taken: None,
            asked: None,
            made: Entries::default(),
        }
    }

    /// Forgets all but the tree: the next stage is numbered, divided and factorised from nothing.
    pub fn forget(&mut self) {
        self.forget_numbers();
        self.known = Known::default();
        self.shapes = Shapes::of_stages(STAGES);
        self.taken = None;
    }

    /// Forgets what has numbers in it: fronts, answers, matrices of members. Numbering, strands and their
    /// shapes stay, of the last stages and of the contact states of the last.
    pub fn forget_numbers(&mut self) {
        self.kept.each().into_iter().for_each(|keeper| *keeper = keeper.emptied());
        self.made = Entries::default();
        self.asked = None;
        if let Some(taken) = &mut self.taken {
            let others = taken.others.iter_mut().map(|(.., laid)| laid);
            others.chain([&mut taken.laid]).for_each(|laid| *laid = Arc::new(laid.unasked()));
            taken.before = None;
        }
    }

    /// Time that went into places and orders of elimination in the plain way ([`Engine::plainly`]).
    #[must_use]
    pub fn ordering(&self) -> Duration {
        let Kept { first_order, strain, proof, second_order } = &self.kept;
        [first_order, strain, proof, second_order].iter().map(|keeper| keeper.ordering).sum()
    }

    /// Fronts made anew at the last stage: first order, strain, proof, second order; and how many
    /// there are.
    #[must_use]
    pub fn renewed(&self) -> ([usize; 4], usize) {
        let Kept { first_order, strain, proof, second_order } = &self.kept;
        ([first_order, strain, proof, second_order].map(|k| k.anew), first_order.fronts)
    }

    /// Begins a stage: what the last few had no use for is given up, unless it is held: what is asked of a
    /// frame without loads and with all feet down is of use as long as the frame is.
    pub fn begin_stage(&mut self) {
        self.kept.each().into_iter().for_each(Keeper::begin_stage);
        self.shapes.begin_stage();
    }

    /// Takes up a stage's frame with some degrees of freedom held.
    ///
    /// # Errors
    /// What the frame's own check says, or a node that no post owns.
    pub fn take<'e>(
        &'e mut self,
        frame: &'e Arc<StageFrame>,
        pins: &[Dof],
    ) -> Result<OnTree<'e>, Unknown> {
        if let Some(taken) = &self.taken
            && taken.held == pins
            && Arc::ptr_eq(&taken.frame, frame)
        {
            let laid = Arc::clone(&taken.laid);
            return Ok(self.on(frame, laid));
        }
        let before = self.taken.take();
        frame.frame.check()?;
        let (parts, before) = self.parts(frame, before)?;
        let laid = self.lay(frame, &frame.frame.supports, &Arc::new(parts), pins, before.as_ref());
        let laid = Arc::new(laid);
        self.taken = Some(Taken {
            frame: Arc::clone(frame),
            held: pins.to_vec(),
            laid: Arc::clone(&laid),
            others: Vec::new(),
            before,
        });
        Ok(self.on(frame, laid))
    }

    fn on<'e>(&'e mut self, frame: &'e StageFrame, laid: Arc<Laid>) -> OnTree<'e> {
        let (factored, stiffened) = (None, None);
        OnTree { engine: self, frame, laid, factored, stiffened }
    }
}

/// A stage on the tree.
pub struct OnTree<'e> {
    engine: &'e mut Engine,
    frame: &'e StageFrame,
    laid: Arc<Laid>,
    /// The factor of first order; that of second order, with what it is the factor of.
    factored: Option<Arc<Factor>>,
    stiffened: Option<Stiffened>,
}

impl OnTree<'_> {
    /// Holds these degrees of freedom and no others. Nothing is factorised then.
    pub fn hold(&mut self, pins: &[Dof]) {
        let laid = &self.laid;
        let supports = &self.frame.frame.supports;
        let laid = self.engine.lay(self.frame, supports, &laid.parts, pins, Some(laid));
        self.laid = Arc::new(laid);
        (self.factored, self.stiffened) = (None, None);
    }

    /// How the stage is divided into strands: into lines, and taken apart into upright planes where that
    /// can be.
    pub fn divisions(&mut self) -> (Arc<Plan>, Option<Arc<Plan>>) {
        let apart = self.engine.apart(&self.laid);
        (Arc::clone(&self.laid.plan), apart.map(|apart| Arc::clone(&apart.plan)))
    }

    /// The same members on other supports, as with feet that have lifted, on the same tree.
    ///
    /// # Errors
    /// What the frame's own check says.
    pub fn on_supports(
        &mut self,
        supports: &[Support],
        pins: &[Dof],
    ) -> Result<OnTree<'_>, Unknown> {
        if !supports.iter().any(|s| s.fixed.iter().any(|f| *f)) {
            return Err(FrameError::NoSupport.into());
        }
        let others = self.engine.taken.as_mut().map(|taken| &mut taken.others);
        let known = others.and_then(|others| {
            let same = |(on, held, _): &(Vec<Support>, Vec<Dof>, _)| held == pins && on == supports;
            let at = others.iter().position(same)?;
            // What was used last is last.
            others[at..].rotate_left(1);
            others.last().map(|(.., laid)| Arc::clone(laid))
        });
        let laid = if let Some(laid) = known {
            laid
        } else {
            let parts = &self.laid.parts;
            let laid = self.engine.lay(self.frame, supports, parts, pins, Some(&self.laid));
            let laid = Arc::new(laid);
            if let Some(taken) = &mut self.engine.taken {
                if taken.others.len() >= OTHERS {
                    taken.others.remove(0);
                }
                taken.others.push((supports.to_vec(), pins.to_vec(), Arc::clone(&laid)));
            }
            laid
        };
        Ok(self.engine.on(self.frame, laid))
    }
}
