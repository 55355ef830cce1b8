//! Frame mechanics: stiffness, mechanisms, critical load factor, forces, least push.

pub mod answers;
pub mod critical;
mod element;
pub mod frame;
mod frame_check;
mod linalg;
pub mod mechanisms;
pub mod model;
mod modes;
mod numbering;
mod plane;
pub mod solve;
mod stability;
pub mod stage_model;

pub use stage_model::{StageMechanics, Verdict};
