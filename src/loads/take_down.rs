//! Loads from the top to the ground, one stage at a time.

use super::beam::{Piece, Ranged, bounds, continuous, settle};
use super::carriers::{Carriers, passes};
use super::live::Live;
use super::placing::{lay, place};
use super::sheet::{SheetLoad, hand_down, outline};
use super::{BeamLoad, LoadState, OWN, RESTS};
use crate::assembly::{Assembly, JointId, MemberId, Role};
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
        if !member.weight.is_finite() || (member.weight <= 0.0 && member.role != Role::Clip) {
            state.unknown.push((member.id, format!("{} has no weight", member.name)));
            continue;
        }
        let length = member.length();
        let own = BeamLoad::spread(OWN.into(), None, (0.0, length), member.weight);
        state.on[member.id.index()].push(own);
    }
    let live = Live::new(assembly, pack, stage);
    let mut on_sheets = place(assembly, pack, stage, loads, loads, &live, &mut state);
    on_sheets.sort_by_key(|(sheet, _)| *sheet);
    let carriers = Carriers::new(assembly, stage);
    let step = Step { assembly, stage, carriers: &carriers, live: &live };
    for &member in &carriers.order {
        step.hand_on(member, &on_sheets, &mut state);
    }
    state.no_path.extend(&carriers.circle);
    state.no_path.sort_unstable();
    state.no_path.dedup();
    state.lifting.sort_unstable();
    state.lifting.dedup();
    state.may_lift.sort_unstable();
    for load in loads.iter().filter(|l| super::sails::catches(&l.text, assembly)) {
        let (heads, level) = alone(assembly, pack, stage, load, loads, &carriers);
        super::sails::stacked(assembly, load, &heads, level, &mut state);
    }
    state.assumed.sort_unstable();
    state.assumed.dedup();
    state.edge_lateral = super::floor_edge::edge_lateral(assembly, pack, stage, &state);
    state
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
            step.hand_on(member, &on_sheets, &mut state);
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

/// A force with the least and the greatest it may be, newtons.
#[derive(Clone, Copy)]
struct Passed {
    force: f64,
    least: f64,
    greatest: f64,
}

impl Passed {
    fn new(force: f64, least: f64, greatest: f64) -> Self {
        // `min` and `max` would pass over what is not a number.
        if force.is_nan() || least.is_nan() || greatest.is_nan() {
            return Self { force, least: f64::NAN, greatest: f64::NAN };
        }
        Self { force, least: least.min(force), greatest: greatest.max(force) }
    }
    fn sum(loads: &[BeamLoad]) -> Self {
        loads.iter().fold(Self { force: 0.0, least: 0.0, greatest: 0.0 }, |sum, l| Self {
            force: sum.force + l.force,
            least: sum.least + l.least,
            greatest: sum.greatest + l.greatest,
        })
    }
    fn times(self, share: f64) -> Self {
        let Self { force, least, greatest } = self;
        Self { force: force * share, least: least * share, greatest: greatest * share }
    }
    fn is_nothing(self) -> bool {
        self.force == 0.0 && self.least == 0.0 && self.greatest == 0.0
    }
}

fn piece(load: &BeamLoad) -> Piece {
    Piece { from: load.from, to: load.to, force: load.force, centre: load.centre }
}

struct Step<'a> {
    assembly: &'a Assembly,
    stage: &'a Stage,
    carriers: &'a Carriers,
    live: &'a Live,
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
        let total = Passed::sum(&state.on[id.index()]);
        if self.assembly.member(id).is_post() {
            state.at_foot[id.index()] = total.force;
            state.foot_least[id.index()] = total.least;
            state.foot_greatest[id.index()] = total.greatest;
        }
        let supports = self.carriers.of(id);
        for &joint in supports {
            self.pass(joint, total.times(1.0 / supports.len() as f64), state);
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
        let mut pieces: Vec<Piece> = state.on[id.index()].iter().map(piece).collect();
        let ranged: Vec<Ranged> = state.on[id.index()]
            .iter()
            .map(|l| Ranged { piece: piece(l), least: l.least, greatest: l.greatest })
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
        let range = bounds(&at, &ranged);
        if at.len() > 2 {
            let total: f64 = pieces.iter().map(|p| p.force.abs()).sum();
            let one_beam = continuous(&at, &pieces);
            state.may_lift.extend(
                supports
                    .iter()
                    .zip(one_beam.iter().zip(&holds))
                    .filter(|(_, (force, hold))| **force < -(**hold + 1e-6 * (1.0 + total)))
                    .map(|(&joint, _)| joint),
            );
        }
        let first = usize::from(at.len() > stations.len() && at[0] != stations[0]);
        for (i, &joint) in supports.iter().enumerate() {
            let (least, greatest) = range[first + i];
            // A support that cannot pull that much lets go.
            let least = least.max(-holds[first + i]);
            self.pass(joint, Passed::new(settled.taken[first + i], least, greatest), state);
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
        // Beyond the loads as they are: what may be less or more.
        let (mut less, mut more) = ([0.0; 2], [0.0; 2]);
        for load in &state.on[id.index()] {
            let share = (load.centre - at(a)) / span;
            total += load.force;
            second += load.force * share;
            if load.least == load.greatest {
                continue;
            }
            if load.from < at(a) - 1e-9 || load.to > at(b) + 1e-9 {
                // Runs past a support: its parts must be looked at one by one.
                return false;
            }
            for (k, share) in [1.0 - share, share].into_iter().enumerate() {
                less[k] += share * (load.least - load.force);
                more[k] += share * (load.greatest - load.force);
            }
        }
        let now = [total - second, second];
        if now.iter().zip(less).any(|(now, less)| now + less < 0.0) {
            return false;
        }
        for (k, joint) in [a, b].into_iter().enumerate() {
            self.pass(joint, Passed::new(now[k], now[k] + less[k], now[k] + more[k]), state);
        }
        true
    }

    fn sheet(&self, id: MemberId, sheets: &[(MemberId, SheetLoad)], state: &mut LoadState) {
        let first = sheets.partition_point(|(s, _)| *s < id);
        let loads: Vec<&SheetLoad> =
            sheets[first..].iter().take_while(|(s, _)| *s == id).map(|(_, load)| load).collect();
        let member = self.assembly.member(id);
        let people = self.live.on_sheet(member, &outline(self.assembly, member));
        let down =
            hand_down(self.assembly, self.stage, member, self.carriers.of(id), &loads, people);
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

    fn pass(&self, joint: JointId, passed: Passed, state: &mut LoadState) {
        state.passed[joint.index()] = passed.force;
        let joint = self.assembly.joint(joint);
        if let Some(carrier) = joint.carrier.filter(|_| !passed.is_nothing()) {
            let load =
                BeamLoad::point(RESTS.into(), Some(joint.member), joint.carrier_at, passed.force);
            state.on[carrier.index()].push(load.within(passed.least, passed.greatest));
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
