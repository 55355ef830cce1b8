//! Actions on joints and hands: connect, lock, clip, tie in, lower, hold, release.

use super::machine::{Done, Machine};
use super::model::{JointState, MemberState};
use super::names;
use super::trouble::Trouble;
use crate::assembly::{Joint, JointKind, MemberId, Role};

impl<'a> Machine<'a> {
    pub(super) fn hold(&mut self, id: MemberId, hands: u32) -> Done {
        if hands == 0 {
            return Err(Trouble::new(format!("\"{}\" held by no hands", self.name(id)))
                .help("take hands off with Release"));
        }
        self.in_hand.remove(&id);
        self.record.released.remove(&id);
        self.put(id, MemberState::Held(hands));
        self.need_hands(self.hands_holding());
        Ok(())
    }

    /// Hands off. A pattern releases what is held of it.
    pub(super) fn release(&mut self, text: &str) -> Done {
        let ids = names::resolve(self.assembly, text)?;
        let held: Vec<MemberId> = ids.into_iter().filter(|&id| self.state(id).is_held()).collect();
        if held.is_empty() {
            return Err(Trouble::new(format!("\"{text}\" is not held"))
                .help("only what is held, hung or stood up can be released"));
        }
        for id in held {
            self.in_hand.remove(&id);
            self.put(id, MemberState::Standing);
            self.record.touched.insert(id);
            self.record.released.insert(id);
        }
        Ok(())
    }

    /// Fixes both ends of a brace: its couplers, or where a plan brace lies in the heads.
    pub(super) fn connect(&mut self, id: MemberId) -> Done {
        let in_plan = self.role(id) == Role::PlanBrace;
        self.fix(id, "couplers", |j| {
            j.kind == JointKind::Coupler || (in_plan && j.kind == JointKind::Head)
        })
    }

    /// Fixes a tie-in at both its ends: to the permanent works, and to its post.
    pub(super) fn tie_in(&mut self, id: MemberId) -> Done {
        self.fix(id, "tie", |j| matches!(j.kind, JointKind::Tie | JointKind::Coupler))
    }

    fn fix(&mut self, id: MemberId, what: &str, which: impl Fn(&Joint) -> bool) -> Done {
        let joints: Vec<&Joint> = self.carried_by(id).filter(|j| which(j)).collect();
        let missing: Vec<&str> = joints
            .iter()
            .filter_map(|j| j.carrier)
            .filter(|&c| !self.there(c))
            .map(|c| self.name(c))
            .collect();
        if !missing.is_empty() {
            return Err(Trouble::new(format!(
                "\"{}\" cannot be connected: {} not there",
                self.name(id),
                listed(&missing)
            ))
            .help("stand up its posts first"));
        }
        if joints.is_empty()
            && !matches!(self.role(id), Role::Brace | Role::PlanBrace | Role::TieIn)
        {
            return Err(Trouble::new(format!("\"{}\" has no {what} to fix", self.name(id)))
                .help("a head's lock is pushed home with Lock, a clip fixed with Clip"));
        }
        self.hand_at_work();
        for joint in joints {
            self.joints[joint.id.index()] = JointState::Locked;
        }
        Ok(())
    }

    fn is_brace(&self, id: MemberId) -> bool {
        matches!(self.role(id), Role::Brace | Role::PlanBrace | Role::TieIn)
    }

    pub(super) fn connect_between(&mut self, a: &str, b: &str) -> Done {
        let (first, second) = (names::single(self.assembly, a)?, names::single(self.assembly, b)?);
        for (id, text) in [(first, a), (second, b)] {
            if !self.there(id) {
                return Err(Trouble::new(format!("the member \"{text}\" is not there to connect")));
            }
        }
        let pair = [first, second];
        let between: Vec<&Joint> = (self.assembly.joints_of(first).iter())
            .map(|&j| self.assembly.joint(j))
            .filter(|j| pair.contains(&j.member) && j.carrier.is_some_and(|c| pair.contains(&c)))
            .filter(|j| self.parts_there(j))
            .collect();
        if between.is_empty() {
            return Err(Trouble::new(format!("\"{a}\" and \"{b}\" do not meet"))
                .help("a member is joined only to what it meets within the tolerance"));
        }
        self.hand_at_work();
        for joint in between {
            self.joints[joint.id.index()] = JointState::Locked;
        }
        self.record.touched.extend(pair);
        Ok(())
    }

    /// A post: its head's lock, and with it the beams that hang there; plan braces are connected.
    /// Else: the member's own ends.
    pub(super) fn lock(&mut self, id: MemberId) -> Done {
        self.turn_lock(id, JointState::Locked)
    }
    pub(super) fn unlock(&mut self, id: MemberId) -> Done {
        self.turn_lock(id, JointState::Hung)
    }

    fn turn_lock(&mut self, id: MemberId, to: JointState) -> Done {
        let made: Vec<&Joint> = if self.assembly.member(id).is_post() {
            self.head_locked[id.index()] = to == JointState::Locked;
            self.let_down.remove(&id);
            self.carrying(id)
                .filter(|j| j.kind == JointKind::Head && !self.is_brace(j.member))
                .collect()
        } else {
            let own: Vec<&Joint> = self
                .carried_by(id)
                .filter(|j| matches!(j.kind, JointKind::Head | JointKind::Rest))
                .filter(|_| !self.is_brace(id))
                .collect();
            if own.is_empty() {
                return Err(Trouble::new(format!("\"{}\" has nothing to lock", self.name(id)))
                    .help("posts, ledgers and joists have locks; braces are connected"));
            }
            own
        };
        self.hand_at_work();
        for joint in made {
            let state = &mut self.joints[joint.id.index()];
            if *state != JointState::Open {
                *state = to;
            }
        }
        Ok(())
    }

    /// Lets a post's head down.
    pub(super) fn lower(&mut self, id: MemberId) -> Done {
        if !self.assembly.member(id).is_post() {
            return Err(Trouble::new(format!(
                "\"{}\" is no post: only heads are lowered",
                self.name(id)
            )));
        }
        self.hand_at_work();
        self.lowered_under_slab(id);
        self.head_locked[id.index()] = false;
        self.let_down.insert(id);
        for joint in self.carrying(id).filter(|j| j.kind == JointKind::Head) {
            if self.joints[joint.id.index()] != JointState::Open {
                self.joints[joint.id.index()] = JointState::Lowered;
            }
        }
        Ok(())
    }

    /// Fixes a clip, named itself or by the beam it holds down; the clip is brought if need be.
    pub(super) fn clip(&mut self, text: &str) -> Done {
        for id in names::resolve(self.assembly, text)? {
            let joints = self.clips_of(id)?;
            for joint in &joints {
                let ends = [Some(joint.member), joint.carrier];
                if let Some(missing) = ends.into_iter().flatten().find(|&m| !self.there(m)) {
                    return Err(Trouble::new(format!(
                        "\"{text}\" cannot be clipped: {} is not there",
                        self.name(missing)
                    )));
                }
            }
            self.hand_at_work();
            for joint in joints {
                if let Some(clip) = joint.clip.filter(|&c| !self.there(c)) {
                    self.place(clip, MemberState::Standing);
                }
                self.joints[joint.id.index()] = JointState::Locked;
                self.record.touched.extend([joint.member, id]);
            }
        }
        Ok(())
    }

    pub(super) fn unclip(&mut self, id: MemberId) -> Done {
        let joints = self.clips_of(id)?;
        self.hand_at_work();
        for joint in joints {
            self.joints[joint.id.index()] = JointState::Open;
        }
        Ok(())
    }

    /// Clip joints of a clip, or of a beam.
    fn clips_of(&self, id: MemberId) -> Result<Vec<&'a Joint>, Trouble> {
        let joints: Vec<&'a Joint> = match self.clip_joints.get(&id) {
            Some(joints) => joints.iter().map(|&j| self.assembly.joint(j)).collect(),
            None => self.carried_by(id).filter(|j| j.kind == JointKind::Clip).collect(),
        };
        if joints.is_empty() {
            return Err(Trouble::new(format!("\"{}\" has no hold-down clip", self.name(id)))
                .help("name a clip part at its overhang in the block"));
        }
        Ok(joints)
    }
}

/// `a`, `a and b`, `a, b and c`, with the verb.
fn listed(names: &[&str]) -> String {
    match names {
        [] => String::new(),
        [one] => format!("{one} is"),
        [first @ .., last] => format!("{} and {last} are", first.join(", ")),
    }
}
