//! Frame mechanics: stiffness, mechanisms, critical load factor, forces, least push.

pub mod stage_model;

pub use stage_model::{StageMechanics, Verdict};
