//! A RON text as tokens, blanks and comments among them.

use super::SyntaxError;
use std::ops::Range;

/// A stretch of the text.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Token {
    pub kind: TokenKind,
    pub range: Range<usize>,
}

/// What a stretch of the text is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum TokenKind {
    Blank,
    LineComment,
    BlockComment,
    /// `#![enable(…)]`
    Attribute,
    Word,
    Number,
    /// A string in quotes; escapes count.
    Text,
    /// `r"…"`, with this many `#` on each side.
    RawText(u8),
    Char,
    /// `b"…"` or `br"…"`
    Bytes,
    /// One of `( ) [ ] { } , :`
    Mark(u8),
    /// `..` or `..=`
    Dots,
}

/// More tokens than this are not read.
pub const MOST_TOKENS: usize = 8_000_000;

/// Cuts the text into tokens. Their ranges follow one another and cover the whole text.
///
/// # Errors
/// At the first stretch that is no token: a stray character, an unclosed string or comment.
pub fn tokens(text: &str) -> Result<Vec<Token>, SyntaxError> {
    let mut all = Vec::new();
    let mut at = 0;
    while at < text.len() {
        let (kind, len) = next(&text[at..]).map_err(|(len, message)| SyntaxError {
            at: at..(at + len).min(text.len()),
            message,
            help: None,
        })?;
        if all.len() == MOST_TOKENS {
            return Err(SyntaxError {
                at: at..at + len,
                message: "more values than one file may hold".to_owned(),
                help: Some("split the job into several files".to_owned()),
            });
        }
        all.push(Token { kind, range: at..at + len });
        at += len;
    }
    Ok(all)
}

type Next = Result<(TokenKind, usize), (usize, String)>;

fn next(rest: &str) -> Next {
    let Some(first) = rest.chars().next() else { return Ok((TokenKind::Blank, 0)) };
    if blank(first) {
        return Ok((TokenKind::Blank, rest.find(|c| !blank(c)).unwrap_or(rest.len())));
    }
    if rest.starts_with("//") {
        return Ok((TokenKind::LineComment, rest.find('\n').unwrap_or(rest.len())));
    }
    if rest.starts_with("/*") {
        return block_comment(rest);
    }
    if rest.starts_with("#!") {
        let end = rest.find(']').ok_or_else(|| (2, "this attribute is not closed".to_owned()))?;
        return Ok((TokenKind::Attribute, end + 1));
    }
    if rest.starts_with("..=") {
        return Ok((TokenKind::Dots, 3));
    }
    if rest.starts_with("..") {
        return Ok((TokenKind::Dots, 2));
    }
    match first {
        '(' | ')' | '[' | ']' | '{' | '}' | ',' | ':' => {
            Ok((TokenKind::Mark(rest.as_bytes()[0]), 1))
        }
        '"' => quoted(rest, 1, '"').map(|end| (TokenKind::Text, end)),
        '\'' => quoted(rest, 1, '\'').map(|end| (TokenKind::Char, end)),
        'b' if rest.starts_with("b\"") => quoted(rest, 2, '"').map(|e| (TokenKind::Bytes, e)),
        'b' if rest.starts_with("b'") => quoted(rest, 2, '\'').map(|e| (TokenKind::Number, e)),
        'b' if raw_hashes(&rest[1..]).is_some() => {
            raw(&rest[1..], 1).map(|(_, end)| (TokenKind::Bytes, end + 1))
        }
        'r' if raw_hashes(rest).is_some() => {
            raw(rest, 0).map(|(hashes, end)| (TokenKind::RawText(hashes), end))
        }
        'r' if rest.starts_with("r#") => Ok((TokenKind::Word, raw_word(&rest[2..]) + 2)),
        c if c.is_alphabetic() || c == '_' => Ok((TokenKind::Word, word(rest))),
        c if c.is_ascii_digit() || matches!(c, '+' | '-' | '.') => {
            Ok((TokenKind::Number, number(rest)))
        }
        c => Err((c.len_utf8(), format!("the character {c:?} has no meaning here"))),
    }
}

/// Blanks as RON counts them.
fn blank(c: char) -> bool {
    matches!(
        c,
        ' ' | '\t'
            | '\n'
            | '\r'
            | '\u{b}'
            | '\u{c}'
            | '\u{85}'
            | '\u{200e}'
            | '\u{200f}'
            | '\u{2028}'
            | '\u{2029}'
    )
}

/// Block comments nest.
fn block_comment(rest: &str) -> Next {
    let bytes = rest.as_bytes();
    let (mut depth, mut i) = (0usize, 0);
    while i < bytes.len() {
        match bytes.get(i..i + 2) {
            Some(b"/*") => (depth, i) = (depth + 1, i + 2),
            Some(b"*/") => (depth, i) = (depth - 1, i + 2),
            _ => i += 1,
        }
        if depth == 0 {
            return Ok((TokenKind::BlockComment, i));
        }
    }
    Err((2, "this comment is never closed".to_owned()))
}

/// Length of a quoted stretch, the closing quote included.
fn quoted(rest: &str, open: usize, close: char) -> Result<usize, (usize, String)> {
    let mut escaped = false;
    for (i, c) in rest.char_indices().skip_while(|&(i, _)| i < open) {
        if escaped {
            escaped = false;
        } else if c == '\\' {
            escaped = true;
        } else if c == close {
            return Ok(i + 1);
        }
    }
    Err((open, format!("this {close} is never closed")))
}

/// `r"` or `r#…#"`: how many hashes.
fn raw_hashes(rest: &str) -> Option<usize> {
    let after = rest.strip_prefix('r')?;
    let hashes = after.bytes().take_while(|&b| b == b'#').count();
    (hashes < 256 && after[hashes..].starts_with('"')).then_some(hashes)
}

fn raw(rest: &str, before: usize) -> Result<(u8, usize), (usize, String)> {
    let hashes = raw_hashes(rest).unwrap_or(0);
    let start = hashes + 2;
    let close = format!("\"{}", "#".repeat(hashes));
    match rest[start..].find(&close) {
        Some(end) => Ok((u8::try_from(hashes).unwrap_or(0), start + end + close.len())),
        None => Err((before + start, "this raw string is never closed".to_owned())),
    }
}

fn word(rest: &str) -> usize {
    rest.find(|c: char| !(c.is_alphanumeric() || c == '_')).unwrap_or(rest.len())
}

fn raw_word(rest: &str) -> usize {
    rest.find(|c: char| !(c.is_alphanumeric() || matches!(c, '_' | '.' | '+' | '-')))
        .unwrap_or(rest.len())
}

/// Digits, a point, an exponent, a base prefix, a type suffix; `-inf` and `+NaN` too.
fn number(rest: &str) -> usize {
    let bytes = rest.as_bytes();
    let mut i = usize::from(matches!(bytes[0], b'+' | b'-'));
    while i < bytes.len() {
        let sign_of_exponent = matches!(bytes[i], b'+' | b'-')
            && i > 0
            && matches!(bytes[i - 1], b'e' | b'E')
            && !rest.contains("0x");
        let point = bytes[i] == b'.' && bytes.get(i + 1) != Some(&b'.');
        if bytes[i].is_ascii_alphanumeric() || bytes[i] == b'_' || point || sign_of_exponent {
            i += 1;
        } else {
            break;
        }
    }
    i.max(1)
}
