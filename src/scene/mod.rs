//! The scene: what a person writes in RON, and how it is read, checked and written back.

pub mod book;
pub(crate) mod check;
pub mod edit;
pub mod equip;
mod evidence;
pub mod file;
pub mod format;
pub mod keep;
pub mod lines;
pub mod model;
pub mod patch;
pub mod problem;
pub mod read;
pub mod source;
pub mod suggest;
pub mod tree;
pub mod typed;
pub mod write;

pub use file::FileStamp;
pub use lines::{Grid, GridPoint, LinesError, grid_run};
pub use model::Scene;
pub use problem::{Problem, Problems};
pub use read::{Loaded, load, load_under, read, read_pack, read_under};
pub use source::SceneSource;
pub use write::write;
