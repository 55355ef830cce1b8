//! Typed reading over our tree, for saying where a document does not fit and why.
//!
//! A document that fits is read by ron. One that does not is read again here, where each error
//! belongs to a value with its bytes, and goes on past it: the value that does not fit is taken
//! as any value of the type that is due, so that the next error shows too.

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
    if found.misfits.is_empty() {
        // Only ron minds: its own words and place.
        let line_start = source
            .text
            .split_inclusive('\n')
            .take(error.span.end.line.saturating_sub(1))
            .map(str::len)
            .sum::<usize>();
        let column = error.span.end.col.saturating_sub(1);
        let byte = source.text[line_start..].char_indices().nth(column).map_or(0, |(i, _)| i);
        let at = line_start + byte;
        found.misfits.push(Misfit {
            at: at..at,
            path: String::new(),
            message: error.code.to_string(),
            help: None,
        });
        found.value = None;
    }
    Typed::Misfits(found)
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
