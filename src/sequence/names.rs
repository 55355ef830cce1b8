//! Names in actions: one member, or a pattern with `*` for any text.

use super::trouble::Trouble;
use crate::assembly::names::fits;
use crate::assembly::{Assembly, MemberId};
use crate::scene::suggest;

/// Members meant by a text: one named in full, or all that fit a pattern, in order of their name.
///
/// # Errors
/// When no member has the name, or none fits the pattern; a close name is suggested.
pub fn resolve(assembly: &Assembly, text: &str) -> Result<Vec<MemberId>, Trouble> {
    if !is_pattern(text) {
        return match assembly.find(text) {
            Some(id) => Ok(vec![id]),
            None => Err(Trouble::new(format!("there is no member \"{text}\""))
                .help_maybe(did_you_mean(text, assembly.names()))),
        };
    }
    let found: Vec<MemberId> =
        assembly.members.iter().filter(|m| fits(text, &m.name)).map(|m| m.id).collect();
    if found.is_empty() {
        return Err(Trouble::new(format!("no member's name fits \"{text}\"")).help_maybe(
            suggest::closest(&text.replace('*', ""), assembly.names()).map(|n| {
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

/// `did you mean "…"?`, if a name is close.
#[must_use]
pub fn did_you_mean<'a>(text: &str, fitting: impl IntoIterator<Item = &'a str>) -> Option<String> {
    suggest::closest(text, fitting).map(|name| format!("did you mean \"{name}\"?"))
}
