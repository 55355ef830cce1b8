//! Steps and actions become stages.

mod actions;
mod expansion;
mod floor;
mod loose;
mod scenes;
mod troubles;
