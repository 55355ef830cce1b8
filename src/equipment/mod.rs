//! Component data: what parts weigh, how long they are, what they carry and what their joints pass.

pub mod model;

pub use model::{Library, PartOrigin};
