//! Paths inside a document, such as `blocks[0].overrides[2].members` or `posts["P1"].reach[0]`.

use super::{Kind, NodeId, Tree};
use std::fmt;

/// One step of a path.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Segment {
    /// A field of a record.
    Field(String),
    /// An item of a list or tuple, from 0.
    Index(usize),
    /// A key of a map.
    Key(String),
}

impl fmt::Display for Segment {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Field(name) => write!(f, ".{name}"),
            Self::Index(i) => write!(f, "[{i}]"),
            Self::Key(key) => write!(f, "[{key:?}]"),
        }
    }
}

/// The steps of a path; nothing where the text is not a path.
#[must_use]
pub fn segments(path: &str) -> Option<Vec<Segment>> {
    let mut all = Vec::new();
    let mut rest = path;
    while !rest.is_empty() {
        if let Some(after) = rest.strip_prefix("[\"") {
            let end = after.find("\"]")?;
            all.push(Segment::Key(after[..end].replace("\\\"", "\"").replace("\\\\", "\\")));
            rest = &after[end + 2..];
        } else if let Some(after) = rest.strip_prefix('[') {
            let end = after.find(']')?;
            all.push(Segment::Index(after[..end].parse().ok()?));
            rest = &after[end + 1..];
        } else {
            let name = rest.strip_prefix('.').unwrap_or(rest);
            let end = name.find(['.', '[']).unwrap_or(name.len());
            if end == 0 {
                return None;
            }
            all.push(Segment::Field(name[..end].to_owned()));
            rest = &name[end..];
        }
    }
    Some(all)
}

impl Tree {
    /// The value at a path. The empty path is the root. Variants around one record, and
    /// `Some(…)`, take no step of their own.
    #[must_use]
    pub fn find(&self, path: &str) -> Option<NodeId> {
        let segments = segments(path)?;
        let (node, taken) = self.walk(&segments)?;
        (taken == segments.len()).then_some(node)
    }

    /// The value at a path, or the innermost value around where it would be.
    #[must_use]
    pub fn nearest(&self, path: &str) -> Option<NodeId> {
        self.walk(&segments(path).unwrap_or_default()).map(|(node, _)| node)
    }

    fn walk(&self, segments: &[Segment]) -> Option<(NodeId, usize)> {
        let mut node = self.root()?;
        for (taken, segment) in segments.iter().enumerate() {
            match self.child(node, segment) {
                Some(child) => node = child,
                None => return Some((node, taken)),
            }
        }
        Some((node, segments.len()))
    }

    fn child(&self, id: NodeId, segment: &Segment) -> Option<NodeId> {
        let through = |items: &[NodeId]| match items {
            [only] => self.child(*only, segment),
            _ => None,
        };
        match (segment, &self.node(id)?.kind) {
            (Segment::Field(name), Kind::Record { .. }) => self.field(id, name).map(|f| f.value),
            (Segment::Key(key), Kind::Map(entries)) => {
                let fits = |&&(k, _): &&(NodeId, NodeId)| self.text(k) == Some(key.as_str());
                entries.iter().find(fits).map(|&(_, value)| value)
            }
            (Segment::Index(i), Kind::List(items)) => items.get(*i).copied(),
            (Segment::Index(i), Kind::Tuple { name, items }) => match name.as_deref() {
                Some("Some") => through(items),
                _ => items.get(*i).copied(),
            },
            (_, Kind::Tuple { name: Some(_), items }) => through(items),
            _ => None,
        }
    }

    /// The path of a value, as [`Tree::find`] reads it.
    #[must_use]
    pub fn path(&self, id: NodeId) -> String {
        let mut steps = Vec::new();
        let mut at = id;
        while let Some(parent) = self.node(at).and_then(|n| n.parent) {
            if let Some(step) = self.step(parent, at) {
                steps.push(step);
            }
            at = parent;
        }
        let path: String = steps.iter().rev().map(ToString::to_string).collect();
        path.strip_prefix('.').map_or_else(|| path.clone(), str::to_owned)
    }

    fn step(&self, parent: NodeId, child: NodeId) -> Option<Segment> {
        match &self.node(parent)?.kind {
            Kind::Record { fields, .. } => {
                fields.iter().find(|f| f.value == child).map(|f| Segment::Field(f.name.clone()))
            }
            Kind::List(items) => items.iter().position(|&i| i == child).map(Segment::Index),
            Kind::Tuple { name, items } => {
                let record = matches!(self.node(child).map(|n| &n.kind), Some(Kind::Record { .. }));
                let through = items.len() == 1
                    && (name.as_deref() == Some("Some") || (name.is_some() && record));
                let at = items.iter().position(|&i| i == child).map(Segment::Index);
                if through { None } else { at }
            }
            Kind::Map(entries) => entries
                .iter()
                .find(|&&(k, v)| k == child || v == child)
                .and_then(|&(k, _)| self.text(k).map(|t| Segment::Key(t.to_owned()))),
            _ => None,
        }
    }
}
