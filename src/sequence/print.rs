//! Steps as text that can be pasted into a scene's `sequence`.

use crate::scene::model::{Action, StepText};
use crate::scene::typed;

/// Longest line of actions before it is broken.
const WIDTH: usize = 96;

/// `Step(id: "…", title: "…", do: [ … ]),` one after the other.
#[must_use]
pub fn to_ron(steps: &[StepText]) -> String {
    let mut out = String::new();
    for step in steps {
        one(step, &mut out);
    }
    out
}

fn one(step: &StepText, out: &mut String) {
    out.push_str(&format!("Step(id: {}, ", text(&step.id)));
    if !step.title.is_empty() {
        out.push_str(&format!("title: {}, ", text(&step.title)));
    }
    out.push_str("do: [");
    let mut line = String::new();
    for action in &step.actions {
        let word = one_bracket(value::<Action>(action));
        if line.len() + word.len() + 6 > WIDTH {
            out.push_str("\n    ");
            out.push_str(line.trim_end());
            line.clear();
        }
        line.push_str(&word);
        line.push_str(", ");
    }
    if !line.is_empty() {
        out.push_str("\n    ");
        out.push_str(line.trim_end());
        out.push('\n');
    }
    out.push(']');
    if !step.people.is_empty() {
        let people: Vec<String> = step.people.iter().map(value).collect();
        out.push_str(&format!(", people: [{}]", people.join(", ")));
    }
    if let Some(crew) = step.crew {
        out.push_str(&format!(", crew: {crew}"));
    }
    out.push_str("),\n");
}

/// `Load((…))` with one bracket, as a person writes it.
fn one_bracket(word: String) -> String {
    for name in ["Load", "Evidence"] {
        let inner = word.strip_prefix(&format!("{name}((")).and_then(|w| w.strip_suffix("))"));
        if let Some(inner) = inner {
            return format!("{name}({inner})");
        }
    }
    word
}

fn text(value: &str) -> String {
    self::value(&value)
}

/// One value on one line. Strings, numbers and records of them always print.
fn value<T: serde::Serialize>(value: &T) -> String {
    typed::options().to_string(value).unwrap_or_default()
}
