//! From the frame of a stage to rigid bodies: which posts, bars and feet, and how strong.
//!
//! - A post is a body; one that stands on another rests on it, pinned where the splice says so.
//! - A foot on ground presses, holds sideways by friction, and against turning by its plate, less
//!   what a post as far out of plumb as is allowed has spent of it. A foot that stands off the
//!   middle of its sill is given no plate.
//! - A diagonal passes what its data and coupler allow; ledgers, joists and ties are taken as
//!   strong enough, which is another check's affair.
//! - A post whose tubes or jack are not joined comes apart when it is pulled.
//! - A head secured to a slab that carries itself is held sideways by it, and by nothing upwards.
//! - Beams are weights at the heads and bars between them: what a beam on two heads brings to each
//!   does not change when a head rises.

use super::bodies::{BarOf, Bodies, Body, MadeOf, On, foot, secured};
use super::layout::{Layout, stands_on_post};
use super::statics::{Bar, Blocks, Cut};
use crate::assembly::ground;
use crate::assembly::model::{Assembly, Member, MemberId, Point, Role, Vector};
use crate::criteria::Pack;
use crate::loads::LoadState;
use crate::mechanics::stage::cases;
use crate::mechanics::stage::idealise::StageFrame;
use crate::restraint::diaphragm;
use crate::sequence::Stage;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

/// A floor this far under a foot is the one it stands on: the thickest sill, metres.
const SILL: f64 = 0.35;

/// A stage's frame with what acts on it in one state of its loads.
pub struct Subject<'a> {
    pub assembly: &'a Assembly,
    pub pack: &'a Pack,
    pub stage: &'a Stage,
    pub frame: &'a StageFrame,
    pub(super) layout: Arc<Layout>,
    /// By member: a post of the frame as a body.
    bodies: Vec<Option<Arc<Body>>>,
    /// Something was set down that a step brought: concrete, bundles.
    pub loaded: bool,
}

impl<'a> Subject<'a> {
    /// Reads the loads, with what was made of the stage before, which is replaced.
    pub(super) fn with(
        (assembly, pack): (&'a Assembly, &'a Pack),
        stage: &'a Stage,
        frame: &'a StageFrame,
        layout: &Arc<Layout>,
        loads: &LoadState,
        kept: &mut Option<Bodies>,
    ) -> Self {
        let mut out = Self {
            assembly,
            pack,
            stage,
            frame,
            layout: Arc::clone(layout),
            bodies: vec![None; assembly.members.len()],
            loaded: !stage.loads.is_empty(),
        };
        let same = kept.as_ref().map(|k| k.same(assembly, stage, loads));
        let before = |post: MemberId| kept.as_ref().and_then(|k| k.made[post.index()].as_ref());
        let still = |post: MemberId| {
            before(post).filter(|_| same.as_ref().is_some_and(|same| same[post.index()]))
        };
        let on_ground: BTreeSet<MemberId> = frame.feet.iter().map(|&(_, post)| post).collect();
        let mut weights = out.weights(loads, &|post| still(post).is_none());
        for &post in frame.posts.keys() {
            let index = post.index();
            out.bodies[index] = Some(match (still(post), before(post)) {
                (Some(still), _) => Arc::clone(still),
                (None, before) => {
                    let weights = std::mem::take(&mut weights[index]);
                    let body = out.body(post, on_ground.contains(&post), weights, loads);
                    match before {
                        Some(before) if **before == body => Arc::clone(before),
                        _ => Arc::new(body),
                    }
                }
            });
        }
        let made = out.bodies.clone();
        *kept = Some(Bodies { stage: stage.clone(), loads: loads.clone(), made });
        out
    }

    /// By post that is asked for: the weights at its nodes.
    fn weights(
        &self,
        loads: &LoadState,
        asked: &dyn Fn(MemberId) -> bool,
    ) -> Vec<Vec<(MemberId, bool, Point, Vector)>> {
        let mut out = vec![Vec::new(); self.assembly.members.len()];
        for (&post, chain) in self.frame.posts.iter() {
            let (Some(&(_, foot)), Some(&(_, head))) = (chain.first(), chain.last()) else {
                continue;
            };
            for (is_foot, node) in [(false, head), (true, foot)] {
                let Some(of) = self.layout.owner[node].filter(|&of| asked(of)) else { continue };
                let force = match is_foot {
                    true => 0.5 * self.assembly.member(post).weight,
                    false => cases::head_weight(self.assembly, loads, post),
                };
                let at = self.frame.frame.nodes[node];
                out[of.index()].push((post, is_foot, at, Vector::new(0.0, 0.0, -force)));
            }
        }
        out
    }

    fn body(
        &self,
        post: MemberId,
        on_ground: bool,
        weights: Vec<(MemberId, bool, Point, Vector)>,
        loads: &LoadState,
    ) -> Body {
        let member = self.assembly.member(post);
        let on = match stands_on_post(self.assembly, self.stage, self.frame, post) {
            Some((lower, passes)) => Some(On::Post(lower, passes)),
            None => on_ground.then(|| On::Ground {
                normal: self.normal(&member.ends[0]),
                plate: self.plate(member),
            }),
        };
        Body {
            on,
            cuts: self.cuts(member),
            facing: crate::loads::head_facing(self.assembly, self.pack, self.stage, loads, post),
            head: self.frame.head(post).map(|node| self.frame.frame.nodes[node]),
            secured: self.stage.strip.secured.contains(&post) && !member.damaged,
            on_ground,
            weights,
        }
    }

    pub(super) fn body_of(&self, post: MemberId) -> Option<&Arc<Body>> {
        self.bodies.get(post.index())?.as_ref()
    }

    /// Whether a post's foot is on ground.
    pub(super) fn on_ground(&self, post: MemberId) -> bool {
        self.body_of(post).is_some_and(|body| body.on_ground)
    }

    /// All that programs on these posts and bars are made of.
    pub(super) fn made_of(&self, posts: &[MemberId], bars: &[usize]) -> MadeOf {
        let bar = |&k: &usize| {
            let bar = &self.frame.frame.members[k];
            let end = |node: usize| (self.layout.owner[node], self.frame.frame.nodes[node]);
            BarOf { member: self.frame.of[k], ends: [end(bar.i), end(bar.j)] }
        };
        MadeOf {
            posts: posts.to_vec(),
            bodies: posts.iter().map(|&post| self.body_of(post).cloned()).collect(),
            bars: bars.iter().map(bar).collect(),
            loaded: self.loaded,
        }
    }

    /// These posts and bars as bodies, pushed along a plan direction; in the upright plane along
    /// it, or in space. Friction is as given; feet that are `idle` bear and hold nothing else.
    #[must_use]
    pub fn blocks(
        &self,
        posts: &[MemberId],
        bars: &[usize],
        direction: [f64; 2],
        plane: Option<[f64; 2]>,
        (friction, idle): (f64, &BTreeSet<MemberId>),
    ) -> Blocks {
        let mut out = Blocks { plane, ..Blocks::default() };
        let number: BTreeMap<MemberId, usize> =
            posts.iter().enumerate().map(|(k, &post)| (post, k)).collect();
        let of_node =
            |node: usize| self.layout.owner[node].and_then(|post| number.get(&post).copied());
        let place = |node: usize| self.frame.frame.nodes[node];
        let way = Vector::new(direction[0], direction[1], 0.0);
        let mut weights = Vec::new();
        for (own, &post) in posts.iter().enumerate() {
            let member = self.assembly.member(post);
            out.bodies.push(member.ends[0]);
            let Some(body) = self.body_of(post) else { continue };
            let friction = if idle.contains(&post) { 0.0 } else { friction };
            out.contacts.extend(foot(member, body, (own, &number), friction));
            out.cuts.extend(body.cuts.iter().map(|&level| Cut { body: own, level }));
            weights.extend(
                body.weights.iter().map(|&(of, foot, at, force)| (of, foot, own, at, force)),
            );
            let Some(head) = body.head else { continue };
            if body.secured {
                out.bars.extend(secured(own, head, plane));
            }
            let force = body.facing.along(direction);
            let (sails, above) = body.facing.sails_along(direction);
            out.live.push((own, head, way * (force - sails)));
            if sails > 0.0 {
                out.live.push((own, head + Vector::z() * above, way * sails));
            }
        }
        weights.sort_by_key(|&(of, foot, ..)| (of, foot));
        out.dead.extend(weights.into_iter().map(|(_, _, own, at, force)| (own, at, force)));
        for &k in bars {
            let bar = &self.frame.frame.members[k];
            let ends = [bar.i, bar.j].map(|node| (of_node(node), place(node)));
            if ends.iter().any(|(body, _)| body.is_some()) {
                let (pull, push) = self.strength(self.assembly.member(self.frame.of[k]));
                out.bars.push(Bar { ends, pull, push });
            }
        }
        out
    }

    fn normal(&self, at: &Point) -> Vector {
        ground::normal(&self.assembly.scene, at, SILL).unwrap_or_else(Vector::z)
    }

    /// Whether every foot of these posts stands on level ground.
    #[must_use]
    pub fn level(&self, posts: &[MemberId]) -> bool {
        posts.iter().all(|&p| self.normal(&self.assembly.member(p).ends[0]).z > 1.0 - 1e-12)
    }

    /// Lever of a post's plate: half its width, less what the pack's out-of-plumb takes of it over
    /// the post's height; none where it stands off its sill's middle. Metres.
    #[must_use]
    pub fn plate(&self, member: &Member) -> f64 {
        if member.off_sill.iter().any(|o| *o != 0.0) {
            return 0.0;
        }
        let library = &self.assembly.library;
        let width = match &member.jack {
            Some((jack, _)) => library.jacks.get(jack).map(|j| j.plate.si()),
            None => library.posts.get(&member.part).map(|p| p.base_plate.si()),
        };
        let leans = self.pack.out_of_plumb.value.si().tan() * member.length();
        (0.5 * width.unwrap_or(0.0) - leans).max(0.0)
    }

    /// Levels at which a post comes apart when pulled; all of it where the data do not say.
    fn cuts(&self, member: &Member) -> Vec<f64> {
        let library = &self.assembly.library;
        let foot = member.ends[0].z;
        let extension = member.jack.as_ref().map_or(0.0, |(_, e)| *e);
        let mut out = Vec::new();
        if let Some((jack, _)) = &member.jack
            && !library.jacks.get(jack).is_some_and(|j| j.joined_in_tension)
        {
            out.push(foot + 0.5 * extension);
        }
        let part = library.posts.get(&member.part);
        if !part.is_some_and(|p| p.joined_in_tension) {
            let outer = part.map_or(0.0, |p| p.outer_length.si());
            let level = (extension + outer).min(0.999 * member.length());
            out.push(foot + level);
        }
        out
    }

    /// Greatest pull and push of a member that acts along itself.
    fn strength(&self, member: &Member) -> (f64, f64) {
        if member.role == Role::Sheet {
            // What a deck's nailing carries, from corner to corner of its bay.
            let most = self
                .assembly
                .deck_bay_from(member.id)
                .map_or(0.0, |bay| diaphragm::corner_force(self.assembly, bay));
            return (most, most);
        }
        let Some(brace) = self.assembly.library.braces.get(&member.part) else {
            return (f64::INFINITY, f64::INFINITY);
        };
        let coupler = match member.role {
            Role::Brace | Role::PlanBrace | Role::TieIn => brace.coupler.si(),
            _ => f64::INFINITY,
        };
        let pull = brace.tension.si().min(coupler);
        // Rods that only pull stand in pairs: the other of the two takes the push as its pull.
        let push = brace.compression.map_or(pull, |c| c.si().min(coupler));
        (pull, push)
    }
}
