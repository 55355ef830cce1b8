//! The as-built record: what people saw on site, kept in a file of its own beside the scene.
//!
//! The scene says what is meant to stand. The record says who looked at what stands, when, against
//! which drawing, and what they found; which hold points there are and who released them on what
//! evidence; and how far a walk-through got. It is a list that is only ever added to: of two entries
//! for the same part the later one counts, whole, and the earlier one stays to be read.
//!
//! Names lead into the scene (`main.post.C4`, `main.post.*`). The program adds entries by patching the
//! file's text, so that comments and layout stay as they are.

mod add;
mod date;
mod hold_points;
pub mod model;
mod parts;
mod photos;
mod read;
mod start;

pub use add::{AddError, Entry, add, add_to_file};
pub use date::{Date, DateError};
pub use hold_points::{HoldPointState, IN_STEP, OF_SCENE, PLANNED, Planned, Released, hold_points};
pub use model::{PermitKind, Record};
pub use parts::{JACK_TOLERANCE, PartState, Parts, parts_at};
pub use photos::{MissingPhoto, missing_photos, photo_path};
pub use read::{LoadedRecord, load, path_beside, read};
pub use start::start;
