//! Frame mechanics: stiffness, mechanisms, critical load factor, forces, least push.

#![allow(
    clippy::neg_cmp_op_on_partial_ord,
    reason = "limits are written as what must hold, so that a NaN fails them"
)]

pub mod active_set;
pub mod answers;
mod arms;
pub mod beam_column;
mod bent;
pub mod collapse;
pub(crate) mod cone_program;
pub mod critical;
mod element;
mod element_forces;
pub mod engine;
pub mod frame;
mod frame_check;
mod lanczos;
mod linalg;
pub mod mechanisms;
mod memo;
pub mod model;
mod modes;
pub mod neutral;
mod null_basis;
mod numbering;
pub mod one_way;
mod pieces;
mod plane;
pub mod solve;
mod stability;
pub mod stage;
pub mod stage_model;
mod strain_modes;
pub mod strength_model;
mod walk;

pub use stage::judge_stage;
pub use stage_model::{StageMechanics, Verdict};
pub use strength_model::{BraceLine, PostStrength, Strength, Sway};
