//! Finding parts in a library.

use super::model::{Beam, Library};
use crate::units::Mass;

/// Kinds of part, for words and look-ups.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum PartKind {
    Post,
    Beam,
    Brace,
    Jack,
    Sill,
    Clip,
    Sheet,
}

impl PartKind {
    /// The word for messages.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Post => "post",
            Self::Beam => "ledger, joist or bearer",
            Self::Brace => "brace",
            Self::Jack => "jack",
            Self::Sill => "sill",
            Self::Clip => "clip",
            Self::Sheet => "sheet",
        }
    }
}

impl Library {
    /// The mass of a part of a kind; none where the library has no such part.
    #[must_use]
    pub fn mass(&self, kind: PartKind, part: &str) -> Option<Mass> {
        match kind {
            PartKind::Post => self.posts.get(part).map(|p| p.mass),
            PartKind::Beam => self.beams.get(part).map(|p| p.mass),
            PartKind::Brace => self.braces.get(part).map(|p| p.mass),
            PartKind::Jack => self.jacks.get(part).map(|p| p.mass),
            PartKind::Sill => self.sills.get(part).map(|p| p.mass),
            PartKind::Clip => self.clips.get(part).map(|p| p.mass),
            PartKind::Sheet => self.sheets.get(part).map(|p| p.mass),
        }
    }

    /// Names of all parts of a kind, sorted.
    #[must_use]
    pub fn names(&self, kind: PartKind) -> Vec<&str> {
        fn keys<T>(parts: &std::collections::BTreeMap<String, T>) -> Vec<&str> {
            parts.keys().map(String::as_str).collect()
        }
        match kind {
            PartKind::Post => keys(&self.posts),
            PartKind::Beam => keys(&self.beams),
            PartKind::Brace => keys(&self.braces),
            PartKind::Jack => keys(&self.jacks),
            PartKind::Sill => keys(&self.sills),
            PartKind::Clip => keys(&self.clips),
            PartKind::Sheet => keys(&self.sheets),
        }
    }

    /// Of these parts, those that fit between seats so far apart, in metres, in the order given.
    #[must_use]
    pub fn fitting<'a>(&self, parts: &'a [String], span: f64) -> Vec<&'a str> {
        let fits = |beam: &Beam| (beam.length.si() - span).abs() <= super::FIT;
        parts
            .iter()
            .map(String::as_str)
            .filter(|part| self.beams.get(*part).is_some_and(fits))
            .collect()
    }
}

/// Whether a part is heavier than one person is to lift, by a limit from the criteria.
#[must_use]
pub fn needs_two(mass: Mass, limit: Mass) -> bool {
    mass.si() > limit.si() * (1.0 + 1e-9)
}
