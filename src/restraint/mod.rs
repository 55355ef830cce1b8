//! Who is held by what: the connectivity graph of a stage.

pub mod model;

pub use model::Restraint;
