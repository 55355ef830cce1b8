//! Training: a person steps through a job, marks what looks unsafe or says what comes next, and is
//! told what was seen, what was missed and what was raised for nothing, each with its reason.
//!
//! A lesson is a RON file: cards in order, over the stages of one scene, and a second scene that shows
//! the same done right. The answers are never written in a lesson: they are what the review finds at
//! that step. What a lesson does write is the fault its author planted, so that a test can hold the two
//! against each other. Any other scene makes a lesson of itself.

mod made;
pub mod model;
mod read;
mod replay;
mod results;
mod score;
mod session;
mod shipped;
mod why;

pub use made::made_from;
pub use model::{Card, Choice, Lesson, Planted};
pub use read::{Opened, open, read};
pub use replay::{FARTHEST, Phase, Replay, Shown, fall_time};
pub use results::{ResultLine, append, csv, parse};
pub use score::{Fault, Score, faults_at, score};
pub use session::{Answer, Session, Told, named_members};
pub use shipped::{SHIPPED, ShippedLesson, find};
