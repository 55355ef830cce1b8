//! Ledgers, joists, fillers and drop beams: bending, shear, bearing, sag.

use super::{At, no_part};
use crate::assembly::{JointKind, Member, Role};
use crate::capacity::allowed::{Stated, allowed};
use crate::capacity::beam::{Forces, forces};
use crate::capacity::statics::{Bar, Sag};
use crate::capacity::{Kind, Missing, Use, Work, used};
use crate::equipment::model::Beam;
use crate::loads::beam::Piece;
use crate::loads::{BeamLoad, passes};

/// Use of a bar in each respect.
#[derive(Clone, Debug)]
pub struct BarUse {
    pub bending: Use,
    pub shear: Use,
    /// Crushing at a support or under a beam on it; an error where the data state nothing.
    pub bearing: Result<Use, Missing>,
    /// The bar hogs over a support or overhang where it is worst.
    pub hogs: bool,
}

/// A bar as loaded at a stage.
struct Loaded {
    supports: Vec<f64>,
    pieces: Vec<Piece>,
    names: Vec<String>,
}

/// Whether a member spans and is judged here.
pub(super) fn spans(member: &Member) -> bool {
    matches!(member.role, Role::Ledger | Role::Joist | Role::Filler | Role::DropBeam)
}

/// How much of what may come and go is on a bar.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Pattern {
    /// As it is, people nowhere.
    Present,
    Greatest,
    /// Most between the supports and least on the overhangs, and the other way round.
    Inside,
    Outside,
}

impl Pattern {
    fn words(self) -> &'static str {
        match self {
            Self::Present => "as it is",
            Self::Greatest => "everything at its greatest",
            Self::Inside => "greatest between the supports, least on overhangs",
            Self::Outside => "greatest on overhangs, least between the supports",
        }
    }

    fn of(self, load: &BeamLoad, supports: &[f64]) -> f64 {
        let inside = match (supports.first(), supports.last()) {
            (Some(first), Some(last)) => (*first..=*last).contains(&load.centre),
            _ => true,
        };
        match (self, inside) {
            (Self::Present, _) => load.force,
            (Self::Greatest, _) | (Self::Inside, true) | (Self::Outside, false) => load.greatest,
            _ => load.least,
        }
    }
}

fn loaded(w: &Work, at: &At<'_>, member: &Member, pattern: Pattern) -> Loaded {
    let mut supports: Vec<f64> = at
        .assembly
        .joints_of(member.id)
        .iter()
        .filter(|&&j| {
            let joint = at.assembly.joint(j);
            joint.member == member.id
                && matches!(joint.kind, JointKind::Head | JointKind::Rest)
                && passes(at.assembly, at.stage, j).is_some_and(|p| p.bearing)
                && at.loads.lifting.binary_search(&j).is_err()
        })
        .map(|&j| at.assembly.joint(j).member_at)
        .collect();
    supports.sort_by(f64::total_cmp);
    supports.dedup_by(|a, b| (*a - *b).abs() < 1e-3);
    let on = at.loads.on[member.id.index()]
        .iter()
        .map(|l| (l, pattern.of(l, &supports)))
        .filter(|(_, force)| *force != 0.0);
    let mut names = Vec::new();
    let mut pieces = Vec::new();
    for (load, force) in on {
        pieces.push(Piece { from: load.from, to: load.to, force, centre: load.centre });
        if w.is_written() {
            names.push(match load.by {
                Some(by) => format!("{} {}", at.assembly.name(by), load.what),
                None => load.what.to_string(),
            });
        }
    }
    Loaded { supports, pieces, names }
}

/// An upper bound of the use in bending, shear and bearing that costs nothing: all of the load at the
/// worst place. Most bars end here.
fn at_most(at: &At<'_>, member: &Member, beam: &Beam) -> Option<f64> {
    let basis = beam.basis?;
    let factor = at.pack.factor_on(basis);
    let total: f64 =
        at.loads.on[member.id.index()].iter().map(|l| l.greatest.abs().max(l.least.abs())).sum();
    // A simple span takes WL/4 at most, an overhang Wa, and a support of an overhanging bar no more
    // than W(L + a)/L; the length of the bar is above both, and twice W above all shears of bars
    // whose overhang is no longer than their span.
    let moment = total * member.length() / beam.moment.si();
    let shear = 2.0 * total / beam.shear.si();
    let bearing = 2.0 * total / beam.bearing?.si();
    Some(factor * moment.max(shear).max(bearing))
}

/// A bar's use at a stage; none where it carries nothing over two supports, or so little that no
/// respect can come near `above`.
///
/// # Errors
/// Where the part is not known or does not say what its numbers mean.
pub fn bar(
    w: &mut Work,
    at: &At<'_>,
    member: &Member,
    above: f64,
) -> Result<Option<BarUse>, Missing> {
    if !spans(member) {
        return Ok(None);
    }
    let beam = at.assembly.library.beams.get(&member.part).ok_or_else(|| no_part(&member.part))?;
    if !w.is_written() && at_most(at, member, beam).is_some_and(|most| most < above) {
        return Ok(None);
    }
    // The pattern that uses most of the bar in any respect counts for all of them: where that is
    // within its limit, so is every other.
    let mut worst: Option<(f64, Pattern)> = None;
    for pattern in [Pattern::Greatest, Pattern::Inside, Pattern::Outside] {
        let loaded = loaded(w, at, member, pattern);
        let bar =
            Bar { length: member.length(), supports: &loaded.supports, loads: &loaded.pieces };
        let Some(found) = bar.worst() else { continue };
        let share = (found.moment.1.abs() / beam.moment.si())
            .max(found.shear.1.abs() / beam.shear.si())
            .max(beam.bearing.map_or(0.0, |b| found.reaction.1.abs() / b.si()));
        if worst.is_none_or(|(most, _)| share > most || share.is_nan()) {
            worst = Some((share, pattern));
        }
    }
    let pattern = worst.map_or(Pattern::Greatest, |(_, pattern)| pattern);
    let loaded = loaded(w, at, member, pattern);
    let bar = Bar { length: member.length(), supports: &loaded.supports, loads: &loaded.pieces };
    w.section(|| format!("{}: forces, {}", member.name, pattern.words()));
    let Some(forces) = forces(w, &bar, &loaded.names) else {
        w.note(|| "It has fewer than two supports at this stage: nothing to span.".to_owned());
        return Ok(None);
    };
    uses(w, at, member, beam, &loaded, &forces).map(Some)
}

fn uses(
    w: &mut Work,
    at: &At<'_>,
    member: &Member,
    beam: &Beam,
    loaded: &Loaded,
    forces: &Forces,
) -> Result<BarUse, Missing> {
    let part = member.part.as_str();
    let stated = |symbol, meaning, si, kind| Stated { part, symbol, meaning, si, kind };
    w.section(|| format!("{}: bending", member.name));
    let moment = stated("M_d", "bending capacity", beam.moment.si(), Kind::Moment);
    let moment = allowed(w, at.pack, beam.basis, moment, "M_a")?;
    let bending = used(w, &forces.moment, &moment);
    w.section(|| format!("{}: shear", member.name));
    let shear = stated("V_d", "shear capacity", beam.shear.si(), Kind::Force);
    let shear = allowed(w, at.pack, beam.basis, shear, "V_a")?;
    let shear = used(w, &forces.shear, &shear);
    w.section(|| format!("{}: bearing", member.name));
    let bearing = match beam.bearing {
        None => {
            w.note(|| format!("{part} does not state its bearing."));
            Err(Missing::new(part, "bearing"))
        }
        Some(bearing) => {
            let on_it = loaded
                .pieces
                .iter()
                .filter(|p| p.to - p.from < 1e-9)
                .map(|p| p.force)
                .fold(0.0, f64::max);
            let on_it = w.given(
                "R_t",
                "greatest load of one beam on it",
                on_it,
                Kind::Force,
                "loads of the stage",
            );
            let demand = w.line(
                "R_b",
                "greatest force on one place",
                "max(R,R_t)",
                Kind::Force,
                &[&forces.reaction, &on_it],
                "",
                |v| v[0].max(v[1]),
            );
            let bearing = stated("B_d", "bearing capacity", bearing.si(), Kind::Force);
            let bearing = allowed(w, at.pack, beam.basis, bearing, "B_a")?;
            Ok(used(w, &demand, &bearing))
        }
    };
    Ok(BarUse { bending, shear, bearing, hogs: forces.worst.moment.1 < 0.0 })
}

/// The greatest sag of a bar against span over the pack's number, while concrete lies on the deck;
/// an overhang counts as half a span. None where nothing sags.
pub fn sag(w: &mut Work, at: &At<'_>, member: &Member) -> Option<(Use, Sag)> {
    if !spans(member) || !at.concrete_is_on() {
        return None;
    }
    let beam = at.assembly.library.beams.get(&member.part)?;
    let ei = beam.e.si() * beam.i.si();
    let limit = &at.pack.deflection;
    let total: f64 = at.loads.on[member.id.index()].iter().map(|l| l.force.abs()).sum();
    // All of it at the middle of a span as long as the bar, or at the end of one as long.
    if !w.is_written() && total * member.length().powi(2) / (3.0 * ei) * limit.value < 1.0 {
        return None;
    }
    let loaded = loaded(w, at, member, Pattern::Present);
    let bar = Bar { length: member.length(), supports: &loaded.supports, loads: &loaded.pieces };
    let worst = bar
        .sags()
        .into_iter()
        .max_by(|a, b| (a.times_ei.abs() / a.against).total_cmp(&(b.times_ei.abs() / b.against)))?;
    w.section(|| format!("{}: sag under the concrete", member.name));
    let source = "unit load method over the moments above, not by hand";
    let e = w.given("E", "modulus", beam.e.si(), Kind::Stress, &member.part);
    let i = w.given("I", "second moment", beam.i.si(), Kind::SecondMoment, &member.part);
    let d = w.given("d", "greatest sag", worst.times_ei.abs() / ei, Kind::Length, source);
    if w.is_written() {
        // A number to hold it against: all of the load spread evenly over the span.
        let load = w.given("W", "all of the load on it", total, Kind::Force, "loads of the stage");
        let l = w.given("L", "span, or twice the overhang", worst.against, Kind::Length, "scene");
        w.line(
            "d_u",
            "for comparison: the same load spread evenly over a simple span",
            "5*W*L^3/(384*E*I)",
            Kind::Length,
            &[&load, &l, &e, &i],
            "handbook formula",
            |v| 5.0 * v[0] * v[1].powi(3) / (384.0 * v[2] * v[3]),
        );
    }
    let l = w.given("L", "span, or twice the overhang", worst.against, Kind::Length, "scene");
    let n = w.given("n", "span over sag", limit.value, Kind::Number, &limit.source);
    let most =
        w.line("d_a", "most it may sag", "L/n", Kind::Length, &[&l, &n], "", |v| v[0] / v[1]);
    Some((used(w, &d, &most), worst))
}
