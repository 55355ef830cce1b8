//! Tokens into values.

use super::lex::{self, Token, TokenKind};
use super::{Field, Kind, Node, NodeId, SyntaxError, Tree};
use std::ops::Range;

/// Values one file may hold.
pub const MOST_VALUES: usize = 2_000_000;
/// Brackets inside brackets.
const DEEPEST: usize = 100;

/// Reads a RON text into its tree.
///
/// # Errors
/// At the first place where the text is not RON.
pub fn parse(text: &str) -> Result<Tree, SyntaxError> {
    let tokens = lex::tokens(text)?;
    let mut parser = Parser { text, tokens: &tokens, at: 0, nodes: Vec::new(), depth: 0 };
    if parser.peek().is_none() {
        return Err(SyntaxError { at: 0..0, message: "the file is empty".to_owned(), help: None });
    }
    parser.value()?;
    if let Some(token) = parser.peek() {
        let shown = parser.shown(&token);
        return Err(error(token.range, format!("{shown} after the end of the document")));
    }
    let mut nodes = parser.nodes;
    for id in 0..nodes.len() {
        for child in inside(&nodes[id].kind) {
            nodes[child].parent = Some(id);
        }
    }
    Ok(Tree { tokens, nodes })
}

fn inside(kind: &Kind) -> Vec<NodeId> {
    match kind {
        Kind::Record { fields, .. } => fields.iter().map(|f| f.value).collect(),
        Kind::Tuple { items, .. } | Kind::List(items) => items.clone(),
        Kind::Map(entries) => entries.iter().flat_map(|&(k, v)| [k, v]).collect(),
        _ => Vec::new(),
    }
}

fn error(at: Range<usize>, message: impl Into<String>) -> SyntaxError {
    SyntaxError { at, message: message.into(), help: None }
}

struct Parser<'a> {
    text: &'a str,
    tokens: &'a [Token],
    at: usize,
    nodes: Vec<Node>,
    depth: usize,
}

impl Parser<'_> {
    /// The next token that is neither blank nor comment.
    fn peek(&mut self) -> Option<Token> {
        loop {
            let token = self.tokens.get(self.at)?;
            match token.kind {
                TokenKind::Blank | TokenKind::LineComment | TokenKind::BlockComment => {
                    self.at += 1;
                }
                TokenKind::Attribute if self.nodes.is_empty() => self.at += 1,
                _ => return Some(token.clone()),
            }
        }
    }

    fn eat(&mut self, mark: u8) -> Option<Range<usize>> {
        let token = self.peek()?;
        (token.kind == TokenKind::Mark(mark)).then(|| {
            self.at += 1;
            token.range
        })
    }

    fn slice(&self, range: &Range<usize>) -> &str {
        self.text.get(range.clone()).unwrap_or("")
    }

    fn shown(&self, token: &Token) -> String {
        let raw = self.slice(&token.range);
        let short: String = raw.chars().take(30).collect();
        if short.len() < raw.len() { format!("`{short}…`") } else { format!("`{short}`") }
    }

    fn push(&mut self, range: Range<usize>, kind: Kind) -> Result<NodeId, SyntaxError> {
        if self.nodes.len() == MOST_VALUES {
            return Err(error(range, "more values than one file may hold"));
        }
        self.nodes.push(Node { range, parent: None, kind });
        Ok(self.nodes.len() - 1)
    }

    fn value(&mut self) -> Result<NodeId, SyntaxError> {
        let Some(token) = self.peek() else {
            return Err(error(
                self.text.len()..self.text.len(),
                "the text ends where a value is due",
            ));
        };
        self.at += 1;
        let range = token.range.clone();
        match token.kind {
            TokenKind::Word => self.after_word(&range),
            TokenKind::Mark(b'(') => self.round(range.start, None, &range),
            TokenKind::Mark(b'[') => self.list(&range),
            TokenKind::Mark(b'{') => self.map(&range),
            TokenKind::Text => {
                let value = unescape(self.text, range.start + 1, range.end - 1)?;
                self.push(range, Kind::Text(value))
            }
            TokenKind::RawText(hashes) => {
                let edge = usize::from(hashes) + 1;
                let value = self.slice(&(range.start + edge + 1..range.end - edge)).to_owned();
                self.push(range, Kind::Text(value))
            }
            TokenKind::Char => {
                let value = unescape(self.text, range.start + 1, range.end - 1)?;
                let mut chars = value.chars();
                match (chars.next(), chars.next()) {
                    (Some(c), None) => self.push(range, Kind::Char(c)),
                    _ => Err(error(range, "one character is due between single quotes")),
                }
            }
            TokenKind::Bytes => self.push(range, Kind::Bytes),
            TokenKind::Number => match self.peek() {
                Some(Token { kind: TokenKind::Dots, .. }) => {
                    self.at += 1;
                    self.span(range)
                }
                _ => self.push(range, Kind::Number),
            },
            TokenKind::Dots => self.span(range),
            _ => {
                let shown = self.shown(&token);
                Err(error(range, format!("{shown} where a value is due")))
            }
        }
    }

    /// The far end of `1..5`, if there is one.
    fn span(&mut self, mut range: Range<usize>) -> Result<NodeId, SyntaxError> {
        if let Some(Token { kind: TokenKind::Number, range: end }) = self.peek() {
            self.at += 1;
            range.end = end.end;
        }
        self.push(range, Kind::Span)
    }

    fn after_word(&mut self, word: &Range<usize>) -> Result<NodeId, SyntaxError> {
        let raw = self.slice(word);
        let name = raw.strip_prefix("r#").unwrap_or(raw).to_owned();
        match self.eat(b'(') {
            Some(open) => self.round(word.start, Some(name), &open),
            None if matches!(name.as_str(), "inf" | "NaN") => self.push(word.clone(), Kind::Number),
            None => self.push(word.clone(), Kind::Word(name)),
        }
    }

    fn deeper(&mut self, open: &Range<usize>) -> Result<(), SyntaxError> {
        self.depth += 1;
        if self.depth > DEEPEST {
            return Err(error(open.clone(), format!("brackets nested more than {DEEPEST} deep")));
        }
        Ok(())
    }

    /// After an element: a comma, or the closing bracket; the end of the bracket if it closed.
    fn comma_or_close(
        &mut self,
        open: &Range<usize>,
        close: u8,
    ) -> Result<Option<usize>, SyntaxError> {
        let before = self.nodes.last().map_or(0, |node| node.range.end);
        let comma = self.eat(b',').is_some();
        if let Some(end) = self.eat(close) {
            return Ok(Some(end.end));
        }
        match self.peek() {
            None => Err(self.unclosed(open)),
            Some(_) if comma => Ok(None),
            Some(Token { kind: TokenKind::Mark(b')' | b']' | b'}'), .. }) => {
                Err(self.wrong_close(open, close))
            }
            Some(token) => {
                let shown = self.shown(&token);
                let mut missing =
                    error(before..before, format!("a comma is missing before {shown}"));
                missing.help = self.quotes_missing(before, &token);
                Err(missing)
            }
        }
    }

    /// A number with a word after it is a quantity without its quotes.
    fn quotes_missing(&self, before: usize, word: &Token) -> Option<String> {
        let is_number = |t: &&Token| t.kind == TokenKind::Number && t.range.end == before;
        let number = self.tokens.iter().find(is_number)?;
        (word.kind == TokenKind::Word).then(|| {
            let (number, word) = (self.slice(&number.range), self.slice(&word.range));
            format!("a quantity is written in quotes, such as \"{number} {word}\"")
        })
    }

    fn unclosed(&self, open: &Range<usize>) -> SyntaxError {
        error(open.clone(), format!("this `{}` is never closed", self.slice(open)))
    }

    fn wrong_close(&mut self, open: &Range<usize>, close: u8) -> SyntaxError {
        let at = self.peek().map_or(open.clone(), |t| t.range);
        let line = self.text[..open.start].matches('\n').count() + 1;
        let found = self.slice(&at).to_owned();
        error(
            at,
            format!(
                "`{found}` where `{}` is due to close the `{}` of line {line}",
                char::from(close),
                self.slice(open),
            ),
        )
    }

    /// What stands between round brackets: named fields, or items.
    fn round(
        &mut self,
        start: usize,
        name: Option<String>,
        open: &Range<usize>,
    ) -> Result<NodeId, SyntaxError> {
        self.deeper(open)?;
        let node = if self.field_ahead() {
            let mut fields = Vec::new();
            let end = loop {
                fields.push(self.named_field(open)?);
                if let Some(end) = self.comma_or_close(open, b')')? {
                    break end;
                }
            };
            self.push(start..end, Kind::Record { name, fields })
        } else {
            let (items, end) = self.items(open, b')')?;
            self.push(start..end, Kind::Tuple { name, items })
        };
        self.depth -= 1;
        node
    }

    fn field_ahead(&mut self) -> bool {
        if !matches!(self.peek(), Some(Token { kind: TokenKind::Word, .. })) {
            return false;
        }
        let back = self.at;
        self.at += 1;
        let colon = matches!(self.peek(), Some(Token { kind: TokenKind::Mark(b':'), .. }));
        self.at = back;
        colon
    }

    fn named_field(&mut self, open: &Range<usize>) -> Result<Field, SyntaxError> {
        let token = self.peek().ok_or_else(|| self.unclosed(open))?;
        let shown = self.shown(&token);
        if token.kind != TokenKind::Word {
            return Err(error(token.range, format!("{shown} where a field name is due")));
        }
        self.at += 1;
        if self.eat(b':').is_none() {
            let at = token.range.end..token.range.end;
            return Err(error(at, format!("a colon is missing after the field name {shown}")));
        }
        let raw = self.slice(&token.range);
        let name = raw.strip_prefix("r#").unwrap_or(raw).to_owned();
        Ok(Field { name, at: token.range, value: self.value()? })
    }

    fn items(
        &mut self,
        open: &Range<usize>,
        close: u8,
    ) -> Result<(Vec<NodeId>, usize), SyntaxError> {
        let mut items = Vec::new();
        if let Some(end) = self.eat(close) {
            return Ok((items, end.end));
        }
        loop {
            if self.peek().is_none() {
                return Err(self.unclosed(open));
            }
            items.push(self.value()?);
            if let Some(end) = self.comma_or_close(open, close)? {
                return Ok((items, end));
            }
        }
    }

    fn list(&mut self, open: &Range<usize>) -> Result<NodeId, SyntaxError> {
        self.deeper(open)?;
        let (items, end) = self.items(open, b']')?;
        self.depth -= 1;
        self.push(open.start..end, Kind::List(items))
    }

    fn map(&mut self, open: &Range<usize>) -> Result<NodeId, SyntaxError> {
        self.deeper(open)?;
        let mut entries = Vec::new();
        let end = match self.eat(b'}') {
            Some(end) => end.end,
            None => loop {
                if self.peek().is_none() {
                    return Err(self.unclosed(open));
                }
                let key = self.value()?;
                if self.eat(b':').is_none() {
                    let at = self.nodes[key].range.end;
                    return Err(error(at..at, "a colon is missing after this key"));
                }
                entries.push((key, self.value()?));
                if let Some(end) = self.comma_or_close(open, b'}')? {
                    break end;
                }
            },
        };
        self.depth -= 1;
        self.push(open.start..end, Kind::Map(entries))
    }
}

/// The value of a quoted stretch.
fn unescape(text: &str, start: usize, end: usize) -> Result<String, SyntaxError> {
    let raw = text.get(start..end).unwrap_or("");
    if !raw.contains('\\') {
        return Ok(raw.to_owned());
    }
    let bad = |i: usize, n: usize| error(start + i..start + i + n, "this escape is not known");
    let mut value = String::with_capacity(raw.len());
    let mut chars = raw.char_indices();
    while let Some((i, c)) = chars.next() {
        if c != '\\' {
            value.push(c);
            continue;
        }
        let (_, escape) = chars.next().ok_or_else(|| bad(i, 1))?;
        let digits = |from: usize, to: usize| {
            let digits = raw.get(from..to)?;
            char::from_u32(u32::from_str_radix(digits, 16).ok()?)
        };
        value.push(match escape {
            '"' | '\'' | '\\' => escape,
            'n' => '\n',
            'r' => '\r',
            't' => '\t',
            '0' => '\0',
            'x' => {
                chars.nth(1);
                digits(i + 2, i + 4).ok_or_else(|| bad(i, 2))?
            }
            'u' => {
                let close = raw[i..].find('}').ok_or_else(|| bad(i, 2))? + i;
                let c = raw[i..].strip_prefix("\\u{").and_then(|_| digits(i + 3, close));
                for _ in 2..raw[i..=close].chars().count() {
                    chars.next();
                }
                c.ok_or_else(|| bad(i, 2))?
            }
            _ => return Err(bad(i, 2)),
        });
    }
    Ok(value)
}
