//! Component data: what parts weigh, how long they are, what they carry and what their joints pass.

pub mod lookup;
pub mod model;
pub mod post;

pub use model::{Library, PartOrigin};
pub use post::Telescope;

/// Play between a part and its place that nobody notices, in metres.
pub const FIT: f64 = 0.005;

/// Standard gravity, metres per second squared (ISO 80000-3): turns masses into weights.
pub const GRAVITY: f64 = 9.806_65;
