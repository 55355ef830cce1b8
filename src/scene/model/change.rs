//! Changes tried in the program and kept in a section of their own.

use super::{LoadText, SingleMember};
use crate::units::Length;
use serde::{Deserialize, Serialize};

/// One change with the name it goes by.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Change {
    pub name: String,
    pub change: ChangeKind,
}

/// What a change does. Members and steps are named in full; steps that an entry such as `Erect`
/// expands into have names too, `erect.F2`. Where a member is due, `*` stands for any text.
///
/// The sequence goes on as the scene alone would have it: a change adds actions to its steps,
/// takes some out or moves them, and nobody reacts to it in any other way.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub enum ChangeKind {
    /// A further member, put in and fixed in a step before hands come off; with no step named, in
    /// the first at whose end everything it meets is there.
    AddMember {
        member: SingleMember,
        #[serde(default)]
        in_step: Option<String>,
    },
    /// Cross braces in a bay of a block, `"C4-D4"`, or along a run; of this part, or of the
    /// block's own. Put in as with `AddMember`.
    AddBraces {
        block: String,
        bay: String,
        #[serde(default)]
        part: Option<String>,
        #[serde(default)]
        in_step: Option<String>,
    },
    /// Puts in and fixes, in a step, what the scene has but puts in later or never.
    PutIn { member: String, in_step: String },
    /// The member is never there. What names it passes it over.
    TakeOut(String),
    /// The member is taken away again at the end of a step.
    TakeAway { member: String, in_step: String },
    /// Moves a step; no step named: to the end.
    MoveStep {
        step: String,
        #[serde(default)]
        before: Option<String>,
    },
    /// Another part for a member: a post of another type, a stronger ledger.
    SetPart { member: String, part: String },
    /// Another level for a post's head, which draws the post out or in.
    SetHead { post: String, level: Length },
    /// A sill of this part under a post. `TakeOut` takes one out.
    SetSill { post: String, sill: String },
    /// Held by so many hands from the end of a step to the end of another; no other: to the end.
    Hold {
        member: String,
        hands: u32,
        from: String,
        #[serde(default)]
        until: Option<String>,
    },
    /// Hands off at the end of a step, and at no other.
    Release { member: String, in_step: String },
    /// A load from the end of a step to the end of another; no other: to the end. It takes the
    /// place of a load of the same name.
    SetLoad {
        load: LoadText,
        from: String,
        #[serde(default)]
        until: Option<String>,
    },
    /// A load of the scene is never put on.
    TakeOffLoad(String),
}
