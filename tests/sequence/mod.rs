//! Steps and actions become stages.

mod actions;
mod expansion;
mod floor;
mod troubles;
