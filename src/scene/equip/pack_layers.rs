//! Laying one pack's text over another's, and who gives each rule.

use crate::criteria::Pack;
use crate::scene::patch::{Patch, apply};
use crate::scene::source::SceneSource;
use crate::scene::tree::{Kind, NodeId, Tree};
use crate::scene::typed::options;
use std::collections::BTreeMap;

/// Rules that are lists: an option adds to them.
const LISTS: [&str; 2] = ["diagonals_above", "engineer_above"];
/// What an option leaves as it is.
const OWN: [&str; 5] = ["extends", "format", "name", "title", "region"];

/// A pack's text as it is put together, with the file each rule comes from.
pub(super) struct Layers {
    text: String,
    /// By field: the files, one for each item of a list.
    from: BTreeMap<String, Vec<String>>,
}

impl Layers {
    pub fn new(base: &SceneSource) -> Self {
        let mut layers = Self { text: base.text.clone(), from: BTreeMap::new() };
        for (name, value) in fields(&base.tree, &base.text) {
            layers.from.insert(name, file(base, value.items));
        }
        layers
    }

    /// Every field of the top takes the place of the base's.
    pub fn lay(&mut self, top: &SceneSource) -> Option<()> {
        for (name, value) in fields(&top.tree, &top.text) {
            if name != "extends" {
                self.text = over(&self.text, &name, &value.text)?;
                self.from.insert(name, file(top, value.items));
            }
        }
        Some(())
    }

    /// Fields of an option that are not laxer than what is there; lists are added to.
    pub fn option(&mut self, top: &SceneSource) -> Option<()> {
        for (name, value) in fields(&top.tree, &top.text) {
            if OWN.contains(&name.as_str()) {
                continue;
            }
            if LISTS.contains(&name.as_str()) {
                self.text = added(&self.text, &name, &value.text)?;
                self.from.entry(name).or_default().extend(file(top, value.items));
                continue;
            }
            let text = over(&self.text, &name, &value.text)?;
            let (before, after) = (parse(&self.text).ok()?, parse(&text).ok()?);
            let laxer = after.rules().iter().any(|rule| {
                rule.name == name
                    && before.rules().iter().any(|b| b.name == name && rule.laxer_than(b))
            });
            if !laxer {
                self.text = text;
                self.from.insert(name, file(top, value.items));
            }
        }
        Some(())
    }

    /// The pack, with the file of each rule.
    pub fn pack(&self) -> Result<Pack, String> {
        let mut pack = parse(&self.text)?;
        pack.say_from(|field, item| {
            self.from.get(field).and_then(|files| files.get(item)).cloned().unwrap_or_default()
        });
        Ok(pack)
    }
}

fn parse(text: &str) -> Result<Pack, String> {
    options().from_str(text).map_err(|error| error.code.to_string())
}

/// The file's name, as often as the value has items.
fn file(source: &SceneSource, items: usize) -> Vec<String> {
    vec![source.path.display().to_string(); items]
}

/// The base's text with a field put in.
fn over(base: &str, name: &str, value: &str) -> Option<String> {
    let tree = crate::scene::tree::parse(base).ok()?;
    let root = tree.root()?;
    let Some(field) = tree.field(root, name) else {
        let start = tree.node(root)?.range.start;
        let open = base[start..].find('(')? + start + 1;
        return patched(base, Patch { range: open..open, with: format!("{name}: {value}, ") });
    };
    let node = tree.node(field.value)?;
    // Later words of the same name count.
    let with = match (&node.kind, name) {
        (Kind::Map(_), "aliases") => joined(base.get(node.range.clone())?, value, ['{', '}']),
        _ => value.to_owned(),
    };
    patched(base, Patch { range: node.range.clone(), with })
}

/// The base's text with the items of a list added to its own.
fn added(base: &str, name: &str, value: &str) -> Option<String> {
    let tree = crate::scene::tree::parse(base).ok()?;
    let Some(field) = tree.field(tree.root()?, name) else { return over(base, name, value) };
    let node = tree.node(field.value)?;
    let with = joined(base.get(node.range.clone())?, value, ['[', ']']);
    patched(base, Patch { range: node.range.clone(), with })
}

/// Two maps or lists in one.
fn joined(old: &str, new: &str, brackets: [char; 2]) -> String {
    let inner = |text: &str| text.trim_matches(brackets).trim().trim_end_matches(',').to_owned();
    let both: Vec<String> =
        [inner(old), inner(new)].into_iter().filter(|part| !part.is_empty()).collect();
    format!("{}{}{}", brackets[0], both.join(", "), brackets[1])
}

fn patched(text: &str, patch: Patch) -> Option<String> {
    apply(text, &[patch]).map(|(text, _)| text)
}

/// A field's value as text, and how many items it has (1 but for lists).
struct Value {
    text: String,
    items: usize,
}

fn fields(tree: &Tree, text: &str) -> Vec<(String, Value)> {
    let Some(Kind::Record { fields, .. }) =
        tree.root().and_then(|root| tree.node(root)).map(|n| &n.kind)
    else {
        return Vec::new();
    };
    fields
        .iter()
        .filter_map(|field| {
            let node = tree.node(field.value)?;
            let value = Value {
                text: text.get(node.range.clone())?.to_owned(),
                items: items(tree, field.value),
            };
            Some((field.name.clone(), value))
        })
        .collect()
}

fn items(tree: &Tree, id: NodeId) -> usize {
    match tree.node(id).map(|n| &n.kind) {
        Some(Kind::List(items)) => items.len(),
        _ => 1,
    }
}
