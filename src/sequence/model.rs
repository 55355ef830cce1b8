//! Stages and their contents.

use crate::assembly::model::Point;
use crate::assembly::{JointId, MemberId};
use crate::chunks::Chunks;
use crate::scene::model::{HoldText, LoadText};
use serde::Serialize;
use std::ops::Range;

/// Whether a member is there, and who keeps it up.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Serialize)]
pub enum MemberState {
    #[default]
    Absent,
    Standing,
    /// Kept up by so many hands: it stands where it is put and gives restraint to nobody else.
    Held(u32),
}

impl MemberState {
    #[must_use]
    pub fn is_there(self) -> bool {
        self != Self::Absent
    }
    #[must_use]
    pub fn is_held(self) -> bool {
        matches!(self, Self::Held(_))
    }
}

/// State of a connection.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Serialize)]
pub enum JointState {
    /// Not made: a part is absent, or nobody has fixed it yet.
    #[default]
    Open,
    /// Merely hung or resting.
    Hung,
    /// Lock, coupler, clip, nail or tie home.
    Locked,
    /// Let down by lowering the head.
    Lowered,
}

/// A load on the stage, from the action that set it.
#[derive(Clone, Debug, PartialEq)]
pub struct StageLoad {
    pub text: LoadText,
    pub since_step: usize,
}

#[derive(Clone, Debug, PartialEq)]
pub struct Person {
    pub who: String,
    pub at: Point,
    pub tied_off: bool,
}

/// A hold point that was met.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Hold {
    pub text: HoldText,
    /// Position of the step that met it.
    pub step: usize,
}

/// What is arranged around the placing of concrete.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Placing {
    /// Hold points met up to this step, released or not.
    pub holds: Vec<Hold>,
    /// Who watches the shoring during this step.
    pub watch: Option<String>,
    /// Plan rectangles below which nobody goes during this step: least and greatest corner, metres.
    pub keep_out: Vec<[[f64; 2]; 2]>,
    /// Posts whose jack is turned in this step, sorted; true: with fresh concrete on the stage.
    pub jacked: Vec<(MemberId, bool)>,
}

/// What stands when the hands are off after a step.
#[derive(Clone, Debug, PartialEq)]
pub struct Stage {
    /// Position in the sequence, from 0.
    pub index: usize,
    /// The step's id; `finished` for the only stage of a scene without a sequence.
    pub step: String,
    pub title: String,
    /// By [`MemberId`].
    pub members: Chunks<MemberState>,
    /// By [`JointId`].
    pub joints: Chunks<JointState>,
    /// Heads whose lock is home, by [`MemberId`] (false for members that are no posts).
    pub head_locked: Chunks<bool>,
    /// Sheets nailed at their pattern, by [`MemberId`].
    pub nailed: Chunks<bool>,
    pub loads: Vec<StageLoad>,
    pub placing: Placing,
    pub people: Vec<Person>,
    /// Members touched by this step: set, hung, stood up, released, removed …
    pub touched: Vec<MemberId>,
    /// Released in this step and standing on their own after it.
    pub released: Vec<MemberId>,
    pub removed: Vec<MemberId>,
    /// Most hands needed at one moment of the step, and the crew there is.
    pub hands_needed: u32,
    pub crew: u32,
    /// Members removed while another still hung on them: (removed, hanging on it).
    pub removed_under: Vec<(MemberId, MemberId)>,
    /// Heads loaded before their lock was home in this step, with what was put on them.
    pub loaded_unlocked: Vec<(MemberId, MemberId)>,
    /// Slabs that carry themselves, and how posts stand under them.
    pub strip: super::strip::StripState,
    /// Steps of the scene's `levels` whose states stand at this stage: those written for its step, or
    /// else the last before it. Steps that name no step of the sequence belong to the first stage.
    pub level_steps: Range<usize>,
    /// Bytes of the scene file that made the step.
    pub written_at: Range<usize>,
}

impl Stage {
    /// Keeps in common with another stage what is the same.
    pub fn share(&mut self, with: &Self) {
        self.members.share(&with.members);
        self.joints.share(&with.joints);
        self.head_locked.share(&with.head_locked);
        self.nailed.share(&with.nailed);
    }

    #[must_use]
    pub fn state(&self, id: MemberId) -> MemberState {
        self.members[id.index()]
    }
    #[must_use]
    pub fn joint(&self, id: JointId) -> JointState {
        self.joints[id.index()]
    }
    /// There and not in hand.
    #[must_use]
    pub fn stands(&self, id: MemberId) -> bool {
        self.state(id) == MemberState::Standing
    }
}

/// All stages in order.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Sequence {
    pub stages: Vec<Stage>,
    /// The scene had no sequence: one stage, the finished one.
    pub finished_only: bool,
}
