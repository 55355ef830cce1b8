//! Posts: axial load against capacity at the height; head and jack against theirs.

use super::{At, no_part};
use crate::assembly::Member;
use crate::capacity::allowed::{Stated, allowed};
use crate::capacity::post::{PostCapacity, capacity};
use crate::capacity::{Kind, Missing, Use, Value, Work, used};
use crate::chunks::Chunks;

/// Load at a post's foot, with people anywhere on the deck and shared out as asks most of it.
fn down(at: &At<'_>, post: &Member) -> f64 {
    let of = |by: &Chunks<f64>| by.get(post.id.index()).copied().unwrap_or(0.0);
    let (now, most) = (of(&at.loads.at_foot), of(&at.loads.foot_greatest));
    if now.is_nan() || most.is_nan() { f64::NAN } else { now.max(most) }
}

/// Greatest axial load of a post in newtons: taken down to its foot, or of a load case.
pub(super) fn load(at: &At<'_>, post: &Member) -> f64 {
    let down = down(at, post);
    let cases = at.mechanics.axial.get(post.id.index()).map_or(0.0, |a| -a.least);
    // `max` would pass over what is not a number.
    if down.is_nan() || cases.is_nan() { f64::NAN } else { down.max(cases) }
}

fn demand(w: &mut Work, at: &At<'_>, post: &Member) -> Value {
    if !w.is_written() {
        return Value { symbol: "P".into(), si: load(at, post), kind: Kind::Force };
    }
    let down = at.loads.at_foot.get(post.id.index()).copied().unwrap_or(0.0);
    let cases = at.mechanics.axial.get(post.id.index()).map_or(0.0, |a| -a.least);
    let down = w.given(
        "P_w",
        "greatest load at the foot, taken down",
        down,
        Kind::Force,
        "loads of the stage",
    );
    let meaning = "greatest compression of a load case, of the frame's calculation";
    let cases = w.given("P_c", meaning, cases, Kind::Force, "frame, not by hand");
    w.line("P", "load of the post", "max(P_w,P_c)", Kind::Force, &[&down, &cases], "", |v| {
        v[0].max(v[1])
    })
}

/// A post's axial load against its capacity at its height, with the height of the row that counts.
///
/// # Errors
/// Where the part is not known, its height lies beyond its data, or they do not say what they must.
pub fn post(w: &mut Work, at: &At<'_>, post: &Member) -> Result<(Use, PostCapacity), Missing> {
    let part = at.assembly.library.posts.get(&post.part).ok_or_else(|| no_part(&post.part))?;
    w.section(|| format!("Post {}: axial load", post.name));
    let demand = demand(w, at, post);
    let capacity = capacity(w, at.pack, (&post.part, part), post.length())?;
    let usage = used(w, &demand, &capacity.force);
    Ok((usage, capacity))
}

/// What rests on a post's head against what the head carries; none where nothing rests on it.
///
/// # Errors
/// Where the data do not say what the head carries.
pub fn head(w: &mut Work, at: &At<'_>, post: &Member) -> Option<Result<Use, Missing>> {
    let half = 0.5 * post.length();
    let above: f64 = at.loads.on[post.id.index()]
        .iter()
        .filter(|l| l.by.is_some() && l.centre >= half)
        .map(|l| l.greatest)
        .sum();
    if above <= 0.0 {
        return None;
    }
    let part = at.assembly.library.posts.get(&post.part)?;
    w.section(|| format!("Post {}: head", post.name));
    let demand = w.given("P_h", "what rests on the head", above, Kind::Force, "loads of the stage");
    let Some(capacity) = part.head.capacity else {
        return Some(Err(Missing::new(&post.part, "head.capacity")));
    };
    let stated = Stated {
        part: &post.part,
        symbol: "H_d",
        meaning: "capacity of the head",
        si: capacity.si(),
        kind: Kind::Force,
    };
    let allowed = allowed(w, at.pack, Some(part.capacity.basis), stated, "H_a");
    Some(allowed.map(|allowed| used(w, &demand, &allowed)))
}

/// A post's load against its jack; none without a jack.
///
/// # Errors
/// Where the jack's data do not say what it carries at this extension.
pub fn jack(w: &mut Work, at: &At<'_>, post: &Member) -> Option<Result<Use, Missing>> {
    let (name, extension) = post.jack.as_ref()?;
    w.section(|| format!("Post {}: jack {name}", post.name));
    let Some(part) = at.assembly.library.jacks.get(name) else { return Some(Err(no_part(name))) };
    let demand = demand(w, at, post);
    w.given("x_j", "extension", *extension, Kind::Length, "scene");
    let Some(capacity) = part.capacity_at(*extension) else {
        return Some(Err(Missing::new(
            name,
            "capacity at this extension: its table ends below it",
        )));
    };
    let stated = Stated {
        part: name,
        symbol: "J_d",
        meaning: "capacity of the jack at this extension",
        si: capacity,
        kind: Kind::Force,
    };
    Some(allowed(w, at.pack, part.basis, stated, "J_a").map(|allowed| used(w, &demand, &allowed)))
}
