//! The scene laid out: members with coordinates, and the joints between them.

pub mod model;

pub use model::{Assembly, Joint, JointId, JointKind, Member, MemberId, Role};
