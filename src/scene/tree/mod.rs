//! A lossless tree of a RON text: every byte belongs to a token, every value knows its bytes.
//!
//! It knows nothing of scenes. The typed reading is ron's; this tree gives the places.

mod lex;
mod parse;
mod path;

pub use lex::{Token, TokenKind};
pub use parse::{MOST_VALUES, parse};
pub use path::Segment;

use std::ops::Range;

/// Index of a node in its [`Tree`].
pub type NodeId = usize;

/// A RON text, read.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Tree {
    /// All tokens in order; end to end they are the whole text.
    pub tokens: Vec<Token>,
    /// Values; the last one is the root.
    nodes: Vec<Node>,
}

/// A value with its bytes and its parent.
#[derive(Clone, Debug, PartialEq)]
pub struct Node {
    pub range: Range<usize>,
    pub parent: Option<NodeId>,
    pub kind: Kind,
}

/// A named field of a record.
#[derive(Clone, Debug, PartialEq)]
pub struct Field {
    pub name: String,
    /// Bytes of the name.
    pub at: Range<usize>,
    pub value: NodeId,
}

/// What a value is. Names of records and tuples are struct or variant names.
#[derive(Clone, Debug, PartialEq)]
pub enum Kind {
    /// `Name(a: 1, b: 2)` or `(a: 1)`.
    Record {
        name: Option<String>,
        fields: Vec<Field>,
    },
    /// `Name(1, 2)`, `(1, 2)` or `()`.
    Tuple {
        name: Option<String>,
        items: Vec<NodeId>,
    },
    /// `[1, 2]`
    List(Vec<NodeId>),
    /// `{"a": 1}`
    Map(Vec<(NodeId, NodeId)>),
    /// A word alone: `true`, `None`, a variant without content.
    Word(String),
    Text(String),
    Char(char),
    /// A byte string, kept as written.
    Bytes,
    /// Kept as written.
    Number,
    /// `1..5`, kept as written.
    Span,
}

/// A text that is not RON: where, and why.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{message}")]
pub struct SyntaxError {
    pub at: Range<usize>,
    pub message: String,
    pub help: Option<String>,
}

impl Tree {
    /// The outermost value.
    #[must_use]
    pub fn root(&self) -> Option<NodeId> {
        self.nodes.len().checked_sub(1)
    }

    #[must_use]
    pub fn node(&self, id: NodeId) -> Option<&Node> {
        self.nodes.get(id)
    }

    /// All values, inner ones before the ones around them.
    #[must_use]
    pub fn nodes(&self) -> &[Node] {
        &self.nodes
    }

    /// Values directly inside a value, in order.
    #[must_use]
    pub fn children(&self, id: NodeId) -> Vec<NodeId> {
        match self.nodes.get(id).map(|n| &n.kind) {
            Some(Kind::Record { fields, .. }) => fields.iter().map(|f| f.value).collect(),
            Some(Kind::Tuple { items, .. } | Kind::List(items)) => items.clone(),
            Some(Kind::Map(entries)) => entries.iter().map(|&(_, value)| value).collect(),
            _ => Vec::new(),
        }
    }

    /// The field of a record. A variant around one record, and `Some(…)`, are looked through.
    #[must_use]
    pub fn field(&self, id: NodeId, name: &str) -> Option<&Field> {
        match &self.nodes.get(id)?.kind {
            Kind::Record { fields, .. } => fields.iter().find(|f| f.name == name),
            Kind::Tuple { name: Some(_), items } => match items.as_slice() {
                [only] => self.field(*only, name),
                _ => None,
            },
            _ => None,
        }
    }

    /// The value of a string or a word.
    #[must_use]
    pub fn text(&self, id: NodeId) -> Option<&str> {
        match &self.nodes.get(id)?.kind {
            Kind::Text(text) | Kind::Word(text) => Some(text),
            _ => None,
        }
    }

    /// Comments before the first value, without their marks; what a file says of itself.
    #[must_use]
    pub fn head_comment(&self, text: &str) -> String {
        let mut lines = Vec::new();
        for token in &self.tokens {
            let Some(raw) = text.get(token.range.clone()) else { break };
            match token.kind {
                TokenKind::Blank | TokenKind::Attribute => {}
                TokenKind::LineComment => {
                    lines.push(raw.trim_start_matches(['/', '!']).trim());
                }
                TokenKind::BlockComment => {
                    let inner = raw.trim_start_matches("/*").trim_end_matches("*/");
                    lines.extend(inner.lines().map(|l| l.trim().trim_start_matches('*').trim()));
                }
                _ => break,
            }
        }
        lines.join("\n").trim().to_owned()
    }

    /// True if two values, possibly of two trees, are written alike but for blanks and comments.
    #[must_use]
    pub fn same(&self, text: &str, id: NodeId, other: &Tree, theirs: &str, their: NodeId) -> bool {
        let (Some(a), Some(b)) = (self.node(id), other.node(their)) else { return false };
        let all = |a: &[NodeId], b: &[NodeId]| {
            a.len() == b.len()
                && a.iter().zip(b).all(|(&a, &b)| self.same(text, a, other, theirs, b))
        };
        match (&a.kind, &b.kind) {
            (Kind::Record { name: n, fields: f }, Kind::Record { name: m, fields: g }) => {
                n == m
                    && f.len() == g.len()
                    && f.iter().zip(g).all(|(f, g)| {
                        f.name == g.name && self.same(text, f.value, other, theirs, g.value)
                    })
            }
            (Kind::Tuple { name: n, items: f }, Kind::Tuple { name: m, items: g }) => {
                n == m && all(f, g)
            }
            (Kind::List(f), Kind::List(g)) => all(f, g),
            (Kind::Map(f), Kind::Map(g)) => {
                f.len() == g.len()
                    && f.iter().zip(g).all(|(&(k, v), &(l, w))| all(&[k, v], &[l, w]))
            }
            (Kind::Number | Kind::Bytes | Kind::Span, kind) => {
                a.kind == *kind && text.get(a.range.clone()) == theirs.get(b.range.clone())
            }
            (a, b) => a == b,
        }
    }
}
