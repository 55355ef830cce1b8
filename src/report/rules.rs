//! A criteria pack as text: every number, how it was seen, where it stands and which file gives it.

use super::style::Style;
use super::words::{seen, wrap};
use crate::criteria::Pack;
use crate::units::UnitSystem;
use std::io::{self, Write};

/// Writes all rules of a pack.
pub fn write(out: &mut dyn Write, pack: &Pack, units: UnitSystem, style: Style) -> io::Result<()> {
    writeln!(out, "{} ({})", style.bold(&pack.full_title()), pack.region)?;
    if let Some(words) = pack.incomplete() {
        writeln!(out, "  ! {words}")?;
    }
    writeln!(out, "  ! Local code and the licensed engineer's drawing rule.")?;
    for rule in pack.rules() {
        writeln!(out, "\n{:<28}{}", rule.name, style.bold(rule.words(units)))?;
        let how = seen(crate::checks::support::seen(rule.seen));
        for line in wrap(&format!("{} ({how})", rule.source), 92) {
            writeln!(out, "    {line}")?;
        }
        for line in wrap(rule.note, 92).iter().filter(|line| !line.is_empty()) {
            writeln!(out, "    {line}")?;
        }
        writeln!(out, "{}", style.dim(&format!("    from {}", rule.from)))?;
    }
    Ok(())
}
