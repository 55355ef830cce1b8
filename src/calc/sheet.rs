//! Deck sheets between their supports: bending, shear, sag.

use super::{At, no_part};
use crate::assembly::{Member, Role};
use crate::capacity::allowed::{Stated, allowed};
use crate::capacity::{Kind, Missing, Use, Work, rectangle, sheet as strip, used};
use crate::loads::{BeamLoad, OWN, sheet_supports};
use crate::scene::model::LoadPlace;

/// Use of a sheet.
#[derive(Clone, Debug)]
pub struct SheetUse {
    pub bending: Use,
    pub shear: Use,
    /// While concrete is on; an error where the data state no modulus.
    pub sag: Option<Result<Use, Missing>>,
    /// Widest gap between two supports, metres.
    pub span: f64,
}

/// A sheet's use at a stage; none where only its own weight is on it, or it has no span.
///
/// # Errors
/// Where the part is not known or states no strengths.
pub fn sheet(w: &mut Work, at: &At<'_>, member: &Member) -> Result<Option<SheetUse>, Missing> {
    let on = &at.loads.on[member.id.index()];
    if member.role != Role::Sheet || on.iter().all(|l| l.what == OWN) {
        return Ok(None);
    }
    let Some(across) = sheet_supports(at.assembly, at.stage, member.id) else { return Ok(None) };
    let span = across.lines.windows(2).map(|pair| pair[1].0 - pair[0].0).fold(0.0, f64::max);
    if span <= 0.0 {
        return Ok(None);
    }
    let name = member.part.as_str();
    let part = at.assembly.library.sheets.get(name).ok_or_else(|| no_part(name))?;
    let d = member.ends[1] - member.ends[0];
    let area = (part.size.0.si() * part.size.1.si()).min((d.x * d.y).abs()).max(1e-6);
    let (pressure, point) = demand(at, on, area, member.weight.max(0.0));
    w.section(|| format!("Sheet {}: forces of a strip", member.name));
    let q = w.given(
        "q",
        "pressure on it, its own weight included",
        pressure,
        Kind::Stress,
        "loads of the stage",
    );
    let p = w.given("P", "greatest point load on it", point, Kind::Force, "loads of the stage");
    let l = w.given("L", "widest gap between supports", span, Kind::Length, "scene");
    let across_joists = part.size.0.si().min(part.size.1.si());
    let breadth = across_joists.min(span);
    let meaning = "breadth that shares a point load: the span, never more than the sheet";
    let b = w.given("b", meaning, breadth, Kind::Length, "choice of this project");
    let t = w.given("t", "thickness", part.size.2.si(), Kind::Length, name);
    let (m, v) = strip::forces(w, &q, &p, &b, &l);
    let stated =
        |symbol, meaning, si| Stated { part: name, symbol, meaning, si, kind: Kind::Stress };
    w.section(|| format!("Sheet {}: bending", member.name));
    let stress = rectangle::bending(w, &m, &b, &t);
    let bending = part.bending.ok_or_else(|| Missing::new(name, "bending"))?;
    let bending = stated("F_b", "bending stress of the sheet", bending.si());
    let bending = allowed(w, at.pack, part.basis, bending, "F_ba")?;
    let bending = used(w, &stress, &bending);
    w.section(|| format!("Sheet {}: shear", member.name));
    let stress = rectangle::shear(w, &v, &b, &t);
    let shear = part.shear.ok_or_else(|| Missing::new(name, "shear"))?;
    let shear = allowed(
        w,
        at.pack,
        part.basis,
        stated("F_v", "shear stress of the sheet", shear.si()),
        "F_va",
    )?;
    let shear = used(w, &stress, &shear);
    let mut found = SheetUse { bending, shear, sag: None, span };
    if at.concrete_is_on() {
        w.section(|| format!("Sheet {}: sag under the concrete", member.name));
        found.sag = Some(match part.e {
            None => Err(Missing::new(name, "e")),
            Some(e) => {
                let e = w.given("E", "modulus of the sheet", e.si(), Kind::Stress, name);
                let d = strip::sag(w, &q, &p, &b, &l, &e, &t);
                let rule = &at.pack.deflection;
                let n = w.given("n", "span over sag", rule.value, Kind::Number, &rule.source);
                let most = match at.pack.sheet_deflection.value {
                    None => {
                        w.line("d_a", "most it may sag", "L/n", Kind::Length, &[&l, &n], "", |v| {
                            v[0] / v[1]
                        })
                    }
                    Some(cap) => {
                        let source = &at.pack.sheet_deflection.source;
                        let cap =
                            w.given("d_0", "most a sheet may sag", cap.si(), Kind::Length, source);
                        w.line(
                            "d_a",
                            "most it may sag",
                            "min(L/n,d_0)",
                            Kind::Length,
                            &[&l, &n, &cap],
                            "",
                            |v| (v[0] / v[1]).min(v[2]),
                        )
                    }
                };
                Ok(used(w, &d, &most))
            }
        });
    }
    Ok(Some(found))
}

/// Sum of the pressures of all area loads that touch the sheet, as if each covered it whole, and the
/// greatest point load. A load that nobody wrote as either counts by its share of the sheet's area.
fn demand(at: &At<'_>, on: &[BeamLoad], area: f64, own: f64) -> (f64, f64) {
    let (mut pressure, mut point) = (own / area, 0.0_f64);
    for load in on.iter().filter(|l| l.what != OWN) {
        let written = at.stage.loads.iter().find(|s| {
            load.what == s.text.name.as_str()
                || load.what.strip_prefix(s.text.name.as_str()).is_some_and(|r| r.starts_with(", "))
        });
        let average = load.greatest / area;
        match written.map(|s| &s.text.on) {
            Some(LoadPlace::Area { load, .. }) => pressure += load.si(),
            Some(LoadPlace::Point { .. } | LoadPlace::Lump { .. } | LoadPlace::Line { .. }) => {
                point = point.max(load.greatest);
            }
            Some(LoadPlace::Pour { slab, .. }) => {
                let deep = poured(at, slab, &load.what);
                pressure +=
                    deep.map_or(average, |depth| depth * at.pack.concrete.value.si()).max(average);
            }
            _ => pressure += average,
        }
    }
    (pressure, point)
}

/// Depth of concrete of a pour: the slab, or the drop beam that the load's name ends with.
fn poured(at: &At<'_>, slab: &str, what: &str) -> Option<f64> {
    let slab = at.assembly.scene.slabs.iter().find(|s| s.name == slab)?;
    let beam = slab.drop_beams.iter().find(|b| what.ends_with(&format!(", {}", b.name)));
    Some(beam.map_or(slab.thickness.si(), |b| b.drop.si()))
}
