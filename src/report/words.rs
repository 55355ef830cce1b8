//! Numbers and lists in words.

use crate::findings::{Dimension, Measure};
use crate::units::UnitSystem;

/// A value of a dimension with its unit.
#[must_use]
pub fn value(units: UnitSystem, value: f64, dimension: Dimension) -> String {
    crate::units::show(value, dimension, units)
}

/// `reserve against tipping: 0.62, must be at least 1.50`.
#[must_use]
pub fn measure(units: UnitSystem, measure: &Measure) -> String {
    let measured = value(units, measure.measured, measure.dimension);
    let Some(limit) = measure.limit else {
        return format!("{}: {measured}", measure.what);
    };
    let must = if measure.at_least { "must be at least" } else { "may be at most" };
    let mut limit_text = value(units, limit, measure.dimension);
    let broken = if measure.at_least { measure.measured < limit } else { measure.measured > limit };
    if broken && limit_text == measured {
        // Rounding must not make a broken limit look kept.
        limit_text.push_str(if measure.at_least { " (just below it)" } else { " (just above it)" });
    }
    format!("{}: {measured}, {must} {limit_text}", measure.what)
}

/// How a source was seen, in words.
#[must_use]
pub fn seen(seen: &str) -> &str {
    match seen {
        "print" => "seen in print",
        "memory" => "from memory, to be checked",
        "practice" => "common practice, no published source",
        other => other,
    }
}

/// Breaks text into lines of at most `width` characters at blanks. A longer word keeps a line of
/// its own.
#[must_use]
pub fn wrap(text: &str, width: usize) -> Vec<String> {
    let mut lines = Vec::new();
    let mut line = String::new();
    let mut length = 0;
    for word in text.split_whitespace() {
        let count = word.chars().count();
        if length > 0 && length + 1 + count > width {
            lines.push(std::mem::take(&mut line));
            length = 0;
        }
        if length > 0 {
            line.push(' ');
            length += 1;
        }
        line.push_str(word);
        length += count;
    }
    if length > 0 || lines.is_empty() {
        lines.push(line);
    }
    lines
}
