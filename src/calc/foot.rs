//! Feet: the sill under a post in bending and bearing, and the ground under it.

use super::{At, no_part};
use crate::assembly::{JointKind, Member, MemberId, ground};
use crate::capacity::allowed::{Stated, allowed};
use crate::capacity::sill::{self, Side};
use crate::capacity::{Kind, Missing, Use, Work, used};
use crate::scene::model::{Floor, FloorKind};
use crate::sequence::JointState;

/// Use of what is under a post.
#[derive(Clone, Debug)]
pub struct FootUse {
    pub sill: Option<MemberId>,
    /// Name of the floor, where it is ground.
    pub ground: Option<String>,
    /// Under the plate, and of the sill as a cantilever; none without a sill.
    pub bearing: Option<Result<Use, Missing>>,
    pub bending: Option<Result<Use, Missing>>,
    /// None on a hardened slab.
    pub soil: Option<Result<Use, Missing>>,
}

/// How far above its floor a foot may stand and still count as on it, metres.
const WITHIN: f64 = 0.5;

/// What stands under a post, and its use. None where it stands on no sill or floor.
///
/// # Errors
/// Where a part is not known.
pub fn foot(w: &mut Work, at: &At<'_>, post: &Member) -> Result<Option<FootUse>, Missing> {
    let assembly = at.assembly;
    let made = |kind: JointKind, member: MemberId| {
        assembly.joints_of(member).iter().map(|&j| assembly.joint(j)).find(|j| {
            j.member == member && j.kind == kind && at.stage.joint(j.id) != JointState::Open
        })
    };
    let sill = made(JointKind::Foot, post.id)
        .and_then(|j| j.carrier)
        .filter(|&c| at.stage.state(c).is_there())
        .map(|id| assembly.member(id));
    let lowest = sill.map_or(post.id, |s| s.id);
    let Some(joint) = made(JointKind::Ground, lowest) else { return Ok(None) };
    let floor = ground::at(&assembly.scene, &joint.at, WITHIN);
    let jack = match &post.jack {
        Some((name, _)) => Some(assembly.library.jacks.get(name).ok_or_else(|| no_part(name))?),
        None => None,
    };
    let part = assembly.library.posts.get(&post.part).ok_or_else(|| no_part(&post.part))?;
    let plate = jack.map_or(part.base_plate.si(), |j| j.plate.si());
    let load = super::post::load(at, post);
    match sill {
        Some(sill) => on_sill(w, at, post, (sill, floor), (plate, load)).map(Some),
        None => on_ground(w, post, floor, (plate, load)),
    }
}

fn on_ground(
    w: &mut Work,
    post: &Member,
    floor: Option<&Floor>,
    (plate, load): (f64, f64),
) -> Result<Option<FootUse>, Missing> {
    let Some((floor, bearing)) = floor.and_then(bearing) else { return Ok(None) };
    w.section(|| format!("Post {}: its plate on {}", post.name, floor.name));
    let p = w.given("P", "load at the foot", load, Kind::Force, "loads of the stage");
    let side = w.given("b", "side of the plate", plate, Kind::Length, "part data");
    let q = sill::pressure(w, &p, &side, &side);
    let soil = soil(w, floor, bearing, &q);
    let ground = Some(floor.name.clone());
    Ok(Some(FootUse { sill: None, ground, bearing: None, bending: None, soil: Some(soil) }))
}

/// Ground, with its allowable bearing if somebody stated one.
fn bearing(floor: &Floor) -> Option<(&Floor, Option<f64>)> {
    match &floor.kind {
        FloorKind::Slab => None,
        FloorKind::Ground { bearing } => Some((floor, bearing.map(crate::units::Pressure::si))),
    }
}

fn soil(
    w: &mut Work,
    floor: &Floor,
    bearing: Option<f64>,
    q: &crate::capacity::Value,
) -> Result<Use, Missing> {
    let bearing =
        bearing.ok_or_else(|| Missing::new(&format!("floor \"{}\"", floor.name), "bearing"))?;
    let meaning = format!("bearing pressure stated for {}", floor.name);
    let capacity = w.given("q_a", &meaning, bearing, Kind::Stress, "scene");
    Ok(used(w, q, &capacity))
}

fn on_sill(
    w: &mut Work,
    at: &At<'_>,
    post: &Member,
    (member, floor): (&Member, Option<&Floor>),
    (plate, load): (f64, f64),
) -> Result<FootUse, Missing> {
    let name = member.part.as_str();
    let part = at.assembly.library.sills.get(name).ok_or_else(|| no_part(name))?;
    let (x, y, thickness) = (part.size.0.si(), part.size.1.si(), part.size.2.si());
    w.section(|| format!("Post {} on {}: under the plate", post.name, member.name));
    let p = w.given("P", "load at the foot", load, Kind::Force, "loads of the stage");
    let side = w.given("b", "side of the plate", plate, Kind::Length, "part data");
    let stress = w.line(
        "f_c",
        "pressure under the plate",
        "P/b^2",
        Kind::Stress,
        &[&p, &side],
        sill::SOURCE,
        |v| v[0] / (v[1] * v[1]),
    );
    let missing = |what| Missing::new(name, what);
    let limit = |w: &mut Work, symbol, meaning, si, to| {
        let stated = Stated { part: name, symbol, meaning, si, kind: Kind::Stress };
        allowed(w, at.pack, part.basis, stated, to)
    };
    let bearing_use = match part.bearing {
        None => Err(missing("bearing")),
        Some(b) => limit(w, "c_d", "bearing stress across the grain", b.si(), "c_a")
            .map(|capacity| used(w, &stress, &capacity)),
    };
    let mut found = FootUse {
        sill: Some(member.id),
        ground: None,
        bearing: Some(bearing_use),
        bending: None,
        soil: None,
    };
    let Some((floor, soil_bearing)) = floor.and_then(bearing) else { return Ok(found) };
    found.ground = Some(floor.name.clone());
    w.section(|| format!("Post {} on {}: the ground", post.name, member.name));
    let t = w.given("t", "thickness of the sill", thickness, Kind::Length, name);
    let spread = &at.pack.sill_spread;
    let s = w.given("s", "run per rise of the spread", spread.value, Kind::Number, &spread.source);
    let offs = post.off_sill;
    let bx = Side { plate, sill: x, off: offs[0] };
    let by = Side { plate, sill: y, off: offs[1] };
    let px = sill::pressed(w, ["b_x", "r_x", "l_x"], bx, &t, &s);
    let py = sill::pressed(w, ["b_y", "r_y", "l_y"], by, &t, &s);
    let own = member.weight.max(0.0);
    let own = w.given("G", "weight of the sill", own, Kind::Force, name);
    let all =
        w.line("P_g", "load on the ground", "P+G", Kind::Force, &[&p, &own], "", |v| v[0] + v[1]);
    let q = sill::pressure(w, &all, &px, &py);
    found.soil = Some(soil(w, floor, soil_bearing, &q));
    w.section(|| format!("Post {} on {}: bending of the sill", post.name, member.name));
    let (long, wide) = if px.si >= py.si { (&px, &py) } else { (&py, &px) };
    let bending = sill::bending(w, &q, long, &side, wide, &t);
    found.bending = Some(match part.bending {
        None => Err(missing("bending")),
        Some(b) => limit(w, "b_d", "bending stress of the sill", b.si(), "b_a")
            .map(|capacity| used(w, &bending, &capacity)),
    });
    Ok(found)
}
