//! Steps and actions become stages: what stands after each step, what is held, what load is on.

pub mod model;

pub use model::{JointState, MemberState, Sequence, Stage};
