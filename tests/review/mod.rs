//! Reviews side by side, and reserves over the sequence.

mod compare;
mod kept;
mod reserves;

use standwell::review::{Review, judge};
use standwell::scene;
use std::path::Path;

pub fn reviewed(text: &str) -> Review {
    let loaded = scene::read(text, Path::new("judged.ron")).unwrap_or_else(|p| panic!("{p}"));
    judge(loaded, &|_, _| true).unwrap_or_else(|p| panic!("{p}"))
}
