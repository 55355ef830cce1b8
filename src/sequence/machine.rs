//! What stands while the steps are gone through: the state between two actions.
//!
//! The vectors are as long as the assembly and copied into each stage. A stage differs from the
//! one before in a handful of entries, so they can be put behind shared pointers without touching
//! the rules here.

use super::model::{Hold, JointState, MemberState, StageLoad};
use super::names;
use super::trouble::Trouble;
use crate::assembly::{Assembly, Joint, JointId, JointKind, MemberId, Role};
use crate::scene::model::Action;
use std::collections::{BTreeMap, BTreeSet};

/// State of everything after some actions.
#[derive(Clone, Debug)]
pub struct Machine<'a> {
    pub(super) assembly: &'a Assembly,
    pub(super) members: Vec<MemberState>,
    pub(super) joints: Vec<JointState>,
    pub(super) head_locked: Vec<bool>,
    pub(super) nailed: Vec<bool>,
    pub(super) loads: Vec<StageLoad>,
    pub(super) holds: Vec<Hold>,
    /// Hung members whose far end is in hand until a post comes under it.
    pub(super) in_hand: BTreeSet<MemberId>,
    /// Posts whose head has been let down.
    pub(super) let_down: BTreeSet<MemberId>,
    /// Joints in which a clip is the part between beam and post.
    pub(super) clip_joints: BTreeMap<MemberId, Vec<JointId>>,
    /// Hands of all that is held.
    holding: u64,
    /// Slabs that carry themselves, and how posts stand under them.
    pub(super) strip: super::strip::StripState,
    pub(super) record: Record,
}

/// What happened in the step being gone through.
#[derive(Clone, Debug, Default)]
pub struct Record {
    pub step: usize,
    pub touched: BTreeSet<MemberId>,
    pub released: BTreeSet<MemberId>,
    pub removed: BTreeSet<MemberId>,
    pub hands_needed: u32,
    pub removed_under: BTreeSet<(MemberId, MemberId)>,
    pub loaded_unlocked: BTreeSet<(MemberId, MemberId)>,
    pub watch: Option<String>,
    pub keep_out: Vec<[[f64; 2]; 2]>,
    pub jacked: BTreeSet<(MemberId, bool)>,
}

/// What an action says when it cannot be done.
pub type Done = Result<(), Trouble>;

impl<'a> Machine<'a> {
    /// Nothing stands yet.
    #[must_use]
    pub fn new(assembly: &'a Assembly) -> Self {
        let mut clip_joints: BTreeMap<MemberId, Vec<JointId>> = BTreeMap::new();
        for joint in &assembly.joints {
            if let Some(clip) = joint.clip {
                clip_joints.entry(clip).or_default().push(joint.id);
            }
        }
        Self {
            assembly,
            members: vec![MemberState::Absent; assembly.members.len()],
            joints: vec![JointState::Open; assembly.joints.len()],
            head_locked: vec![false; assembly.members.len()],
            nailed: vec![false; assembly.members.len()],
            loads: Vec::new(),
            holds: Vec::new(),
            in_hand: BTreeSet::new(),
            let_down: BTreeSet::new(),
            clip_joints,
            holding: 0,
            strip: super::strip::StripState::new(assembly),
            record: Record::default(),
        }
    }

    /// Starts the step with this index; gives the record of the one before.
    pub fn begin(&mut self, step: usize) -> Record {
        let hands_needed = self.hands_holding();
        self.strip.begin();
        std::mem::replace(&mut self.record, Record { step, hands_needed, ..Record::default() })
    }

    #[must_use]
    pub fn there(&self, id: MemberId) -> bool {
        self.members[id.index()].is_there()
    }
    #[must_use]
    pub fn state(&self, id: MemberId) -> MemberState {
        self.members[id.index()]
    }
    #[must_use]
    pub fn head_is_locked(&self, id: MemberId) -> bool {
        self.head_locked[id.index()]
    }
    /// Whether all ends of a brace are fixed, and it has some.
    #[must_use]
    pub fn is_connected(&self, id: MemberId) -> bool {
        let mut ends = self.carried_by(id).peekable();
        ends.peek().is_some() && ends.all(|j| self.joints[j.id.index()] == JointState::Locked)
    }
    #[must_use]
    pub fn joint_state(&self, id: JointId) -> JointState {
        self.joints[id.index()]
    }

    /// Does one action. Each member of a pattern is taken in turn, from the ground up when
    /// setting and from the top down when removing; those a pattern meets for which there is
    /// nothing to do are passed over.
    ///
    /// # Errors
    /// When it cannot be done; what could be done of a pattern stays done.
    pub fn apply(&mut self, action: &Action) -> Done {
        match action {
            Action::Set(text) => self.bring(text, Self::set),
            Action::Hang(text) => self.bring(text, Self::hang),
            Action::StandUp(text) => self.bring(text, Self::stand_up),
            Action::Hold(text, hands) => self.each(text, "hold", |m, id| m.hold(id, *hands)),
            Action::Release(text) => self.release(text),
            Action::Connect(text) => self.each(text, "connect", Self::connect),
            Action::ConnectBetween(a, b) => self.connect_between(a, b),
            Action::Lock(text) => self.each(text, "lock", Self::lock),
            Action::Unlock(text) => self.each(text, "unlock", Self::unlock),
            Action::Clip(text) => self.clip(text),
            Action::Unclip(text) => self.each(text, "unclip", Self::unclip),
            Action::TieIn(text) => self.each(text, "tie in", Self::tie_in),
            Action::Deck { sheets, nailed } => self.deck(sheets, *nailed),
            Action::Load(load) => self.load(load),
            Action::Unload(name) => self.unload(name),
            Action::Lower(text) => self.each(text, "lower", Self::lower),
            Action::Remove(text) => self.remove(text),
            Action::Jack(text) => self.each(text, "jack", Self::jack),
            Action::HoldPoint(text) => self.hold_point(text),
            Action::Watch(who) => self.watch(who),
            Action::KeepOut(from, to) => self.keep_out(*from, *to),
            Action::Evidence(evidence) => self.evidence(evidence),
            Action::Secure(text) => self.each(text, "secure", Self::secure),
            Action::BackOff(text) => self.each(text, "back off", Self::back_off),
            Action::Snug(text) => self.each(text, "snug up", Self::snug),
        }
    }

    /// Does something to each member meant that is there.
    fn each(
        &mut self,
        text: &str,
        verb: &str,
        mut act: impl FnMut(&mut Self, MemberId) -> Done,
    ) -> Done {
        let pattern = names::is_pattern(text);
        let ids = names::resolve(self.assembly, text)?;
        let there: Vec<MemberId> = ids.iter().copied().filter(|&id| self.there(id)).collect();
        if there.is_empty() {
            let what = if pattern { "none of the members that fit" } else { "the member" };
            let is = if pattern { "is" } else { "is not" };
            return Err(Trouble::new(format!("{what} \"{text}\" {is} there to {verb}")).help(
                format!("set it in an earlier action, or take this one out{}", self.gone(text)),
            ));
        }
        for id in there {
            act(self, id)?;
            self.record.touched.insert(id);
        }
        Ok(())
    }

    /// Says that a member was there and has been removed in this step.
    fn gone(&self, text: &str) -> &'static str {
        let removed = self.assembly.find(text).is_some_and(|id| self.record.removed.contains(&id));
        if removed { "; this step removed it before" } else { "" }
    }

    /// Does something to each member named, from the top down.
    pub(super) fn remove(&mut self, text: &str) -> Done {
        let ids = names::resolve(self.assembly, text)?;
        let mut there: Vec<MemberId> = ids.into_iter().filter(|&id| self.there(id)).collect();
        if there.is_empty() {
            return self.each(text, "remove", |_, _| Ok(()));
        }
        there.sort_by_key(|&id| (std::cmp::Reverse(rank(self.assembly.member(id).role)), id));
        for id in there {
            self.take_away(id)?;
        }
        Ok(())
    }

    /// Hands of all that is held.
    #[must_use]
    pub fn hands_holding(&self) -> u32 {
        u32::try_from(self.holding).unwrap_or(u32::MAX)
    }

    /// Changes a member's state, and with it the count of hands.
    pub(super) fn put(&mut self, id: MemberId, state: MemberState) {
        let hands = |state| if let MemberState::Held(n) = state { u64::from(n) } else { 0 };
        let before = std::mem::replace(&mut self.members[id.index()], state);
        self.holding = self.holding - hands(before) + hands(state);
    }

    /// Somebody handles a part while the rest stays held.
    pub(super) fn hand_at_work(&mut self) {
        self.need_hands(self.hands_holding().saturating_add(1));
    }
    pub(super) fn need_hands(&mut self, hands: u32) {
        self.record.hands_needed = self.record.hands_needed.max(hands);
    }

    pub(super) fn name(&self, id: MemberId) -> &'a str {
        self.assembly.name(id)
    }
    pub(super) fn role(&self, id: MemberId) -> Role {
        self.assembly.member(id).role
    }

    /// Joints in which the member is carried.
    pub(super) fn carried_by(&self, id: MemberId) -> impl Iterator<Item = &'a Joint> + use<'a> {
        let assembly = self.assembly;
        assembly.joints_of(id).iter().map(|&j| assembly.joint(j)).filter(move |j| j.member == id)
    }
    /// Joints in which the member carries another.
    pub(super) fn carrying(&self, id: MemberId) -> impl Iterator<Item = &'a Joint> + use<'a> {
        let assembly = self.assembly;
        assembly
            .joints_of(id)
            .iter()
            .map(|&j| assembly.joint(j))
            .filter(move |j| j.carrier == Some(id))
    }
    /// Whether all parts of a joint are there.
    pub(super) fn parts_there(&self, joint: &Joint) -> bool {
        self.there(joint.member)
            && joint.carrier.is_none_or(|c| self.there(c))
            && joint.clip.is_none_or(|c| self.there(c))
    }
}

/// Joints that carry weight as soon as both parts are there.
#[must_use]
pub fn bears(kind: JointKind) -> bool {
    matches!(
        kind,
        JointKind::Head | JointKind::Rest | JointKind::Foot | JointKind::Ground | JointKind::Splice
    )
}

/// From the ground up.
#[must_use]
pub fn rank(role: Role) -> u8 {
    match role {
        Role::Sill => 0,
        Role::Post | Role::Prop => 1,
        Role::Ledger | Role::DropBeam => 2,
        Role::Joist => 3,
        Role::Brace | Role::PlanBrace | Role::TieIn => 4,
        Role::Clip => 5,
        Role::Filler => 6,
        Role::Sheet => 7,
    }
}
