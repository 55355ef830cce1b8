//! Loads from the top to the ground, one stage at a time.

use super::beam::{Piece, settle};
use super::carriers::{Carriers, passes};
use super::placing::place;
use super::sheet::{SheetLoad, hand_down};
use super::{BeamLoad, LoadState, OWN, RESTS};
use crate::assembly::{Assembly, JointId, MemberId, Role};
use crate::criteria::Pack;
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
    let count = assembly.members.len();
    let mut state = LoadState {
        on: vec![Vec::new(); count],
        passed: vec![0.0; assembly.joints.len()],
        at_foot: vec![0.0; count],
        ..LoadState::default()
    };
    for member in &assembly.members {
        if !stage.state(member.id).is_there() {
            continue;
        }
        if !member.weight.is_finite() || (member.weight <= 0.0 && member.role != Role::Clip) {
            state.unknown.push((member.id, format!("{} has no weight", member.name)));
            continue;
        }
        let length = member.length();
        let own = BeamLoad::spread(OWN.into(), None, (0.0, length), member.weight);
        state.on[member.id.index()].push(own);
    }
    let mut on_sheets = place(assembly, pack, stage, loads, &mut state);
    on_sheets.sort_by_key(|(sheet, _)| *sheet);
    let carriers = Carriers::new(assembly, stage);
    for &member in &carriers.order {
        Step { assembly, stage, carriers: &carriers }.hand_on(member, &on_sheets, &mut state);
    }
    state.no_path.extend(&carriers.circle);
    state.no_path.sort_unstable();
    state.no_path.dedup();
    state.lifting.sort_unstable();
    state.lifting.dedup();
    state
}

struct Step<'a> {
    assembly: &'a Assembly,
    stage: &'a Stage,
    carriers: &'a Carriers,
}

impl Step<'_> {
    fn hand_on(&self, id: MemberId, sheets: &[(MemberId, SheetLoad)], state: &mut LoadState) {
        match self.assembly.member(id).role {
            Role::Post | Role::Prop => self.straight_down(id, state),
            Role::Sill => self.straight_down(id, state),
            Role::Sheet => self.sheet(id, sheets, state),
            Role::Clip => self.clip(id, state),
            _ => self.bar(id, state),
        }
    }

    /// Posts and sills: all of it to what is beneath, in equal parts.
    fn straight_down(&self, id: MemberId, state: &mut LoadState) {
        let total: f64 = state.on[id.index()].iter().map(|l| l.force).sum();
        if self.assembly.member(id).is_post() {
            state.at_foot[id.index()] = total;
        }
        let supports = self.carriers.of(id);
        for &joint in supports {
            self.pass(joint, total / supports.len() as f64, state);
        }
        if supports.is_empty() {
            self.no_way_down(id, state);
        }
    }

    /// Ledgers, joists, fillers, drop beams, braces, ties: lever rule.
    fn bar(&self, id: MemberId, state: &mut LoadState) {
        let supports = self.carriers.of(id);
        if supports.is_empty() {
            self.no_way_down(id, state);
            return;
        }
        if let [a, b] = *supports
            && self.on_two(id, [a, b], state)
        {
            return;
        }
        let stations: Vec<f64> =
            supports.iter().map(|&j| self.assembly.joint(j).member_at).collect();
        let mut pieces: Vec<Piece> = state.on[id.index()]
            .iter()
            .map(|l| Piece { from: l.from, to: l.to, force: l.force, centre: l.centre })
            .collect();
        let held = self.stage.state(id).is_held();
        let mut at = stations.clone();
        let mut holds: Vec<f64> =
            supports.iter().map(|&j| hold_down(self.assembly, self.stage, j)).collect();
        if held && stations.len() == 1 {
            // Hands at the far end, or wherever they are needed.
            let length = self.assembly.member(id).length();
            let far = if stations[0] < 0.5 * length { length } else { 0.0 };
            at.push(far);
            holds.push(f64::INFINITY);
            if far < at[0] {
                at.reverse();
                holds.reverse();
            }
        }
        pieces.retain(|p| p.force != 0.0);
        let settled = settle(&at, &holds, &pieces);
        let first = usize::from(at.len() > stations.len() && at[0] != stations[0]);
        for (i, &joint) in supports.iter().enumerate() {
            self.pass(joint, settled.taken[first + i], state);
        }
        for (i, pull) in settled.lifting {
            if let Some(&joint) = i.checked_sub(first).and_then(|i| supports.get(i)) {
                state.passed[joint.index()] = pull;
                state.lifting.push(joint);
            }
        }
        let hangs_in_a_pin =
            matches!(self.assembly.member(id).role, Role::Brace | Role::PlanBrace | Role::TieIn);
        if settled.tips && !held && !hangs_in_a_pin {
            state.no_path.push(id);
        }
    }

    /// The plain case of two supports that both push. False where one would have to pull.
    fn on_two(&self, id: MemberId, [a, b]: [JointId; 2], state: &mut LoadState) -> bool {
        let at = |j: JointId| self.assembly.joint(j).member_at;
        let span = at(b) - at(a);
        if span <= 1e-9 {
            return false;
        }
        let (mut total, mut second) = (0.0, 0.0);
        for load in &state.on[id.index()] {
            total += load.force;
            second += load.force * (load.centre - at(a)) / span;
        }
        if second < 0.0 || total - second < 0.0 {
            return false;
        }
        self.pass(a, total - second, state);
        self.pass(b, second, state);
        true
    }

    fn sheet(&self, id: MemberId, sheets: &[(MemberId, SheetLoad)], state: &mut LoadState) {
        let first = sheets.partition_point(|(s, _)| *s < id);
        let loads: Vec<&SheetLoad> =
            sheets[first..].iter().take_while(|(s, _)| *s == id).map(|(_, load)| load).collect();
        let member = self.assembly.member(id);
        let down = hand_down(self.assembly, self.stage, member, self.carriers.of(id), &loads);
        if down.no_path {
            self.no_way_down(id, state);
        }
        for (joint, load) in down.to {
            state.passed[joint.index()] += load.force;
            if let Some(carrier) = self.assembly.joint(joint).carrier {
                state.on[carrier.index()].push(load);
            }
        }
        for (joint, pull) in down.lifting {
            state.passed[joint.index()] = pull;
            state.lifting.push(joint);
        }
    }

    /// A clip's own weight hangs on its post.
    fn clip(&self, id: MemberId, state: &mut LoadState) {
        let total: f64 = state.on[id.index()].iter().map(|l| l.force).sum();
        let post = self.carriers.clip_on[id.index()]
            .map(|j| self.assembly.joint(j))
            .and_then(|j| Some((j.carrier?, j.carrier_at)));
        match post {
            Some((post, at)) if total > 0.0 => {
                state.on[post.index()].push(BeamLoad::point(RESTS.into(), Some(id), at, total));
            }
            Some(_) => {}
            None => self.no_way_down(id, state),
        }
    }

    fn pass(&self, joint: JointId, force: f64, state: &mut LoadState) {
        state.passed[joint.index()] = force;
        let joint = self.assembly.joint(joint);
        if let Some(carrier) = joint.carrier.filter(|_| force != 0.0) {
            let load = BeamLoad::point(RESTS.into(), Some(joint.member), joint.carrier_at, force);
            state.on[carrier.index()].push(load);
        }
    }

    fn no_way_down(&self, id: MemberId, state: &mut LoadState) {
        if !self.stage.state(id).is_held() {
            state.no_path.push(id);
        }
    }
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
