//! The permit as text.

use super::model::{Permit, StageNamed};
use crate::report::Style;
use crate::report::style::mark;
use std::io::{self, Write};

/// Writes it for a terminal.
///
/// # Errors
/// When it cannot be written.
pub fn text(out: &mut dyn Write, permit: &Permit, style: Style) -> io::Result<()> {
    writeln!(out, "{}: {}", style.bold(permit.kind.words()), permit.job)?;
    let stage =
        |s: &Option<StageNamed>| s.as_ref().map_or("no such step", |s| s.step.as_str()).to_owned();
    writeln!(out, "  as built after  {}", stage(&permit.from))?;
    writeln!(out, "  covers up to    {}", stage(&permit.until))?;
    writeln!(out, "  drawing         {}", permit.drawing.as_deref().unwrap_or("none named"))?;
    for part in &permit.parts {
        writeln!(out, "  inspected       {} {} of {}", part.kind, part.in_order, part.there)?;
    }
    for point in &permit.hold_points {
        match &point.released {
            Some(r) => writeln!(
                out,
                "  hold point      [x] {}: {}, {}: {}",
                point.title,
                r.by,
                r.on,
                r.evidence.join("; ")
            )?,
            None => writeln!(out, "  hold point      [ ] {}", point.title)?,
        }
    }
    for a in &permit.accepted {
        writeln!(
            out,
            "  accepted        {} {} {}: by {}: {}",
            mark(a.severity, false),
            a.code,
            a.headline,
            a.by,
            a.reason
        )?;
    }
    for s in &permit.standing {
        writeln!(out, "  stands          {} {} {}", mark(s.severity, false), s.code, s.headline)?;
    }
    match &permit.issue {
        Some(issue) => {
            writeln!(out, "{}", style.bold(&format!("Issued on {} by {}", issue.on, issue.by)))?;
            writeln!(out, "  seal {}", permit.seal)?;
        }
        None if permit.refusals.is_empty() => {
            writeln!(out, "Draft: nothing stands in its way; a named person has to issue it.")?;
        }
        None => {
            writeln!(out, "{}", style.bold("Cannot be issued:"))?;
            for refusal in &permit.refusals {
                writeln!(out, "  - {}", refusal.words())?;
            }
        }
    }
    Ok(())
}
