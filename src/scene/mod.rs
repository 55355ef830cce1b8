//! The scene: what a person writes in RON, and how it is read, checked and written back.

pub mod model;

pub use model::Scene;
