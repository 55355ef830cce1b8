//! Steps and actions become stages: what stands after each step, what is held, what load is on.
//!
//! [`run`] goes through the scene's sequence action by action and keeps a [`Stage`] at the end of
//! each step, when the hands are off but for what is held. [`expand()`] writes the short lines
//! `Tower`, `Erect` and `Deck` out as steps, and [`to_ron`] prints them for a scene.
//!
//! Hands needed at a moment: those of all that is held, and one more person while a part is set,
//! hung, stood up, fixed, let down or removed. Parts too heavy for one person are not counted
//! double here, since what one person lifts is a matter of the criteria.

mod bring;
mod burden;
pub mod changed;
pub mod expand;
mod fix;
pub mod machine;
pub mod model;
pub mod names;
pub mod placing;
mod print;
mod run;
pub mod strip;
pub mod trouble;

pub use model::{JointState, MemberState, Sequence, Stage};
pub use print::to_ron;
pub use run::{expand, expand_entries, run};
pub use strip::{SlabNow, StripState};
