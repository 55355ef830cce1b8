//! What one member hands on to what carries it: a piece of statics of its own.

use super::beam::{Piece, Ranged, bounds, continuous, settle};
use super::carriers::Carriers;
use super::live::Live;
use super::sheet::{SheetLoad, hand_down, outline};
use super::take_down::hold_down;
use super::{BeamLoad, LoadState, RESTS};
use crate::assembly::{Assembly, JointId, MemberId, Role};
use crate::sequence::Stage;

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

/// What a member hands on at a stage, and what is said of it.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Handed {
    /// Loads on what carries it, in the order in which they are put there.
    pub to: Vec<(MemberId, BeamLoad)>,
    /// Force passed down at each of its joints that pass any, newtons.
    pub passed: Vec<(JointId, f64)>,
    /// A post's load at its foot, the least and the greatest of it: as it is, least, greatest.
    pub foot: Option<[f64; 3]>,
    pub lifting: Vec<JointId>,
    pub may_lift: Vec<JointId>,
    pub no_path: bool,
}

impl Handed {
    /// Puts all of it where it belongs; `id` is the member that hands it on.
    pub fn apply(self, id: MemberId, state: &mut LoadState) {
        self.mark(id, state);
        state.lifting.extend(self.lifting);
        state.may_lift.extend(self.may_lift);
        if self.no_path {
            state.no_path.push(id);
        }
        for (carrier, load) in self.to {
            state.put(carrier, load);
        }
    }

    /// Writes the numbers of the member's joints and foot.
    pub fn mark(&self, id: MemberId, state: &mut LoadState) {
        for &(joint, force) in &self.passed {
            state.passed[joint.index()] = force;
        }
        if let Some([force, least, greatest]) = self.foot {
            state.at_foot[id.index()] = force;
            state.foot_least[id.index()] = least;
            state.foot_greatest[id.index()] = greatest;
        }
    }

    /// Sets or replaces the force at a joint.
    fn set(&mut self, joint: JointId, force: f64) {
        match self.passed.iter_mut().find(|(j, _)| *j == joint) {
            Some((_, passed)) => *passed = force,
            None => self.passed.push((joint, force)),
        }
    }

    fn add(&mut self, joint: JointId, force: f64) {
        match self.passed.iter_mut().find(|(j, _)| *j == joint) {
            Some((_, passed)) => *passed += force,
            None => self.passed.push((joint, 0.0 + force)),
        }
    }
}

/// One member after the other, from the top down.
pub(super) struct Step<'a> {
    pub assembly: &'a Assembly,
    pub stage: &'a Stage,
    pub carriers: &'a Carriers,
    pub live: &'a Live,
}

impl Step<'_> {
    /// What a member hands on of what is `on` it; `sheets` are the loads on sheets, by sheet.
    pub fn hand_on(
        &self,
        id: MemberId,
        on: &[BeamLoad],
        sheets: &[(MemberId, SheetLoad)],
    ) -> Handed {
        let mut out = Handed::default();
        match self.assembly.member(id).role {
            Role::Post | Role::Prop | Role::Sill => self.straight_down(id, on, &mut out),
            Role::Sheet => self.sheet(id, sheets, &mut out),
            Role::Clip => self.clip(id, on, &mut out),
            _ => self.bar(id, on, &mut out),
        }
        out
    }

    /// Posts and sills: all of it to what is beneath, in equal parts.
    fn straight_down(&self, id: MemberId, on: &[BeamLoad], out: &mut Handed) {
        let total = Passed::sum(on);
        if self.assembly.member(id).is_post() {
            out.foot = Some([total.force, total.least, total.greatest]);
        }
        let supports = self.carriers.of(id);
        for &joint in supports {
            self.pass(joint, total.times(1.0 / supports.len() as f64), out);
        }
        if supports.is_empty() {
            self.no_way_down(id, out);
        }
    }

    /// Ledgers, joists, fillers, drop beams, braces, ties: lever rule.
    fn bar(&self, id: MemberId, on: &[BeamLoad], out: &mut Handed) {
        let supports = self.carriers.of(id);
        if supports.is_empty() {
            self.no_way_down(id, out);
            return;
        }
        if let [a, b] = *supports
            && self.on_two(on, [a, b], out)
        {
            return;
        }
        let stations: Vec<f64> =
            supports.iter().map(|&j| self.assembly.joint(j).member_at).collect();
        let mut pieces: Vec<Piece> = on.iter().map(piece).collect();
        let ranged: Vec<Ranged> = on
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
            out.may_lift.extend(
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
            self.pass(joint, Passed::new(settled.taken[first + i], least, greatest), out);
        }
        for (i, pull) in settled.lifting {
            if let Some(&joint) = i.checked_sub(first).and_then(|i| supports.get(i)) {
                out.set(joint, pull);
                out.lifting.push(joint);
            }
        }
        let hangs_in_a_pin =
            matches!(self.assembly.member(id).role, Role::Brace | Role::PlanBrace | Role::TieIn);
        if settled.tips && !held && !hangs_in_a_pin {
            out.no_path = true;
        }
    }

    /// The plain case of two supports that both push. False where one would have to pull.
    fn on_two(&self, on: &[BeamLoad], [a, b]: [JointId; 2], out: &mut Handed) -> bool {
        let at = |j: JointId| self.assembly.joint(j).member_at;
        let span = at(b) - at(a);
        if span <= 1e-9 {
            return false;
        }
        let (mut total, mut second) = (0.0, 0.0);
        // Beyond the loads as they are: what may be less or more.
        let (mut less, mut more) = ([0.0; 2], [0.0; 2]);
        for load in on {
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
            self.pass(joint, Passed::new(now[k], now[k] + less[k], now[k] + more[k]), out);
        }
        true
    }

    fn sheet(&self, id: MemberId, sheets: &[(MemberId, SheetLoad)], out: &mut Handed) {
        let first = sheets.partition_point(|(s, _)| *s < id);
        let loads: Vec<&SheetLoad> =
            sheets[first..].iter().take_while(|(s, _)| *s == id).map(|(_, load)| load).collect();
        let member = self.assembly.member(id);
        let people = self.live.on_sheet(member, &outline(self.assembly, member));
        let down =
            hand_down(self.assembly, self.stage, member, self.carriers.of(id), &loads, people);
        if down.no_path {
            self.no_way_down(id, out);
        }
        for (joint, load) in down.to {
            out.add(joint, load.force);
            if let Some(carrier) = self.assembly.joint(joint).carrier {
                out.to.push((carrier, load));
            }
        }
        for (joint, pull) in down.lifting {
            out.set(joint, pull);
            out.lifting.push(joint);
        }
    }

    /// A clip's own weight hangs on its post.
    fn clip(&self, id: MemberId, on: &[BeamLoad], out: &mut Handed) {
        let total: f64 = on.iter().map(|l| l.force).sum();
        let post = self.carriers.clip_on[id.index()]
            .map(|j| self.assembly.joint(j))
            .and_then(|j| Some((j.carrier?, j.carrier_at)));
        match post {
            Some((post, at)) if total > 0.0 => {
                out.to.push((post, BeamLoad::point(RESTS.into(), Some(id), at, total)));
            }
            Some(_) => {}
            None => self.no_way_down(id, out),
        }
    }

    fn pass(&self, joint: JointId, passed: Passed, out: &mut Handed) {
        out.set(joint, passed.force);
        let joint = self.assembly.joint(joint);
        if let Some(carrier) = joint.carrier.filter(|_| !passed.is_nothing()) {
            let load =
                BeamLoad::point(RESTS.into(), Some(joint.member), joint.carrier_at, passed.force);
            out.to.push((carrier, load.within(passed.least, passed.greatest)));
        }
    }

    fn no_way_down(&self, id: MemberId, out: &mut Handed) {
        if !self.stage.state(id).is_held() {
            out.no_path = true;
        }
    }
}
