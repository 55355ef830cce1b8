//! Actions that bring a member: set, hang, stand up, deck.

use super::machine::{Done, Machine, bears, rank};
use super::model::{JointState, MemberState};
use super::names;
use super::trouble::Trouble;
use crate::assembly::{JointKind, MemberId, Role};

impl Machine<'_> {
    /// Brings each member meant that is not there yet, from the ground up.
    pub(super) fn bring(
        &mut self,
        text: &str,
        mut how: impl FnMut(&mut Self, MemberId) -> Done,
    ) -> Done {
        let pattern = names::is_pattern(text);
        let mut ids = names::resolve(self.assembly, text)?;
        if pattern {
            ids.retain(|&id| !self.there(id));
            if ids.is_empty() {
                return Err(Trouble::new(format!(
                    "all members that fit \"{text}\" are there already"
                )));
            }
            ids.sort_by_key(|&id| (rank(self.role(id)), id));
        }
        for id in ids {
            if self.there(id) {
                return Err(Trouble::new(format!("\"{text}\" is there already"))
                    .help("a member is set once; remove it first if it is set again"));
            }
            how(self, id)?;
        }
        Ok(())
    }

    pub(super) fn set(&mut self, id: MemberId) -> Done {
        self.hand_at_work();
        self.place(id, MemberState::Standing);
        Ok(())
    }

    /// Hung by the ends that meet standing posts; one hand at the far end until all are carried.
    pub(super) fn hang(&mut self, id: MemberId) -> Done {
        let (mut heads, mut carried) = (0, 0);
        for joint in self.carried_by(id).filter(|j| j.kind == JointKind::Head) {
            heads += 1;
            carried += usize::from(joint.carrier.is_some_and(|c| self.there(c)));
        }
        if carried == 0 {
            let help = if heads == 0 {
                "it meets no post head; bring it with Set"
            } else {
                "stand up a post under one of its ends first"
            };
            return Err(Trouble::new(format!(
                "\"{}\" cannot hang: no end of it meets a post that is there",
                self.name(id)
            ))
            .help(help));
        }
        self.hand_at_work();
        if carried < heads {
            self.place(id, MemberState::Held(1));
            self.in_hand.insert(id);
        } else {
            self.place(id, MemberState::Standing);
        }
        Ok(())
    }

    pub(super) fn stand_up(&mut self, id: MemberId) -> Done {
        if !self.assembly.member(id).is_post() {
            return Err(Trouble::new(format!("\"{}\" is no post", self.name(id)))
                .help("bring it with Set or Hang"));
        }
        self.hand_at_work();
        self.place(id, MemberState::Held(1));
        Ok(())
    }

    /// Puts a member there, makes the joints that need nobody to fix them, and frees the hands
    /// under hung ends that it carries.
    pub(super) fn place(&mut self, id: MemberId, state: MemberState) {
        self.put(id, state);
        self.record.touched.insert(id);
        self.record.removed.remove(&id);
        for &joint in self.assembly.joints_of(id) {
            self.form(self.assembly.joint(joint).id);
        }
        let hung: Vec<MemberId> = self
            .carrying(id)
            .filter(|j| j.kind == JointKind::Head && self.in_hand.contains(&j.member))
            .map(|j| j.member)
            .collect();
        for beam in hung {
            let mut heads = self.carried_by(beam).filter(|j| j.kind == JointKind::Head);
            if heads.all(|j| j.carrier.is_some_and(|c| self.there(c))) {
                self.in_hand.remove(&beam);
                self.put(beam, MemberState::Standing);
            }
        }
        self.need_hands(self.hands_holding());
    }

    /// Bearing joints are made as soon as their parts are there; couplers, clips and ties wait
    /// for somebody to fix them.
    fn form(&mut self, id: crate::assembly::JointId) {
        let joint = self.assembly.joint(id);
        if self.joints[id.index()] != JointState::Open
            || !bears(joint.kind)
            || !self.parts_there(joint)
        {
            return;
        }
        let low = joint.kind == JointKind::Head
            && joint.carrier.is_some_and(|c| self.let_down.contains(&c));
        self.joints[id.index()] = if low { JointState::Lowered } else { JointState::Hung };
        if matches!(self.role(joint.member), Role::Filler | Role::Sheet | Role::Joist)
            && joint.kind == JointKind::Rest
        {
            self.note_unlocked_below(joint.member);
        }
    }

    /// Lays sheets. Those that lie already are nailed when `nailed` says so.
    pub(super) fn deck(&mut self, text: &str, nailed: bool) -> Done {
        let ids = names::resolve(self.assembly, text)?;
        let sheets: Vec<MemberId> =
            ids.into_iter().filter(|&id| self.role(id) == Role::Sheet).collect();
        if sheets.is_empty() {
            return Err(Trouble::new(format!("\"{text}\" is no sheet of decking")));
        }
        let mut any = false;
        for id in sheets {
            if !self.there(id) {
                self.set(id)?;
                any = true;
            }
            if nailed && !self.nailed[id.index()] {
                any = true;
                self.nailed[id.index()] = true;
                self.record.touched.insert(id);
                for joint in self.carried_by(id).filter(|j| j.kind == JointKind::Rest) {
                    if self.parts_there(joint) {
                        self.joints[joint.id.index()] = JointState::Locked;
                    }
                }
            }
        }
        if any {
            Ok(())
        } else {
            Err(Trouble::new(format!("all sheets that \"{text}\" means lie already")))
        }
    }
}
