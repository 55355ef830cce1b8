//! Typed reading over our tree, for saying where a document does not fit and why.
//!
//! ron reads first. What ron refuses is read again here, where each error belongs to a value with
//! its bytes, and reading goes on past it: the value that does not fit is taken as any value of
//! the type that is due, so that the next error shows too.
//!
//! One thing that ron refuses is read here: a record inside a choice may be written with one
//! bracket, `Tower(id: "t", …)`, as well as with two, `Tower((id: "t", …))`, in the same file.

mod diagnose;
mod error;
mod filler;
mod number;
mod reader;

pub use diagnose::{Diagnosis, Misfit, diagnose};

use super::problem::Problem;
use super::source::SceneSource;
use serde::de::DeserializeOwned;

/// ron as this program uses it: `Some(…)` need not be written.
#[must_use]
pub fn options() -> ron::Options {
    ron::Options::default().with_default_extension(ron::extensions::Extensions::IMPLICIT_SOME)
}

/// What typed reading gave: the value, or what is in the way and a stand-in for further checks.
pub enum Typed<T> {
    Fits(T),
    /// All misfits, with the value as it would be with them filled in, where that is possible.
    Misfits(Diagnosis<T>),
}

/// Reads the source's text as a `T`.
pub fn read<T: DeserializeOwned>(source: &SceneSource) -> Typed<T> {
    let error = match options().from_str::<T>(&source.text) {
        Ok(value) => return Typed::Fits(value),
        Err(error) => error,
    };
    let mut found = diagnose::<T>(&source.tree, &source.text);
    match (found.misfits.is_empty(), found.value.take()) {
        (true, Some(value)) => return Typed::Fits(value),
        (_, value) => found.value = value,
    }
    if found.misfits.is_empty() {
        // Only ron minds: its own words and place.
        let at = byte(&source.text, &error.span.end);
        let message = error.code.to_string();
        let path = String::new();
        found.misfits.push(Misfit { at: at..at, path, message, help: None, keeps_names: false });
    }
    Typed::Misfits(found)
}

/// The byte at a line and column of ron's, both from 1.
fn byte(text: &str, place: &ron::error::Position) -> usize {
    let lines = text.split_inclusive('\n').take(place.line.saturating_sub(1));
    let start: usize = lines.map(str::len).sum();
    let line = text.get(start..).unwrap_or("");
    start + line.char_indices().nth(place.col.saturating_sub(1)).map_or(0, |(i, _)| i)
}

impl Misfit {
    /// As a problem of a file.
    #[must_use]
    pub fn problem(&self, source: &SceneSource) -> Problem {
        Problem {
            path: self.path.clone(),
            help: self.help.clone(),
            ..source.problem(&self.at, self.message.clone())
        }
    }
}
