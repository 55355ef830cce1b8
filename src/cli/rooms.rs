//! Doors to rooms that are not joined up yet: each says so, and nothing is judged.

use crate::checks::Hazard;
use crate::review::Review;
use crate::scene::{Loaded, Problem, Problems};
use std::path::Path;

pub static REGISTER: &[&Hazard] = &[];

fn not_yet(path: &Path) -> Problems {
    Problems(vec![Problem {
        file: path.to_owned(),
        line: 0,
        column: 0,
        path: String::new(),
        message: "this build cannot judge scenes".to_owned(),
        help: None,
    }])
}

pub fn judge(
    _loaded: Loaded,
    _progress: &(dyn Fn(usize, usize) -> bool + Sync),
) -> Result<Review, Problems> {
    Err(not_yet(Path::new("")))
}
