//! Braces and their couplers: axial force of the frame against what they carry.

use super::{At, no_part};
use crate::assembly::{Member, Role};
use crate::capacity::allowed::{Stated, allowed};
use crate::capacity::{Kind, Missing, Use, Work, used};

/// Use of a brace.
#[derive(Clone, Debug)]
pub struct BraceUse {
    pub tension: Option<Use>,
    /// None for one that acts in tension only, or that no case pushes.
    pub compression: Option<Use>,
    pub coupler: Use,
}

/// A brace's forces at a stage against its capacities; none where it has no force.
///
/// # Errors
/// Where the part is not known or does not say what its numbers mean.
pub fn brace(w: &mut Work, at: &At<'_>, member: &Member) -> Result<Option<BraceUse>, Missing> {
    if !matches!(member.role, Role::Brace | Role::PlanBrace) {
        return Ok(None);
    }
    let Some(range) = at.mechanics.axial.get(member.id.index()) else { return Ok(None) };
    let (pull, push) = (range.greatest.max(0.0), (-range.least).max(0.0));
    if pull == 0.0 && push == 0.0 {
        return Ok(None);
    }
    let part = at.assembly.library.braces.get(&member.part).ok_or_else(|| no_part(&member.part))?;
    let name = member.part.as_str();
    let source = "greatest over the load cases of the frame, not by hand";
    let stated =
        |symbol, meaning, si| Stated { part: name, symbol, meaning, si, kind: Kind::Force };
    w.section(|| format!("{}: axial force", member.name));
    let t = w.given("T", "pull", pull, Kind::Force, source);
    let c = w.given("C", "push", push, Kind::Force, source);
    let mut tension = None;
    if pull > 0.0 {
        let capacity = stated("T_d", "capacity in tension", part.tension.si());
        let capacity = allowed(w, at.pack, part.basis, capacity, "T_a")?;
        tension = Some(used(w, &t, &capacity));
    }
    let mut compression = None;
    if let Some(capacity) = part.compression.filter(|_| push > 0.0 && !member.tension_only) {
        let capacity = stated("C_d", "capacity in compression", capacity.si());
        let capacity = allowed(w, at.pack, part.basis, capacity, "C_a")?;
        compression = Some(used(w, &c, &capacity));
    }
    w.section(|| format!("{}: coupler", member.name));
    let n = w.line("N", "force in the coupler", "max(T,C)", Kind::Force, &[&t, &c], "", |v| {
        v[0].max(v[1])
    });
    let capacity = stated("K_d", "capacity of the coupler", part.coupler.si());
    let capacity = allowed(w, at.pack, part.basis, capacity, "K_a")?;
    Ok(Some(BraceUse { tension, compression, coupler: used(w, &n, &capacity) }))
}
