//! What a document says, without blanks and comments, as one text to compare.

use crate::scene::tree::{Kind, NodeId, SyntaxError, Tree, parse};

/// What a document should say after a change.
pub(super) enum Due {
    Replace(NodeId, String),
    Append(NodeId, String),
    Remove(NodeId),
}

/// What a value's text says.
pub(super) fn value(text: &str) -> Result<String, SyntaxError> {
    let tree = parse(text)?;
    Ok(document(&tree, text, None))
}

/// What a document says, with the change made.
pub(super) fn document(tree: &Tree, text: &str, due: Option<&Due>) -> String {
    let mut out = String::new();
    if let Some(root) = tree.root() {
        Writer { tree, text, due }.put(root, &mut out);
    }
    out
}

/// What stands before an item and its colon.
enum Key<'a> {
    None,
    Name(&'a str),
    Value(NodeId),
}

struct Writer<'a> {
    tree: &'a Tree,
    text: &'a str,
    due: Option<&'a Due>,
}

impl Writer<'_> {
    fn put(&self, id: NodeId, out: &mut String) {
        let Some(node) = self.tree.node(id) else { return };
        if let Some(Due::Replace(at, with)) = self.due
            && *at == id
        {
            out.push_str(with);
            return;
        }
        match &node.kind {
            Kind::Record { name, fields } => {
                let items = fields.iter().map(|f| (Key::Name(&f.name), f.value));
                self.bracket(id, name.as_deref(), "()", items.collect(), out);
            }
            Kind::Tuple { name, items } => {
                let items = items.iter().map(|&item| (Key::None, item)).collect();
                self.bracket(id, name.as_deref(), "()", items, out);
            }
            Kind::List(items) => {
                let items = items.iter().map(|&item| (Key::None, item)).collect();
                self.bracket(id, None, "[]", items, out);
            }
            Kind::Map(entries) => {
                let items = entries.iter().map(|&(k, v)| (Key::Value(k), v)).collect();
                self.bracket(id, None, "{}", items, out);
            }
            Kind::Text(text) => out.push_str(&format!("{text:?}")),
            Kind::Char(c) => out.push_str(&format!("{c:?}")),
            Kind::Word(word) => out.push_str(word),
            Kind::Bytes | Kind::Number | Kind::Span => {
                out.push_str(self.text.get(node.range.clone()).unwrap_or(""));
            }
        }
    }

    fn bracket(
        &self,
        id: NodeId,
        name: Option<&str>,
        brackets: &str,
        items: Vec<(Key<'_>, NodeId)>,
        out: &mut String,
    ) {
        out.push_str(name.unwrap_or(""));
        out.push_str(&brackets[..1]);
        for (key, item) in items {
            if matches!(self.due, Some(Due::Remove(gone)) if *gone == item) {
                continue;
            }
            match key {
                Key::Value(key) => {
                    self.put(key, out);
                    out.push(':');
                }
                Key::Name(name) => {
                    out.push_str(name);
                    out.push(':');
                }
                Key::None => {}
            }
            self.put(item, out);
            out.push(',');
        }
        if let Some(Due::Append(at, item)) = self.due
            && *at == id
        {
            out.push_str(item);
            out.push(',');
        }
        out.push_str(&brackets[1..]);
    }
}
