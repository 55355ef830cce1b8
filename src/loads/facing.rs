//! What the wind sees at each post's head: half the post, and its part of the beams it carries.
//!
//! These areas follow from what stands and how it is joined, not from any load. [`Facing`] keeps them
//! from stage to stage, and with them the parts of the force at the head, and works out anew those about
//! which something differs.
//!
//! Holds if: over shipped scenes and random sequences the mechanics, which is made of them among others,
//! is that of the stage alone (`tests/mechanics/sequences.rs`, `tests/mechanics/random_sequences.rs`).

use super::carriers::{bears, passes};
use super::lateral::{self, HeadLateral};
use super::sails::Sail;
use super::sheet::axis_of;
use super::{BeamLoad, LoadState};
use crate::assembly::{Assembly, JointKind, MemberId, Role};
use crate::chunks::Chunks;
use crate::criteria::Pack;
use crate::sequence::Stage;
use crate::sequence::changed::{Marks, below, touched};
use std::sync::Arc;

/// Areas at a head, square metres.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Areas {
    pub half_post: f64,
    /// Of the beams, as seen along and across `axis`.
    pub facing: [f64; 2],
    /// The axis of the post's block in plan.
    pub axis: [f64; 2],
}

/// Areas at the heads of one stage after another, and what acts there, of one assembly under one pack.
#[derive(Clone, Debug, Default)]
pub struct Facing {
    before: Option<(Stage, Loaded)>,
    /// By member.
    kept: Vec<Option<Areas>>,
    parts: Vec<Option<HeadLateral>>,
    /// Members at whose heads something may be otherwise than at the stage before.
    forgotten: Vec<MemberId>,
    /// Stages it has gone to.
    gone: u64,
}

/// What of the loads acts at heads.
#[derive(Clone, Debug)]
struct Loaded {
    on: Chunks<Arc<Vec<BeamLoad>>>,
    edge: Chunks<[f64; 2]>,
    sails: Vec<Sail>,
}

impl Facing {
    /// Goes on to a stage and its loads: what may be otherwise there is forgotten.
    pub fn go_to(&mut self, assembly: &Assembly, stage: &Stage, loads: &LoadState) {
        let Self { before, kept, parts, forgotten, gone } = self;
        *gone += 1;
        forgotten.clear();
        if let Some((before, then)) = before {
            for &id in seen_anew(assembly, &touched(assembly, before, stage)).list() {
                (kept[id.index()], parts[id.index()]) = (None, None);
                forgotten.push(id);
            }
            let sails = then.sails.iter().chain(&loads.sails).filter(|_| then.sails != loads.sails);
            let loaded = loads.on.differences(&then.on);
            let edges = loads.edge_lateral.differences(&then.edge);
            for index in loaded.chain(edges).chain(sails.map(|sail| sail.post.index())) {
                parts[index] = None;
                forgotten.extend(assembly.members.get(index).map(|member| member.id));
            }
        } else {
            forgotten.extend(assembly.members.iter().map(|member| member.id));
            *kept = vec![None; assembly.members.len()];
            *parts = vec![None; assembly.members.len()];
        }
        let (on, edge) = (loads.on.clone(), loads.edge_lateral.clone());
        *before = Some((stage.clone(), Loaded { on, edge, sails: loads.sails.clone() }));
    }

    /// Members at whose heads something may be otherwise than at the stage before, some of them several
    /// times.
    #[must_use]
    pub fn forgotten(&self) -> &[MemberId] {
        &self.forgotten
    }

    /// How many stages it has gone to.
    #[must_use]
    pub fn gone(&self) -> u64 {
        self.gone
    }

    /// Of the stage it has gone to: the areas at a head, and the parts of the force there.
    pub(super) fn at_head(
        &mut self,
        (assembly, pack): (&Assembly, &Pack),
        stage: &Stage,
        loads: &LoadState,
        post: MemberId,
    ) -> (Areas, HeadLateral) {
        let (index, found) = (post.index(), || areas_at_head(assembly, stage, post));
        let areas = known(self.kept.get_mut(index), found);
        let found = || lateral::parts(assembly, pack, loads, post, &areas);
        (areas, known(self.parts.get_mut(index), found))
    }
}

/// What is kept, or is found and kept where there is room for it.
fn known<T: Copy>(kept: Option<&mut Option<T>>, found: impl Fn() -> T) -> T {
    kept.map_or_else(&found, |kept| *kept.get_or_insert_with(&found))
}

/// Members about which something differs, with the posts whose beams have to do with them through
/// fillers and other posts.
pub(crate) fn seen_anew(assembly: &Assembly, touched: &[MemberId]) -> Marks {
    let mut off = Marks::none(assembly.members.len());
    for &id in touched {
        off.add(id);
        for beam in below(assembly, id) {
            off.add(beam);
            below(assembly, beam).for_each(|post| {
                off.add(post);
            });
        }
    }
    off
}

/// Area of half the post, and of what it carries as seen along and across the block's axis.
pub(super) fn areas_at_head(assembly: &Assembly, stage: &Stage, post: MemberId) -> Areas {
    let member = assembly.member(post);
    let half_post =
        assembly.library.posts.get(&member.part).map_or(0.0, |p| {
            0.5 * member.length() * p.outer.outside.si().max(p.inner.outside.si())
        });
    let axis = axis_of(assembly, member);
    let mut facing = [0.0; 2];
    for &j in assembly.joints_of(post) {
        let joint = assembly.joint(j);
        if joint.kind != JointKind::Head
            || joint.carrier != Some(post)
            || passes(assembly, stage, j).is_none()
        {
            continue;
        }
        add(&mut facing, beam_area(assembly, stage, joint.member, axis));
        // Fillers hand their wind to the beams they lie on, and those to the posts.
        for &r in assembly.joints_of(joint.member) {
            let rest = assembly.joint(r);
            let filler = assembly.member(rest.member);
            if rest.carrier == Some(joint.member)
                && filler.role == Role::Filler
                && bears(assembly, stage, rest)
            {
                let share = 1.0 / bearings(assembly, stage, joint.member);
                let part = beam_area(assembly, stage, filler.id, axis);
                add(&mut facing, [part[0] * share, part[1] * share]);
            }
        }
    }
    Areas { half_post, facing, axis }
}

fn add(sum: &mut [f64; 2], part: [f64; 2]) {
    sum[0] += part[0];
    sum[1] += part[1];
}

/// One support's share of a beam's area as seen along the two axes.
fn beam_area(assembly: &Assembly, stage: &Stage, beam: MemberId, axis: [f64; 2]) -> [f64; 2] {
    let member = assembly.member(beam);
    let depth = assembly.library.beams.get(&member.part).map_or(0.0, |b| b.depth.si());
    let d = member.ends[1] - member.ends[0];
    let (along, across) = (d.x * axis[0] + d.y * axis[1], d.y * axis[0] - d.x * axis[1]);
    let share = depth / bearings(assembly, stage, beam);
    [across.abs() * share, along.abs() * share]
}

fn bearings(assembly: &Assembly, stage: &Stage, beam: MemberId) -> f64 {
    let count = assembly
        .joints_of(beam)
        .iter()
        .map(|&j| assembly.joint(j))
        .filter(|j| j.member == beam && bears(assembly, stage, j))
        .count();
    count.max(1) as f64
}
