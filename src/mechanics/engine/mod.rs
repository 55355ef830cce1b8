//! The sequence engine: stages differ by a few members, and so does the work.

pub mod dissection;
pub mod front;
mod known;
pub mod packed;
pub mod stage_tree;
pub mod tree;
