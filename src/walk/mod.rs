//! The walk-through: where to stop, what to look at, what was seen.
//!
//! Stations come from what the review found, from the hold points of the permit, and from parts that
//! the as-built record does not cover. Each says in plain words what to look at on site. What is
//! ticked, noted and photographed goes into the as-built record, so that it is kept and counts for the
//! permit: a station found not in order stands in its way.

mod page;
mod place;
mod stations;
mod text;
mod words;

pub use page::html;
pub use place::{EYE_LEVEL, route};
pub use stations::{Station, StationKind, Walk, walk};
pub use text::text;
pub use words::look_for;
