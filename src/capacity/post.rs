//! What a post carries at a height: by its supplier's table, or from its section; the lesser of both.
//!
//! By the table the row at the height or the next taller one counts, never between rows and never
//! above the tallest. From the section the weaker of both tubes is taken over the whole height.

use super::allowed::{Stated, allowed};
use super::work::{Kind, Value, Work};
use super::{Missing, adm_column, aisc_column, ec5_column, en_column, en1065, nds_column, tube};
use crate::criteria::Pack;
use crate::equipment::model::{Material, Method, Post, Section, SectionRule};

/// Axial capacity of a post under working loads.
#[derive(Clone, Debug, PartialEq)]
pub struct PostCapacity {
    pub force: Value,
    /// Height of the row that counts in metres; none where the section governs.
    pub row: Option<f64>,
}

/// The capacity at a height from foot to head seat, jack included, in metres.
///
/// # Errors
/// Where the height lies beyond the table, or the data do not say what they must.
pub fn capacity(
    w: &mut Work,
    pack: &Pack,
    (name, post): (&str, &Post),
    height: f64,
) -> Result<PostCapacity, Missing> {
    let by_table = if post.capacity.rows.is_empty() {
        None
    } else {
        Some(table(w, pack, (name, post), height)?)
    };
    let by_section = match &post.capacity.from_section {
        None => None,
        Some(rule) => Some(from_section(w, pack, (name, post), rule, height)?),
    };
    match (by_table, by_section) {
        (Some(table), Some(section)) => {
            let force = w.line(
                "P_a",
                "the lesser of table and section",
                "min(P_t,P_s)",
                Kind::Force,
                &[&table.force, &section],
                "",
                |v| v[0].min(v[1]),
            );
            let row = table.row.filter(|_| table.force.si <= section.si);
            Ok(PostCapacity { force, row })
        }
        (Some(table), None) => Ok(table),
        (None, Some(section)) => Ok(PostCapacity { force: section, row: None }),
        (None, None) => Err(Missing::new(name, "capacity: neither a table nor a section rule")),
    }
}

fn table(
    w: &mut Work,
    pack: &Pack,
    (name, post): (&str, &Post),
    height: f64,
) -> Result<PostCapacity, Missing> {
    let (row, force) = post
        .capacity_at(height)
        .ok_or_else(|| Missing::new(name, "capacity at this height: its table ends below it"))?;
    w.given("H", "height of the post, jack included", height, Kind::Length, "scene");
    w.given("H_r", "row that counts: this height or the next taller", row, Kind::Length, name);
    if w.is_written() {
        let ends = post.capacity.ends.as_deref().unwrap_or("not stated");
        w.note(|| format!("End conditions of the table: {ends}."));
        match post.capacity.tube_up {
            Some(up) => w.note(|| format!("The table is for the post with {} up.", up.words())),
            None => w.note(|| "The table does not say which tube is up.".to_owned()),
        }
    }
    let stated = Stated {
        part: name,
        symbol: "P_r",
        meaning: "capacity in that row",
        si: force,
        kind: Kind::Force,
    };
    let force = allowed(w, pack, Some(post.capacity.basis), stated, "P_t")?;
    Ok(PostCapacity { force, row: Some(row) })
}

fn from_section(
    w: &mut Work,
    pack: &Pack,
    (name, post): (&str, &Post),
    rule: &SectionRule,
    height: f64,
) -> Result<Value, Missing> {
    let l = w.given("L", "height of the post, jack included", height, Kind::Length, "scene");
    if let Method::En1065(class) = rule.by {
        let most = w.given("L_m", "greatest extension", post.reach.1.si(), Kind::Length, name);
        let strength = en1065::strength(w, class, &l, &most);
        let f = &pack.factor_on_characteristic;
        let f =
            w.given("F", "factor on a characteristic strength", f.value, Kind::Number, &f.source);
        return Ok(w.line(
            "P_s",
            "capacity by class",
            "R_yk/F",
            Kind::Force,
            &[&strength, &f],
            "",
            |v| v[0] / v[1],
        ));
    }
    let weaker = |by: fn(&Section) -> f64| {
        if by(&post.inner) < by(&post.outer) { &post.inner } else { &post.outer }
    };
    let thin = weaker(Section::r);
    let area = w.given(
        "A",
        "area, the lesser of both tubes",
        weaker(|s| s.area.si()).area.si(),
        Kind::Area,
        name,
    );
    let strength = weaker(|s| s.fy.si()).fy.si();
    let f = w.given(
        "F_y",
        "strength of the material, the lesser of both tubes",
        strength,
        Kind::Stress,
        name,
    );
    let e = w.given("E", "modulus", weaker(|s| s.e.si()).e.si(), Kind::Stress, name);
    let r =
        w.given("r", "radius of gyration, the lesser of both tubes", thin.r(), Kind::Length, name);
    let k = w.given("K", "effective length factor", rule.k, Kind::Number, name);
    let s = w
        .line("S", "slenderness", "K*L/r", Kind::Number, &[&k, &l, &r], "", |v| v[0] * v[1] / v[2]);
    let (stress, material) = match rule.by {
        Method::Aisc360 => (aisc_column::stress(w, &f, &e, &s), Some(Material::Steel)),
        Method::Adm2010 => (adm_column::stress(w, &f, &e, &s), Some(Material::Aluminium)),
        Method::En1993(curve) => {
            (en_column::stress(w, curve.into(), &f, &e, &s), Some(Material::Steel))
        }
        Method::En1999(class) => {
            (en_column::stress(w, class.into(), &f, &e, &s), Some(Material::Aluminium))
        }
        Method::En1995 { beta_c } => {
            (ec5_column::stress(w, &f, &e, &s, beta_c), Some(Material::Timber))
        }
        Method::Nds { c } => {
            let side = w.given("d", "side of the post", thin.outside.si(), Kind::Length, name);
            let over =
                w.line("s", "length over side", "K*L/d", Kind::Number, &[&k, &l, &side], "", |v| {
                    v[0] * v[1] / v[2]
                });
            // Allowable stress already: no factor.
            (nds_column::stress(w, &f, &e, &over, c), None)
        }
        Method::En1065(_) => return Err(Missing::new(name, "section")),
    };
    let Some(material) = material else {
        let formula = format!("A*{}", stress.symbol);
        return Ok(w.line(
            "P_s",
            "capacity of the section",
            &formula,
            Kind::Force,
            &[&area, &stress],
            "",
            |v| v[0] * v[1],
        ));
    };
    let factor = tube::factor(w, pack, material);
    let formula = format!("A*{}/F", stress.symbol);
    Ok(w.line(
        "P_s",
        "capacity of the section",
        &formula,
        Kind::Force,
        &[&area, &stress, &factor],
        "",
        |v| v[0] * v[1] / v[2],
    ))
}
