//! Loads from the top to the ground, one stage at a time.

use super::carriers::{Carriers, Links, passes};
use super::hand_on::Step;
use super::live::Live;
use super::placing::{lay, place};
use super::{BeamLoad, LoadState, OWN};
use crate::assembly::{Assembly, JointId, Member, MemberId, Role};
use crate::criteria::Pack;
use crate::scene::model::LoadPlace;
use crate::sequence::Stage;
use crate::sequence::model::StageLoad;
use crate::units::Force;

/// Takes down everything that is there at a stage, and its loads.
///
/// A joint that is open carries nothing; one in hand bears like any other. A member that hands keep
/// up gives them what no support takes. Members whose weight finds no way down, or that rest on
/// each other in a circle, are in [`LoadState::no_path`], and so is one whose only support is not
/// under its centre of gravity.
#[must_use]
pub fn take_down(assembly: &Assembly, pack: &Pack, stage: &Stage) -> LoadState {
    let loads: Vec<&StageLoad> = stage.loads.iter().collect();
    take_down_of(assembly, pack, stage, &loads)
}

/// The same with some of the stage's loads only.
#[must_use]
pub fn take_down_of(
    assembly: &Assembly,
    pack: &Pack,
    stage: &Stage,
    loads: &[&StageLoad],
) -> LoadState {
    let mut state = take_down_still(assembly, pack, stage, loads);
    if loads.iter().any(|l| matches!(l.text.on, LoadPlace::Along { .. })) {
        super::moving::widen(assembly, pack, stage, loads, &mut state);
    }
    state
}

/// The same with every weight that moves standing in the middle of its way.
pub(super) fn take_down_still(
    assembly: &Assembly,
    pack: &Pack,
    stage: &Stage,
    loads: &[&StageLoad],
) -> LoadState {
    let mut state = LoadState::nothing(assembly);
    for member in &assembly.members {
        if !stage.state(member.id).is_there() {
            continue;
        }
        match own(member) {
            Ok(own) => state.put(member.id, own),
            Err(why) => state.unknown.push((member.id, why)),
        }
    }
    let live = Live::new(assembly, pack, stage);
    let mut on_sheets = place(assembly, pack, stage, loads, loads, &live, &mut state);
    on_sheets.sort_by_key(|(sheet, _)| *sheet);
    let carriers = Carriers::new(&Links::new(assembly), stage);
    let step = Step { assembly, stage, carriers: &carriers, live: &live };
    for &member in &carriers.order {
        let handed = step.hand_on(member, &state.on[member.index()], &on_sheets);
        handed.apply(member, &mut state);
    }
    state.no_path.extend(&carriers.circle);
    state.no_path.sort_unstable();
    state.no_path.dedup();
    state.lifting.sort_unstable();
    state.lifting.dedup();
    state.may_lift.sort_unstable();
    finish(assembly, pack, stage, (loads, &carriers), &mut state);
    state
}

/// A member's own weight along it.
///
/// # Errors
/// Why it is not known.
pub(super) fn own(member: &Member) -> Result<BeamLoad, String> {
    if !member.weight.is_finite() || (member.weight <= 0.0 && member.role != Role::Clip) {
        return Err(format!("{} has no weight", member.name));
    }
    Ok(BeamLoad::spread(OWN.into(), None, (0.0, member.length()), member.weight))
}

/// What is said of the loads once they are at the ground: what catches the wind, and the force along
/// the floor's edge.
pub(super) fn finish(
    assembly: &Assembly,
    pack: &Pack,
    stage: &Stage,
    (loads, carriers): (&[&StageLoad], &Carriers),
    state: &mut LoadState,
) {
    for load in loads.iter().filter(|l| super::sails::catches(&l.text, assembly)) {
        let (heads, level) = alone(assembly, pack, stage, load, loads, carriers);
        super::sails::stacked(assembly, load, &heads, level, state);
    }
    state.assumed.sort_unstable();
    state.assumed.dedup();
    state.edge_lateral = super::floor_edge::edge_lateral(assembly, pack, stage, state);
}

/// What each post's head gets of one load, newtons, and the level of what the load lies on.
fn alone(
    assembly: &Assembly,
    pack: &Pack,
    stage: &Stage,
    load: &StageLoad,
    all: &[&StageLoad],
    carriers: &Carriers,
) -> (Vec<(MemberId, f64)>, f64) {
    let mut state = LoadState::nothing(assembly);
    let ledges = super::ledge::ledges(assembly, stage);
    let mut on_sheets = lay(assembly, pack, stage, &ledges, (&[load], all), &mut state);
    on_sheets.sort_by_key(|(sheet, _)| *sheet);
    let mut under: Vec<MemberId> = on_sheets.iter().map(|s| s.0).collect();
    under.extend(assembly.members.iter().map(|m| m.id).filter(|m| !state.on[m.index()].is_empty()));
    let level = super::sails::level(assembly, stage, &under);
    let live = Live::nobody();
    let step = Step { assembly, stage, carriers, live: &live };
    for &member in &carriers.order {
        let sheet = on_sheets.binary_search_by_key(&member, |(sheet, _)| *sheet).is_ok();
        if sheet || !state.on[member.index()].is_empty() {
            let handed = step.hand_on(member, &state.on[member.index()], &on_sheets);
            handed.apply(member, &mut state);
        }
    }
    let posts = assembly.members.iter().filter(|m| m.is_post());
    let heads = posts.filter_map(|post| {
        let from_beams = |l: &&BeamLoad| l.by.is_none_or(|by| !assembly.member(by).is_post());
        let got: f64 = state.on[post.id.index()].iter().filter(from_beams).map(|l| l.force).sum();
        (got != 0.0).then_some((post.id, got))
    });
    (heads.collect(), level)
}

/// Pull in newtons that a support passes down: what its own joint holds, and a clip that is home on
/// the same member and post.
pub(crate) fn hold_down(assembly: &Assembly, stage: &Stage, joint: JointId) -> f64 {
    let own = passes(assembly, stage, joint).and_then(|p| p.uplift).map_or(0.0, Force::si);
    own.max(clip_at(assembly, stage, joint).map_or(0.0, |(_, force)| force))
}

/// The clip that holds a member down at the post of a joint, with its capacity.
pub(crate) fn clip_at(
    assembly: &Assembly,
    stage: &Stage,
    joint: JointId,
) -> Option<(JointId, f64)> {
    use crate::assembly::JointKind;
    use crate::sequence::JointState;
    let at = assembly.joint(joint);
    if at.kind != JointKind::Head {
        return None;
    }
    assembly.joints_of(at.member).iter().find_map(|&j| {
        let clip = assembly.joint(j);
        let same =
            clip.kind == JointKind::Clip && clip.member == at.member && clip.carrier == at.carrier;
        if !same || stage.joint(j) != JointState::Locked {
            return None;
        }
        passes(assembly, stage, j).map(|p| (j, p.uplift.map_or(0.0, Force::si)))
    })
}
