//! The sideways force that each head must stand at every stage: the greatest of a notional share of
//! its load, the working wind, and a worker's push.

use super::LoadState;
use super::facing::{Areas, Facing, areas_at_head};
use super::sails::FLAT_COEFFICIENT;
use crate::assembly::{Assembly, MemberId};
use crate::criteria::Pack;
use crate::sequence::Stage;

/// Half the density of air in kg/m³: q = 0.613 v² in Pa with v in m/s.
/// Source: ASCE/SEI 7, velocity pressure in SI (from memory); the same as q = ½ρv² with
/// ρ = 1.226 kg/m³.
pub const HALF_AIR_DENSITY: f64 = 0.613;

/// Force coefficient on the projected area of tubes and beams.
/// Common practice for round tubes (ASCE/SEI 7 gives 1.2 for round members of open frames).
pub const FORCE_COEFFICIENT: f64 = 1.2;

/// The parts of the sideways force at one head, newtons.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct HeadLateral {
    /// Vertical load at the head: what rests on it and half the post.
    pub vertical: f64,
    /// The pack's share of that.
    pub notional: f64,
    /// While concrete goes in: the head's part of the pack's least force along the floor's edge, along
    /// its block's axis and across it.
    pub edge: [f64; 2],
    /// Wind at the working speed on half the post, on the beams it carries and on what stands up
    /// above it, in the worse of the two axes; nothing is taken as sheltered by anything else.
    pub wind: f64,
    /// The part of the wind that edge forms and stacked material catch.
    pub sails: f64,
    /// One worker.
    pub push: f64,
}

impl HeadLateral {
    #[must_use]
    pub fn greatest(&self) -> f64 {
        self.notional.max(self.wind).max(self.push).max(self.edge[0]).max(self.edge[1])
    }
    /// Words for the part that governs.
    #[must_use]
    pub fn governs(&self) -> &'static str {
        let greatest = self.greatest();
        if self.push >= greatest {
            "a worker's push"
        } else if self.wind >= greatest {
            "the working wind"
        } else if self.edge[0].max(self.edge[1]) >= greatest {
            "the least force along the floor's edge"
        } else {
            "the notional share of the load"
        }
    }
}

/// The greatest of the three at a post's head, newtons.
#[must_use]
pub fn head_lateral(
    assembly: &Assembly,
    pack: &Pack,
    stage: &Stage,
    loads: &LoadState,
    post: MemberId,
) -> f64 {
    head_lateral_parts(assembly, pack, stage, loads, post).greatest()
}

/// All three at a post's head.
///
/// What stands up above the head is counted with more than its force: by how much farther from the
/// foot than the head it acts, so that the moment at the foot is right.
#[must_use]
pub fn head_lateral_parts(
    assembly: &Assembly,
    pack: &Pack,
    stage: &Stage,
    loads: &LoadState,
    post: MemberId,
) -> HeadLateral {
    parts(assembly, pack, loads, post, &areas_at_head(assembly, stage, post))
}

pub(super) fn parts(
    assembly: &Assembly,
    pack: &Pack,
    loads: &LoadState,
    post: MemberId,
    areas: &Areas,
) -> HeadLateral {
    let vertical = vertical_at_head(assembly, loads, post);
    let pressure = wind_pressure(assembly, pack);
    let height = assembly.member(post).length().max(0.1);
    let sails = [0, 1].map(|k| {
        let [force, moment] = sails_at_head(assembly, pack, loads, post, k);
        force + moment / height
    });
    let [along, across] = [0, 1].map(|k| pressure * (areas.half_post + areas.facing[k]) + sails[k]);
    HeadLateral {
        vertical,
        notional: pack.lateral_share.value * vertical,
        edge: edge_at_head(loads, post),
        wind: along.max(across),
        sails: sails[0].max(sails[1]),
        push: pack.worker_push.value.si(),
    }
}

/// The sideways force at one head, for any direction. Newtons.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HeadFacing {
    pub notional: f64,
    /// Wind on half the post, and on the beams it carries along and across `axis`.
    pub on_post: f64,
    pub on_beams: [f64; 2],
    /// Wind on what stands up above the head, along and across `axis`, and its moments about the
    /// head, newton metres.
    pub on_sails: [f64; 2],
    pub sail_moments: [f64; 2],
    /// The least force along the floor's edge, along and across `axis`.
    pub edge: [f64; 2],
    pub axis: [f64; 2],
}

impl HeadFacing {
    /// The greatest of the notional share, the wind on what faces a plan direction, and the force
    /// along the floor's edge.
    #[must_use]
    pub fn along(&self, direction: [f64; 2]) -> f64 {
        let (sails, _) = self.sails_along(direction);
        let wind = self.on_post + self.turned(direction, self.on_beams) + sails;
        self.notional.max(wind).max(self.turned(direction, self.edge))
    }

    /// The part of [`HeadFacing::along`] that acts above the head, and how far above it.
    #[must_use]
    pub fn sails_along(&self, direction: [f64; 2]) -> (f64, f64) {
        let force = self.turned(direction, self.on_sails);
        let moment = self.turned(direction, self.sail_moments);
        if force > 0.0 { (force, moment / force) } else { (0.0, 0.0) }
    }

    fn turned(&self, direction: [f64; 2], parts: [f64; 2]) -> f64 {
        let [x, y] = self.axis;
        let along = (direction[0] * x + direction[1] * y).abs();
        let across = (direction[1] * x - direction[0] * y).abs();
        along * parts[0] + across * parts[1]
    }
}

/// Notional share and wind at a post's head. As [`head_lateral_parts`], which takes the wind in the
/// worse of both axes for every direction.
#[must_use]
pub fn head_facing(
    assembly: &Assembly,
    pack: &Pack,
    stage: &Stage,
    loads: &LoadState,
    post: MemberId,
) -> HeadFacing {
    let Areas { half_post, facing, axis } = areas_at_head(assembly, stage, post);
    let pressure = wind_pressure(assembly, pack);
    let sails = [0, 1].map(|k| sails_at_head(assembly, pack, loads, post, k));
    HeadFacing {
        notional: pack.lateral_share.value * vertical_at_head(assembly, loads, post),
        on_post: pressure * half_post,
        on_beams: facing.map(|area| pressure * area),
        on_sails: sails.map(|s| s[0]),
        sail_moments: sails.map(|s| s[1]),
        edge: edge_at_head(loads, post),
        axis,
    }
}

/// Vertical load at a head: what rests on it and half the post. Newtons.
fn vertical_at_head(assembly: &Assembly, loads: &LoadState, post: MemberId) -> f64 {
    let member = assembly.member(post);
    let middle = 0.5 * member.length();
    let above: f64 = loads.on[post.index()]
        .iter()
        .filter(|l| l.by.is_some() && l.centre >= middle)
        .map(|l| l.force)
        .sum();
    let own = if member.weight.is_finite() { member.weight.max(0.0) } else { 0.0 };
    (above + 0.5 * own).max(0.0)
}

fn edge_at_head(loads: &LoadState, post: MemberId) -> [f64; 2] {
    loads.edge_lateral.get(post.index()).copied().unwrap_or_default()
}

/// Wind on what stands up above a head, along its block's axis (0) or across it (1): newtons, and its
/// moment about the head in newton metres.
fn sails_at_head(
    assembly: &Assembly,
    pack: &Pack,
    loads: &LoadState,
    post: MemberId,
    which: usize,
) -> [f64; 2] {
    let pressure = velocity_pressure(assembly, pack) * FLAT_COEFFICIENT;
    let own = loads.sails.iter().filter(|s| s.post == post);
    own.fold([0.0; 2], |[force, moment], sail| {
        let part = pressure * sail.area[which];
        [force + part, moment + part * sail.above]
    })
}

/// Pressure of the working wind on tubes and beams, pascals.
fn wind_pressure(assembly: &Assembly, pack: &Pack) -> f64 {
    velocity_pressure(assembly, pack) * FORCE_COEFFICIENT
}

/// Velocity pressure of the working wind, pascals: that of the scene, or else of the pack.
#[must_use]
pub fn velocity_pressure(assembly: &Assembly, pack: &Pack) -> f64 {
    let speed =
        assembly.scene.wind.as_ref().map_or(pack.working_wind.value.si(), |w| w.working.si());
    HALF_AIR_DENSITY * speed * speed
}

/// The sideways force at a post's head along one plan direction, newtons: the greatest of the
/// notional share, the wind, and while concrete goes in the head's part of the least force along the
/// floor's edge.
#[must_use]
pub fn head_lateral_along(
    assembly: &Assembly,
    pack: &Pack,
    stage: &Stage,
    loads: &LoadState,
    post: MemberId,
    direction: [f64; 2],
) -> f64 {
    let areas = areas_at_head(assembly, stage, post);
    along(&parts(assembly, pack, loads, post, &areas), areas.axis, direction)
}

/// The same along any direction, with what is kept from the stages before.
pub fn head_lateral_kept(
    assembly: &Assembly,
    pack: &Pack,
    (stage, facing): (&Stage, &mut Facing),
    loads: &LoadState,
    post: MemberId,
) -> impl Fn([f64; 2]) -> f64 + use<> {
    let (areas, parts) = facing.at_head((assembly, pack), stage, loads, post);
    move |direction| along(&parts, areas.axis, direction)
}

fn along(parts: &HeadLateral, axis: [f64; 2], direction: [f64; 2]) -> f64 {
    let along = (direction[0] * axis[0] + direction[1] * axis[1]).abs();
    let across = (direction[1] * axis[0] - direction[0] * axis[1]).abs();
    parts.notional.max(parts.wind).max(along * parts.edge[0] + across * parts.edge[1])
}
