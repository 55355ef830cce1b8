//! Beams whose top nothing holds: bending against what is left before they turn over sideways.

use super::bar::spans;
use super::{At, bar, no_part};
use crate::assembly::{JointKind, Member, Role};
use crate::capacity::allowed::{Stated, allowed};
use crate::capacity::turning_over::{self, Rectangle, Section};
use crate::capacity::{Kind, Missing, Use, Value, Work, used};
use crate::equipment::model::{Beam, Unheld};
use crate::loads::passes;

/// Up to this share of its bending capacity no beam is asked: those of this trade, on spans of a
/// few metres, do not turn over under so little. Choice of this project.
pub const LIGHT: f64 = 0.3;
/// Plastic over elastic section modulus of an I whose data give only the latter: more than most have,
/// so that the share that is left comes out low. Choice of this project.
const SHAPE: f64 = 1.15;
/// Below this modulus an I is no steel, and the formulas here are not for it.
const STEEL: f64 = 150e9;

/// Greatest length of a bar between what holds its compressed edge, metres; zero where all of it is
/// held. Its supports hold it against turning. A deck that is nailed to it holds its top; where it
/// hogs, the edge below is compressed and nothing holds that.
fn free_length(at: &At<'_>, member: &Member, hogs: bool) -> f64 {
    let joints = || at.assembly.joints_of(member.id).iter().map(|&j| at.assembly.joint(j));
    let decked = joints().any(|j| {
        j.carrier == Some(member.id)
            && at.assembly.member(j.member).role == Role::Sheet
            && at.stage.nailed[j.member.index()]
            && passes(at.assembly, at.stage, j.id).is_some_and(|p| p.bearing)
    });
    if decked && !hogs {
        return 0.0;
    }
    let mut stations: Vec<f64> = joints()
        .filter(|j| j.member == member.id && matches!(j.kind, JointKind::Head | JointKind::Rest))
        .filter(|j| passes(at.assembly, at.stage, j.id).is_some_and(|p| p.bearing))
        .map(|j| j.member_at)
        .collect();
    stations.push(0.0);
    stations.push(member.length());
    stations.sort_by(f64::total_cmp);
    stations.windows(2).map(|w| w[1] - w[0]).fold(0.0, f64::max)
}

/// Bending of a bar against what it carries where nothing holds its compressed edge; none where it is
/// held, where it carries little, or where its data exclude turning over at that length.
///
/// # Errors
/// Where the part does not say how it carries unheld.
pub fn turning(w: &mut Work, at: &At<'_>, member: &Member) -> Result<Option<Use>, Missing> {
    if !spans(member) {
        return Ok(None);
    }
    let beam = at.assembly.library.beams.get(&member.part).ok_or_else(|| no_part(&member.part))?;
    let Some(bent) = bar(&mut Work::silent(), at, member, LIGHT)? else { return Ok(None) };
    let free = free_length(at, member, bent.hogs);
    if bent.bending.share <= LIGHT || free <= 0.0 {
        return Ok(None);
    }
    let part = member.part.as_str();
    let unknown = |what: &str| Err(Missing::new(part, what));
    let unheld = match &beam.unheld {
        None => return unknown("what it carries where nothing holds its top (unheld)"),
        Some(Unheld::UpTo(length)) if free <= length.si() + 1e-9 => return Ok(None),
        Some(Unheld::UpTo(_)) => return unknown("what it carries unheld over such a length"),
        Some(unheld) => unheld,
    };
    w.section(|| format!("{}: turning over sideways", member.name));
    let m = w.given("M", "greatest moment", bent.bending.demand.si, Kind::Moment, "bending above");
    let full = bent.bending.capacity.si;
    let capacity = match unheld {
        Unheld::Table(rows) => {
            let Some((_, moment)) = rows.iter().find(|(length, _)| free <= length.si() + 1e-9)
            else {
                return unknown("a row for such a length in its table of unheld moments");
            };
            let stated = Stated {
                part,
                symbol: "M_d",
                meaning: "bending capacity, the next longer row",
                si: moment.si(),
                kind: Kind::Moment,
            };
            allowed(w, at.pack, beam.basis, stated, "M_u")?
        }
        Unheld::Timber { bending, e } => {
            let fb = w.given("f_b", "bending strength", bending.si(), Kind::Stress, part);
            let e = w.given("E_m", "modulus for stability", e.si(), Kind::Stress, part);
            let of = Rectangle { depth: beam.depth.si(), width: beam.width.si(), free };
            let share = match at.pack.region.as_str() {
                "US" => turning_over::nds(w, &fb, &e, of),
                _ => turning_over::ec5(w, &fb, &e, of),
            };
            reduced(w, full, &share)
        }
        Unheld::Section { weak, torsion, flanges, fy } => {
            if beam.e.si() < STEEL {
                return unknown("a table of unheld moments: its modulus is not that of steel");
            }
            let of = section(beam, [weak.si(), torsion.si(), flanges.si(), fy.si()]);
            let (share, source) = match at.pack.region.as_str() {
                "US" => {
                    let whole = of.fy * of.plastic;
                    (turning_over::aisc_f2(&of, free) / whole, turning_over::AISC)
                }
                _ => {
                    let critical = turning_over::critical_moment(&of, free, 0.5 * beam.depth.si());
                    let slender = (of.fy * of.plastic / critical).sqrt();
                    (turning_over::ec3_share(slender, of.slim), turning_over::EC3)
                }
            };
            let share = w.given("k", "share left over this length", share, Kind::Number, source);
            reduced(w, full, &share)
        }
        Unheld::UpTo(_) => return Ok(None),
    };
    Ok(Some(used(w, &m, &capacity)))
}

fn reduced(w: &mut Work, full: f64, share: &Value) -> Value {
    let full = w.given("M_a", "bending capacity where held", full, Kind::Moment, "bending above");
    let formula = format!("{}*M_a", share.symbol);
    w.line("M_u", "what is left of it", &formula, Kind::Moment, &[share, &full], "", |v| {
        v[0] * v[1]
    })
}

fn section(beam: &Beam, [weak, torsion, flanges, fy]: [f64; 4]) -> Section {
    let elastic = 2.0 * beam.i.si() / beam.depth.si();
    Section {
        e: beam.e.si(),
        fy,
        elastic,
        plastic: SHAPE * elastic,
        weak,
        radius: (weak / beam.area.si()).sqrt(),
        torsion,
        flanges,
        slim: beam.depth.si() / beam.width.si(),
    }
}
