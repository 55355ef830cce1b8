//! A record to begin with: everything to be said, nothing said yet.

use super::hold_points::PLANNED;
use super::model::FORMAT;
use crate::assembly::{Assembly, Role};
use crate::sequence::Stage;
use std::collections::BTreeMap;

/// The text of a new record for what is there at the stage. Its entries are examples in comments: the
/// program says nothing in anybody's name.
#[must_use]
pub fn start(assembly: &Assembly, stage: &Stage) -> String {
    let mut counts: BTreeMap<(String, Role), usize> = BTreeMap::new();
    for member in assembly.members.iter().filter(|m| stage.state(m.id).is_there()) {
        let block = member.block.clone().unwrap_or_default();
        *counts.entry((block, member.role)).or_default() += 1;
    }
    let mut text = String::new();
    let mut line = |part: &str| {
        text.push_str(part);
        text.push('\n');
    };
    line(&format!("// As-built record of: {}", one_line(&assembly.scene.title)));
    line("//");
    line(
        "// What people saw on site. Entries are only ever added; the last one for a part counts, whole.",
    );
    line("// `*` stands for any text in a name. Parts in place after the last step of the scene:");
    for ((block, role), count) in &counts {
        let role = format!("{role:?}").to_lowercase();
        let block = if block.is_empty() { "single members" } else { block };
        line(&format!("//   {block}: {count} × {role}"));
    }
    line("(");
    line(&format!("    format: {FORMAT},"));
    line("    // The drawing in force. Without it no permit is issued.");
    line("    // drawing: (number: \"F-01\", revision: \"A\"),");
    line("    // Hold points of your own, beyond those every permit asks for:");
    for planned in PLANNED {
        line(&format!(
            "    //   {} (before the {}): {}",
            planned.id,
            planned.before.words(),
            planned.title
        ));
    }
    line("    hold_points: [");
    line(
        "        // (id: \"rebar\", title: \"Reinforcement checked\", before: load, look: [\"Laid as drawn.\"]),",
    );
    line("    ],");
    line("    inspections: [");
    line(
        "        // (parts: [\"main.post.A1\"], by: \"name\", on: \"2026-03-09\", drawing: \"A\", sound: true,",
    );
    line("        //     pin_home: true, collar_home: true, out_of_plumb: \"5 mm\"),");
    line(
        "        // (parts: [\"main.ledger.*\", \"main.brace.*\"], by: \"name\", on: \"2026-03-09\", drawing: \"A\",",
    );
    line("        //     sound: true, fixed: true),");
    line("    ],");
    line("    releases: [");
    line(
        "        // (point: \"bracing\", by: \"name\", on: \"2026-03-09\", evidence: [\"what it rests on\"]),",
    );
    line("    ],");
    line("    walked: [],");
    line(")");
    text
}

fn one_line(text: &str) -> String {
    text.chars().map(|c| if c.is_control() { ' ' } else { c }).collect()
}
