//! All misfits of a document, one after the other.

use super::error::{At, Error, What};
use super::reader::{Fixes, Reader};
use crate::scene::suggest;
use crate::scene::tree::{Kind, Tree};
use serde::de::DeserializeOwned;
use std::ops::Range;

/// Misfits after which reading stops.
const MOST_MISFITS: usize = 100;
/// In a text longer than this each further reading costs too long; fewer misfits are looked for.
const LONG_TEXT: usize = 1 << 20;

/// A value that does not fit its place.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Misfit {
    pub at: Range<usize>,
    pub path: String,
    pub message: String,
    pub help: Option<String>,
    /// Only a quantity, a number or an unknown single value: no name is lost by it, so names
    /// elsewhere that lead nowhere are wrong on their own account.
    pub keeps_names: bool,
}

/// All that does not fit, and the document with it filled in.
#[derive(Debug)]
pub struct Diagnosis<T> {
    pub misfits: Vec<Misfit>,
    /// None where reading could not go on.
    pub value: Option<T>,
    /// Fields missing at the root, which another document may give.
    pub missing_at_root: Vec<&'static str>,
}

/// Reads a `T` over and over, each time past one more misfit.
#[must_use]
pub fn diagnose<T: DeserializeOwned>(tree: &Tree, text: &str) -> Diagnosis<T> {
    let mut found = Diagnosis { misfits: Vec::new(), value: None, missing_at_root: Vec::new() };
    let Some(root) = tree.root() else { return found };
    let most = if text.len() > LONG_TEXT { 5 } else { MOST_MISFITS };
    let mut fixes = Fixes::default();
    loop {
        let reader = Reader { tree, text, fixes: &fixes, id: root, name_read: false };
        let error = match T::deserialize(reader) {
            Ok(value) => {
                found.value = Some(value);
                return found;
            }
            Err(error) => error,
        };
        let at = error.at.unwrap_or(At::Value(root));
        if let (What::Missing(name), At::Value(id)) = (&error.what, at)
            && id == root
        {
            found.missing_at_root.push(name);
        }
        if !fix(&mut fixes, tree, at, &error.what) {
            if found.misfits.is_empty() {
                found.misfits.push(misfit(tree, at, &error));
            }
            return found;
        }
        found.misfits.push(misfit(tree, at, &error));
        if found.misfits.len() == most {
            return found;
        }
    }
}

/// Finds a way past the error; false if there was one already and it did not help.
fn fix(fixes: &mut Fixes, tree: &Tree, at: At, what: &What) -> bool {
    match (at, what) {
        (At::Name(record, index), _) => fixes.skip.insert((record, index)),
        (At::Value(record), What::Missing(name)) => {
            fixes.add.entry(record).or_default().insert(name)
        }
        (At::Value(record), What::Twice(name)) => {
            second(tree, record, name, fixes).is_some_and(|i| fixes.skip.insert((record, i)))
        }
        (At::Value(value), _) => fixes.fill.insert(value),
    }
}

/// Index of the second field of that name that is still read.
fn second(tree: &Tree, record: usize, name: &str, fixes: &Fixes) -> Option<usize> {
    let Kind::Record { fields, .. } = &tree.node(record)?.kind else { return None };
    let is = |&(i, f): &(usize, &crate::scene::tree::Field)| {
        f.name == name && !fixes.skip.contains(&(record, i))
    };
    fields.iter().enumerate().filter(is).nth(1).map(|(i, _)| i)
}

fn misfit(tree: &Tree, at: At, error: &Error) -> Misfit {
    let field = |record: usize, index: usize| match tree.node(record).map(|n| &n.kind) {
        Some(Kind::Record { fields, .. }) => fields.get(index),
        _ => None,
    };
    let (range, path) = match (at, &error.what) {
        (At::Name(record, index), _) => {
            (field(record, index).map(|f| f.at.clone()), tree.path(record))
        }
        (At::Value(record), What::Twice(name)) => {
            let twice = second(tree, record, name, &Fixes::default());
            (twice.and_then(|i| field(record, i)).map(|f| f.at.clone()), tree.path(record))
        }
        (At::Value(value), _) => (tree.node(value).map(|n| n.range.clone()), tree.path(value)),
    };
    let help = match &error.what {
        What::UnknownField { name, fitting } | What::UnknownVariant { name, fitting } => {
            suggest::help(name, fitting.iter().copied())
        }
        _ => None,
    };
    let keeps_names = match (at, &error.what) {
        (At::Name(record, index), _) => {
            let value = field(record, index).and_then(|f| tree.node(f.value));
            value.is_some_and(|v| {
                matches!(v.kind, Kind::Text(_) | Kind::Number | Kind::Word(_) | Kind::Char(_))
            })
        }
        (_, What::Other(_)) => true,
        (_, What::Type { due, .. }) => due.contains("number") || due.contains("`true`"),
        _ => false,
    };
    Misfit { at: range.unwrap_or(0..0), path, message: error.to_string(), help, keeps_names }
}
