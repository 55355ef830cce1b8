//! A lesson as data. Unknown fields are errors.

use serde::{Deserialize, Serialize};

/// The format number of lesson files.
pub const FORMAT: u32 = 1;

/// Cards over the stages of a scene.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Lesson {
    pub format: u32,
    pub name: String,
    pub title: String,
    /// One line on what it teaches.
    pub about: String,
    /// How long it takes, in minutes.
    pub minutes: u32,
    /// The scene with the fault: a file beside the lesson, or one that comes with the program.
    pub scene: String,
    /// The same done right.
    #[serde(default)]
    pub right: Option<String>,
    pub cards: Vec<Card>,
}

/// One thing the trainee reads, or answers. `at` is the step whose stage is shown.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub enum Card {
    /// To read.
    Say { at: String, text: String },
    /// Mark the members that are not safe. The answer is what the review finds.
    Mark {
        at: String,
        question: String,
        #[serde(default)]
        hint: String,
        /// What the author planted; empty: nothing is wrong here.
        #[serde(default)]
        planted: Vec<Planted>,
    },
    /// Go on to the next step, or stop and put something right? The answer is what the review finds.
    GoOn { at: String, question: String },
    /// One of several. Which is right is the author's word.
    Choose { at: String, question: String, choices: Vec<Choice> },
    /// Lets the wrong thing happen, slowly, then shows the step of that name in the scene done right.
    Replay { at: String, wrong: String, right_at: String, right: String },
}

impl Card {
    /// The step whose stage is shown.
    #[must_use]
    pub fn at(&self) -> &str {
        match self {
            Self::Say { at, .. }
            | Self::Mark { at, .. }
            | Self::GoOn { at, .. }
            | Self::Choose { at, .. }
            | Self::Replay { at, .. } => at,
        }
    }

    /// What is asked; none: nothing is.
    #[must_use]
    pub fn question(&self) -> Option<&str> {
        match self {
            Self::Mark { question, .. }
            | Self::GoOn { question, .. }
            | Self::Choose { question, .. } => Some(question),
            Self::Say { .. } | Self::Replay { .. } => None,
        }
    }
}

/// A fault the author planted: what the review must find at the card's step.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Planted {
    pub code: String,
    pub members: Vec<String>,
}

/// One answer to choose.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Choice {
    pub text: String,
    #[serde(default)]
    pub right: bool,
    /// Why it is right, or what would come of it.
    pub why: String,
}
