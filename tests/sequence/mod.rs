//! Steps and actions become stages.

mod actions;
mod expansion;
mod floor;
mod loose;
mod pour;
mod scenes;
mod strip;
mod troubles;
