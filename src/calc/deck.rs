//! A nailed deck as a plate in plan: the force that keeps a bay's shape against what its nailing
//! carries.

use super::{At, no_part};
use crate::assembly::{Member, Role};
use crate::capacity::allowed::{Stated, allowed};
use crate::capacity::{Kind, Missing, Use, Work, used};
use crate::restraint::diaphragm;

/// The shear in a bay's deck at a stage against its capacity, for the sheet that stands for the
/// bay; none for any other member, and where the bay's deck keeps no shape.
///
/// # Errors
/// Where the part does not say what its numbers mean.
pub fn deck(w: &mut Work, at: &At<'_>, member: &Member) -> Result<Option<Use>, Missing> {
    if member.role != Role::Sheet {
        return Ok(None);
    }
    let Some(range) = at.mechanics.axial.get(member.id.index()) else { return Ok(None) };
    let most = range.greatest.max(-range.least);
    if most == 0.0 {
        return Ok(None);
    }
    let Some(bay) = at.assembly.deck_bay_from(member.id) else { return Ok(None) };
    let part = at.assembly.library.sheets.get(&member.part).ok_or_else(|| no_part(&member.part))?;
    let [a, b] = bay.corners.map(|c| at.assembly.member(c).ends[1]);
    w.section(|| format!("{}: nailed deck of its bay in shear", member.name));
    let source = "greatest over the load cases of the frame, not by hand";
    let n = w.given("N", "force from corner to corner", most, Kind::Force, source);
    let length = w.given("L", "from corner to corner", (b - a).norm(), Kind::Length, "layout");
    let side = w.given("u", "side of the bay", bay.sides[0], Kind::Length, "layout");
    let force = w.line(
        "S",
        "shear along that side",
        "N*u/L",
        Kind::Force,
        &[&n, &side, &length],
        "",
        |v| v[0] * v[1] / v[2],
    );
    let stated = Stated {
        part: &member.part,
        symbol: "v_d",
        meaning: "shear per width that the nailing carries",
        si: diaphragm::shear(at.assembly, bay),
        kind: Kind::LineLoad,
    };
    let allowed = allowed(w, at.pack, part.basis, stated, "v_a")?;
    let capacity = w.line(
        "S_a",
        "what the nailing carries along that side",
        "v_a*u",
        Kind::Force,
        &[&allowed, &side],
        "",
        |v| v[0] * v[1],
    );
    Ok(Some(used(w, &force, &capacity)))
}
