//! The walk as text.

use super::stations::{Station, StationKind, Walk};
use crate::report::Style;
use crate::report::style::{mark, word};
use crate::report::words::wrap;
use std::io::{self, Write};

const WIDTH: usize = 96;

/// What kind of station it is, with a mark; the mark and the word say the same.
pub(super) fn kind(station: &Station) -> String {
    match (station.kind, station.severity) {
        (StationKind::Finding, Some(severity)) => {
            format!("{} {}", mark(severity, station.unknown), word(severity, station.unknown))
        }
        (StationKind::HoldPoint, _) => "◆ hold point".to_owned(),
        (StationKind::ByEye, _) => "◇ by eye".to_owned(),
        _ => "◇ parts".to_owned(),
    }
}

/// `[x]`, `[!]` or `[ ]`.
pub(super) fn tick(station: &Station) -> &'static str {
    match &station.walked {
        Some(w) if w.in_order => "[x]",
        Some(_) => "[!]",
        None => "[ ]",
    }
}

/// Writes it for a terminal.
///
/// # Errors
/// When it cannot be written.
pub fn text(out: &mut dyn Write, walk: &Walk, style: Style) -> io::Result<()> {
    writeln!(out, "{}", style.bold(&format!("Walk-through: {}", walk.job)))?;
    writeln!(out, "  as built after {}", walk.step)?;
    writeln!(out, "  {} stations, {} in order", walk.stations.len(), walk.in_order())?;
    for (index, station) in walk.stations.iter().enumerate() {
        writeln!(out)?;
        let kind = kind(station);
        let kind = match station.severity {
            Some(severity) => style.severity(severity, station.unknown, &kind),
            None => kind,
        };
        writeln!(
            out,
            "{} {:>2}  {kind}  {}",
            tick(station),
            index + 1,
            style.bold(&station.title)
        )?;
        for line in &station.look {
            lines(out, "look", line)?;
        }
        for line in &station.known {
            lines(out, "known", line)?;
        }
        if let Some(w) = &station.walked {
            let state = if w.in_order { "in order" } else { "NOT in order" };
            let note = if w.note.is_empty() { String::new() } else { format!(": {}", w.note) };
            let photo = if w.photo.is_empty() { String::new() } else { format!(" ({})", w.photo) };
            lines(out, "seen", &format!("{state}, by {} on {}{note}{photo}", w.by, w.on))?;
        }
        lines(out, "id", &station.id)?;
    }
    Ok(())
}

fn lines(out: &mut dyn Write, name: &str, text: &str) -> io::Result<()> {
    for (i, line) in wrap(text, WIDTH - 15).iter().enumerate() {
        writeln!(out, "        {:<6} {line}", if i == 0 { name } else { "" })?;
    }
    Ok(())
}
