//! Changes to a document as patches of its text: what a person wrote around them stays as it is.
//!
//! Every patched text is read again and held against what the document should now say; one that
//! says anything else is refused.

mod canon;

use super::model::Change;
use super::patch::{Patch, apply};
use super::tree::{Kind, NodeId, SyntaxError, TokenKind, Tree, parse};
use super::typed::options;
use ron::ser::PrettyConfig;
use std::ops::Range;

/// A change to one place of a document. Texts are RON values.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Edit {
    /// Another value at a path.
    Replace { path: String, with: String },
    /// A further item at the end of the list or tuple at a path.
    Append { path: String, item: String },
    /// A further field at the end of the record at a path.
    AddField { path: String, name: String, value: String },
    /// Out with the item or field at a path.
    Remove { path: String },
}

/// Why a change was not made.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum EditError {
    #[error("there is nothing at `{0}`")]
    NoPlace(String),
    #[error("`{0}` is not a place where this change can be made")]
    WrongPlace(String),
    #[error("the field `{0}` is there already")]
    FieldThere(String),
    #[error("the new text cannot be read: {0}")]
    Unreadable(#[from] SyntaxError),
    #[error("the change cannot be written: {0}")]
    Unwritable(String),
    #[error("the changes in this file cannot be read: {0}")]
    Changes(String),
    /// The patched text says something else than was asked for. A mistake in this module.
    #[error("the change would have altered more than it should; nothing was changed")]
    Astray,
}

/// Makes a change; gives the new text.
///
/// # Errors
/// When the place is not there, the new value is not RON, or the result is not what was asked
/// for.
pub fn edit(text: &str, tree: &Tree, change: &Edit) -> Result<String, EditError> {
    let (patches, due) = match change {
        Edit::Replace { path, with } => {
            let id = at(tree, path)?;
            let due = canon::Due::Replace(id, canon::value(with)?);
            (vec![Patch { range: range(tree, id), with: with.clone() }], due)
        }
        Edit::Append { path, item } => {
            let id = at(tree, path)?;
            if !matches!(tree.node(id).map(|n| &n.kind), Some(Kind::List(_) | Kind::Tuple { .. })) {
                return Err(EditError::WrongPlace(path.clone()));
            }
            let due = canon::Due::Append(id, canon::value(item)?);
            (append(text, tree, id, item), due)
        }
        Edit::AddField { path, name, value } => {
            let id = at(tree, path)?;
            if tree.field(id, name).is_some() {
                return Err(EditError::FieldThere(name.clone()));
            }
            if !matches!(tree.node(id).map(|n| &n.kind), Some(Kind::Record { .. })) {
                return Err(EditError::WrongPlace(path.clone()));
            }
            let due = canon::Due::Append(id, format!("{name}:{}", canon::value(value)?));
            (append(text, tree, id, &format!("{name}: {value}")), due)
        }
        Edit::Remove { path } => {
            let id = at(tree, path)?;
            let whole = part(tree, id).ok_or_else(|| EditError::WrongPlace(path.clone()))?;
            (vec![remove(text, tree, &whole)], canon::Due::Remove(id))
        }
    };
    let (new, _) = apply(text, &patches).ok_or(EditError::Astray)?;
    let read = parse(&new).map_err(|_| EditError::Astray)?;
    if canon::document(tree, text, Some(&due)) == canon::document(&read, &new, None) {
        Ok(new)
    } else {
        Err(EditError::Astray)
    }
}

/// Adds to the `changes` section, which is made at the end of the document if it is not there.
/// Every other byte stays as it is.
///
/// # Errors
/// As [`edit`].
pub fn add_change(text: &str, change: &Change) -> Result<String, EditError> {
    let tree = parse(text)?;
    let config = PrettyConfig::new()
        .compact_structs(true)
        .compact_arrays(true)
        .compact_maps(true)
        .new_line("\n");
    let item = options()
        .to_string_pretty(change, config)
        .map_err(|e| EditError::Unwritable(e.to_string()))?;
    let change = match tree.find("changes") {
        Some(_) => Edit::Append { path: "changes".to_owned(), item },
        None => Edit::AddField {
            path: String::new(),
            name: "changes".to_owned(),
            value: format!("[\n        {item},\n    ]"),
        },
    };
    edit(text, &tree, &change)
}

fn at(tree: &Tree, path: &str) -> Result<NodeId, EditError> {
    tree.find(path).ok_or_else(|| EditError::NoPlace(path.to_owned()))
}

fn range(tree: &Tree, id: NodeId) -> Range<usize> {
    tree.node(id).map_or(0..0, |node| node.range.clone())
}

/// Bytes of an item, or of a field with its name.
fn part(tree: &Tree, id: NodeId) -> Option<Range<usize>> {
    let range = range(tree, id);
    match &tree.node(tree.node(id)?.parent?)?.kind {
        Kind::Record { fields, .. } => {
            let field = fields.iter().find(|f| f.value == id)?;
            Some(field.at.start..range.end)
        }
        Kind::Map(entries) => {
            let &(key, _) = entries.iter().find(|&&(_, v)| v == id)?;
            Some(self::range(tree, key).start..range.end)
        }
        Kind::List(_) | Kind::Tuple { .. } => Some(range),
        _ => None,
    }
}

/// The comma after a byte, if only blanks and comments lie before it.
fn comma_after(tree: &Tree, byte: usize) -> Option<Range<usize>> {
    let next = tree.tokens.iter().skip_while(|t| t.range.start < byte).find(|t| {
        !matches!(t.kind, TokenKind::Blank | TokenKind::LineComment | TokenKind::BlockComment)
    })?;
    (next.kind == TokenKind::Mark(b',')).then(|| next.range.clone())
}

/// Blanks at the start of the line a byte is in; none where something else comes first.
fn indent(text: &str, byte: usize) -> Option<&str> {
    let start = text[..byte].rfind('\n').map_or(0, |i| i + 1);
    let lead = &text[start..byte];
    lead.chars().all(|c| c == ' ' || c == '\t').then_some(lead)
}

fn append(text: &str, tree: &Tree, id: NodeId, item: &str) -> Vec<Patch> {
    let whole = range(tree, id);
    let close = whole.end - 1;
    let put = |at: usize, with: String| Patch { range: at..at, with };
    let last = tree.children(id).last().and_then(|&last| part(tree, last));
    let Some(last) = last else {
        let Some(lead) = indent(text, close) else { return vec![put(close, item.to_owned())] };
        // The bracket closes on a line of its own.
        let start = close - lead.len();
        return vec![put(start, format!("{lead}    {item},\n"))];
    };
    let comma = comma_after(tree, last.end);
    let mut patches = Vec::new();
    let mut end = comma.as_ref().map_or(last.end, |comma| comma.end);
    if comma.is_none() {
        patches.push(put(last.end, ",".to_owned()));
    }
    let closes_below = text[end..close].contains('\n');
    if !closes_below {
        let more = if comma.is_some() { "," } else { "" };
        let put = put(end, format!(" {item}{more}"));
        match patches.first_mut() {
            Some(first) => first.with.push_str(&put.with),
            None => patches.push(put),
        }
        return patches;
    }
    // After what is still said on the last item's line.
    let from = end;
    for token in tree.tokens.iter().filter(|t| t.range.start >= from && t.range.end <= close) {
        let newline = text[token.range.clone()].find('\n');
        match (token.kind, newline) {
            (TokenKind::Blank, Some(_)) => break,
            (TokenKind::Blank | TokenKind::LineComment | TokenKind::BlockComment, _) => {
                end = token.range.end;
            }
            _ => break,
        }
    }
    let inside = indent(text, last.start).map(str::to_owned);
    let lead = inside.unwrap_or_else(|| format!("{}    ", indent(text, close).unwrap_or("")));
    let new = format!("\n{lead}{item},");
    match patches.first_mut() {
        Some(first) if end == last.end => first.with.push_str(&new),
        _ => patches.push(put(end, new)),
    }
    patches
}

fn remove(text: &str, tree: &Tree, part: &Range<usize>) -> Patch {
    let mut range = part.clone();
    if let Some(comma) = comma_after(tree, part.end) {
        // A comment between the value and its comma stays out of it.
        if text[part.end..comma.start].trim().is_empty() {
            range.end = comma.end;
        }
    } else if let Some(before) = tree
        .tokens
        .iter()
        .rev()
        .skip_while(|t| t.range.end > part.start)
        .find(|t| !matches!(t.kind, TokenKind::Blank))
        && before.kind == TokenKind::Mark(b',')
        && text[before.range.end..part.start].trim().is_empty()
    {
        range.start = before.range.start;
        return Patch { range, with: String::new() };
    }
    let rest =
        text[range.end..].find(|c| c != ' ' && c != '\t').map_or(text.len(), |i| range.end + i);
    let ends_line = text[rest..].starts_with('\n');
    if let Some(lead) = indent(text, range.start)
        && ends_line
    {
        range = range.start - lead.len()..rest + 1;
    } else if text[..range.start].ends_with([' ', '(', '[', '{']) && !ends_line {
        range.end = rest;
    }
    Patch { range, with: String::new() }
}
