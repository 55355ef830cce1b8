//! Frame mechanics: stiffness, mechanisms, critical load factor, forces, least push.

pub mod answers;
pub mod engine;
pub mod frame;
mod frame_check;
pub mod mechanisms;
pub mod model;
pub mod stage;
pub mod stage_model;

pub use stage::judge_stage;
pub use stage_model::{StageMechanics, Verdict};
