//! One-way contact: what tips, lifts or slides.
//!
//! A ledger, joist, bearer, filler or sheet that runs past its last support turns about it like a
//! see-saw. [`judge_stage`] looks at each of them as it is loaded at the stage, and then with people
//! on it. Only weight that lies on the member itself, behind the support, keeps it down, and a
//! hold-down at a support *behind* the one it turns about: at the turning support itself a clip has
//! no lever and holds nothing, whatever its strength. A hold-down passes its pull on to a post, so
//! it is worth no more than what keeps that post down.

use crate::assembly::{Assembly, JointId, MemberId, Role};
use crate::criteria::Pack;
use crate::loads::LoadState;
use crate::scene::model::LoadKind;
use crate::sequence::Stage;
use crate::sequence::changed::touched;
use std::borrow::Cow;

mod bars;
mod edge;
mod hold_down;
pub mod pieces;
mod shared;
mod sheets;
pub mod tipping;

pub use pieces::overhangs::{Overhang, Overhangs};
pub use pieces::{Sideways, Way};
pub use shared::Shared;
pub use tipping::{Balance, tipping_factor};

/// A member that runs past its last support, in its worst loading.
#[derive(Clone, Debug, PartialEq)]
pub struct Tipping {
    pub member: MemberId,
    /// The support it turns about.
    pub fulcrum: JointId,
    pub overhang: f64,
    /// From the support it turns about to the farthest one behind; 0 where there is none.
    pub back_span: f64,
    /// Moments about the fulcrum in the worst loading, newton metres, before factors. What a
    /// hold-down adds is not in `stabilising`.
    pub overturning: f64,
    pub stabilising: f64,
    /// (stabilising + hold-down) / overturning without people on it, with one worker at the tip, and
    /// with the pack's worst. Infinite where nothing turns it.
    pub factor_empty: f64,
    pub factor_one_worker: f64,
    pub factor: f64,
    /// The worst without any hold-down.
    pub factor_unheld: f64,
    pub required: f64,
    /// Clip that is fixed at a support behind.
    pub clip: Option<JointId>,
    /// Pull at the clip, or else at the farthest support behind, that gives the required factor in
    /// the worst loading; newtons, 0 where none is needed, infinite where there is no support behind.
    pub hold_down: f64,
    /// The same for a factor of 1.
    pub hold_down_to_balance: f64,
    /// Pull that the clip, or else the head behind, really passes: the least of its own strength and
    /// what keeps the post down.
    pub held_by: f64,
    /// Post below the clip, or else below the farthest support behind.
    pub clip_post: Option<MemberId>,
    /// What keeps that post down: what else bears on its head, and its own weight if its parts are
    /// joined in tension.
    pub post_weight: f64,
    /// The pull reaches the post: its parts, jack included, are joined in tension, or what else bears
    /// on the head outweighs the pull so that no part of the post is ever in tension.
    pub joined_in_tension: bool,
    /// People at their worst: levers past the support and newtons. Those who walk there while others
    /// work next to it: the same. And what tips without being a weight, rail and wind: newton metres.
    pub people: Vec<(f64, f64)>,
    pub access: Option<(f64, f64)>,
    pub couple: f64,
    /// Sentences with the numbers in them, in the order one would do it by hand.
    pub working: Vec<String>,
}

/// The equilibrium answers for one stage.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct StageEquilibrium {
    /// By member, then end; those in hand are left out.
    pub tipping: Vec<Tipping>,
    /// Overhangs that pull on one post together.
    pub shared: Vec<Shared>,
    /// What slides or tips under the sideways loads; empty where only overhangs were asked.
    pub sideways: Sideways,
    /// Whether what is held down at overhangs is; empty where only overhangs were asked.
    pub overhangs: Overhangs,
    pub unknown: Vec<(MemberId, String)>,
}

/// Shortest overhang that counts, metres: what a boot can step on. Choice of this project.
pub const LEAST_OVERHANG: f64 = 0.05;

/// Judges every overhang of a stage.
#[must_use]
pub fn judge_stage(
    assembly: &Assembly,
    pack: &Pack,
    stage: &Stage,
    loads: &LoadState,
) -> StageEquilibrium {
    Judge::new(assembly, pack).stage(stage, loads)
}

/// Judges the overhangs of the stages of one assembly; each answer is that of [`judge_stage`]. Where
/// a sheet lies does not change while its joints do not: one that ends at its supports is not looked
/// at again.
pub struct Judge<'a> {
    assembly: &'a Assembly,
    pack: &'a Pack,
    kept: Option<Stage>,
    /// By member: a sheet that stands with its edges on its supports.
    covered: Vec<bool>,
}

impl<'a> Judge<'a> {
    #[must_use]
    pub fn new(assembly: &'a Assembly, pack: &'a Pack) -> Self {
        Self { assembly, pack, kept: None, covered: vec![false; assembly.members.len()] }
    }

    /// Judges every overhang of a stage.
    #[must_use]
    pub fn stage(&mut self, stage: &Stage, loads: &LoadState) -> StageEquilibrium {
        if let Some(before) = &self.kept {
            for id in touched(self.assembly, before, stage) {
                self.covered[id.index()] = false;
            }
        }
        self.kept = Some(stage.clone());
        let ctx = Context::new(self.assembly, self.pack, stage, loads);
        judge(&ctx, &mut self.covered)
    }
}

fn judge(ctx: &Context<'_>, covered: &mut [bool]) -> StageEquilibrium {
    let (assembly, pack) = (ctx.assembly, ctx.pack);
    let mut out = StageEquilibrium::default();
    let mut pulls = Vec::new();
    for member in &assembly.members {
        if !ctx.stage.stands(member.id) {
            continue;
        }
        match member.role {
            Role::Ledger | Role::Joist | Role::DropBeam | Role::Filler => {
                bars::judge(ctx, member, &mut out, &mut pulls);
            }
            Role::Sheet if !covered[member.id.index()] => {
                covered[member.id.index()] = sheets::judge(ctx, member, &mut out);
            }
            _ => {}
        }
    }
    for shared in shared::judge(assembly, &pulls, pack.overturning.value) {
        match shared {
            Ok(shared) => out.shared.push(shared),
            Err((member, why)) => out.unknown.push((member, why.to_string())),
        }
    }
    out
}

/// The loads of a stage without people, who may walk off: they keep nothing down.
fn lasting<'a>(
    assembly: &Assembly,
    pack: &Pack,
    stage: &Stage,
    loads: &'a LoadState,
) -> Cow<'a, LoadState> {
    let people = |kind: LoadKind| kind == LoadKind::Workers;
    if stage.loads.iter().any(|l| people(l.text.kind)) {
        let rest: Vec<_> = stage.loads.iter().filter(|l| !people(l.text.kind)).collect();
        Cow::Owned(crate::loads::take_down_of(assembly, pack, stage, &rest))
    } else {
        Cow::Borrowed(loads)
    }
}

/// What all overhangs of a stage are judged with.
struct Context<'a> {
    assembly: &'a Assembly,
    pack: &'a Pack,
    stage: &'a Stage,
    /// With everybody on it.
    loads: &'a LoadState,
    /// Without people: they may walk off, so they keep nothing down.
    lasting: Cow<'a, LoadState>,
    /// Beams at slab edges that the scene describes.
    ledges: Vec<crate::loads::Ledge<'a>>,
}

impl<'a> Context<'a> {
    fn new(assembly: &'a Assembly, pack: &'a Pack, stage: &'a Stage, loads: &'a LoadState) -> Self {
        let lasting = lasting(assembly, pack, stage, loads);
        let ledges = crate::loads::ledges(assembly, stage);
        Self { assembly, pack, stage, loads, lasting, ledges }
    }

    /// Why a member's load cannot be trusted: its own weight, or that of something on it.
    fn unknown_weight(&self, member: MemberId) -> Option<String> {
        if self.loads.unknown.is_empty() {
            return None;
        }
        let mut ahead = vec![member];
        let mut seen = std::collections::BTreeSet::new();
        while let Some(here) = ahead.pop() {
            if !seen.insert(here) {
                continue;
            }
            if let Some((_, why)) = self.loads.unknown.iter().find(|u| u.0 == here) {
                return Some(why.clone());
            }
            ahead.extend(self.resting_on(here));
        }
        None
    }

    /// Members that rest on one.
    fn resting_on(&self, member: MemberId) -> impl Iterator<Item = MemberId> + '_ {
        self.assembly.joints_of(member).iter().filter_map(move |&j| {
            let joint = self.assembly.joint(j);
            let bears =
                crate::loads::passes(self.assembly, self.stage, j).is_some_and(|p| p.bearing);
            (joint.carrier == Some(member) && bears).then_some(joint.member)
        })
    }
}
