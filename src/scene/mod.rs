//! The scene: what a person writes in RON, and how it is read, checked and written back.

pub mod lines;
pub mod model;
pub mod problem;
pub mod source;

pub use lines::{Grid, GridPoint, LinesError, grid_run};
pub use model::Scene;
pub use problem::{Problem, Problems};
pub use source::SceneSource;
