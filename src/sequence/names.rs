//! Names in actions: one member, or a pattern with `*` for any text.

use super::trouble::Trouble;
use crate::assembly::{Assembly, MemberId};

/// Members meant by a text: one named in full, or all that fit a pattern, in order of their name.
///
/// # Errors
/// When no member has the name, or none fits the pattern; a close name is suggested.
pub fn resolve(assembly: &Assembly, text: &str) -> Result<Vec<MemberId>, Trouble> {
    if !is_pattern(text) {
        return match assembly.find(text) {
            Some(id) => Ok(vec![id]),
            None => Err(Trouble::new(format!("there is no member \"{text}\""))
                .help_maybe(closest(text, assembly.names()).map(|n| format!("is it \"{n}\"?")))),
        };
    }
    let found: Vec<MemberId> =
        assembly.members.iter().filter(|m| fits(text, &m.name)).map(|m| m.id).collect();
    if found.is_empty() {
        return Err(Trouble::new(format!("no member's name fits \"{text}\"")).help_maybe(
            closest(&text.replace('*', ""), assembly.names()).map(|n| {
                format!("`*` stands for any text; a member with a name like it is \"{n}\"")
            }),
        ));
    }
    Ok(found)
}

/// One member named in full.
///
/// # Errors
/// As [`resolve`].
pub fn single(assembly: &Assembly, text: &str) -> Result<MemberId, Trouble> {
    if is_pattern(text) {
        return Err(Trouble::new(format!("one member is due here, not the pattern \"{text}\"")));
    }
    resolve(assembly, text).map(|ids| ids[0])
}

/// Whether a text stands for more than one name.
#[must_use]
pub fn is_pattern(text: &str) -> bool {
    text.contains('*')
}

/// Whether a name fits a pattern in which `*` stands for any text, none included.
#[must_use]
pub fn fits(pattern: &str, name: &str) -> bool {
    let (pattern, name) = (pattern.as_bytes(), name.as_bytes());
    let (mut p, mut n) = (0, 0);
    // Where the last `*` was, and how far the name was when it began to swallow.
    let mut back: Option<(usize, usize)> = None;
    while n < name.len() {
        if pattern.get(p) == Some(&b'*') {
            back = Some((p, n));
            p += 1;
        } else if pattern.get(p) == Some(&name[n]) {
            p += 1;
            n += 1;
        } else if let Some((star, from)) = back {
            back = Some((star, from + 1));
            p = star + 1;
            n = from + 1;
        } else {
            return false;
        }
    }
    pattern[p..].iter().all(|&b| b == b'*')
}

/// The closest of some names, if one is close enough to be meant.
#[must_use]
pub fn closest<'a>(text: &str, names: impl Iterator<Item = &'a str>) -> Option<&'a str> {
    let most = (text.chars().count() / 4).clamp(1, 4);
    names
        .filter(|n| n.len().abs_diff(text.len()) <= most)
        .map(|n| (strsim::damerau_levenshtein(text, n), n))
        .filter(|&(distance, _)| distance <= most)
        .min()
        .map(|(_, name)| name)
}
