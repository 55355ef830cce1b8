//! Numbers of an equipment library that cannot be.

use super::library::part_names;
use crate::equipment::Library;
use crate::equipment::model::{
    Basis, Beam, Brace, Head, Material, Method, Passes, Post, Section, SectionRule, Unheld,
};
use crate::scene::problem::Problem;
use crate::scene::source::SceneSource;
use crate::units::{Force, Length, Pressure};

struct Check<'a> {
    source: &'a SceneSource,
    problems: &'a mut Vec<Problem>,
}

impl Check<'_> {
    fn at(&mut self, path: &str, message: impl Into<String>) {
        self.problems.push(self.source.problem_at(path, message));
    }

    fn positive(&mut self, path: &str, fields: &[(&str, f64)]) {
        for &(field, value) in fields {
            if !(value.is_finite() && value > 0.0) {
                self.at(
                    &format!("{path}.{field}"),
                    format!("{} must be more than zero", words(field)),
                );
            }
        }
    }

    fn not_negative(&mut self, path: &str, fields: &[(&str, f64)]) {
        for &(field, value) in fields {
            if !(value.is_finite() && value >= 0.0) {
                let message = format!("{} must not be less than zero", words(field));
                self.at(&format!("{path}.{field}"), message);
            }
        }
    }

    /// Stresses that need not be stated.
    fn optional(&mut self, path: &str, fields: &[(&str, Option<Pressure>)]) {
        for &(field, value) in fields {
            if let Some(value) = value {
                self.positive(path, &[(field, value.si())]);
            }
        }
    }

    /// Shortest and longest.
    fn ordered(&mut self, path: &str, range: (Length, Length)) {
        if range.0 > range.1 {
            self.at(path, "the shortest is longer than the longest");
        }
    }

    fn uplift(&mut self, path: &str, passes: &Passes) {
        if let Some(uplift) = passes.uplift {
            self.positive(path, &[("uplift", uplift.si())]);
        }
    }
}

fn words(field: &str) -> String {
    format!("`{}`", field.split('[').next().unwrap_or(field))
}

/// Adds a problem for each number that cannot be, and for a name two parts share.
pub(super) fn check(library: &Library, source: &SceneSource, problems: &mut Vec<Problem>) {
    let mut check = Check { source, problems };
    for (name, post) in &library.posts {
        check_post(&mut check, &format!("posts[{name:?}]"), post);
    }
    for (name, beam) in &library.beams {
        check_beam(&mut check, &format!("beams[{name:?}]"), beam);
    }
    for (name, brace) in &library.braces {
        check_brace(&mut check, &format!("braces[{name:?}]"), brace);
    }
    for (name, jack) in &library.jacks {
        let path = format!("jacks[{name:?}]");
        check.positive(
            &path,
            &[
                ("mass", jack.mass.si()),
                ("outside", jack.outside.si()),
                ("plate", jack.plate.si()),
                ("capacity", jack.capacity.si()),
                ("extension[1]", jack.extension.1.si()),
            ],
        );
        check.not_negative(&path, &[("extension[0]", jack.extension.0.si())]);
        if let Some(fy) = jack.fy {
            check.positive(&path, &[("fy", fy.si())]);
        }
        if let Some(tilt) = jack.tilt {
            check.not_negative(&path, &[("tilt", tilt.si())]);
        }
        check.ordered(&format!("{path}.extension"), jack.extension);
        rows(&mut check, &format!("{path}.rows"), &jack.rows, JACK);
        basis(&mut check, &path, jack.basis, true);
    }
    for (name, sill) in &library.sills {
        let path = format!("sills[{name:?}]");
        let (x, y, z) = sill.size;
        check.positive(
            &path,
            &[
                ("mass", sill.mass.si()),
                ("size[0]", x.si()),
                ("size[1]", y.si()),
                ("size[2]", z.si()),
            ],
        );
        check.optional(&path, &[("bending", sill.bending), ("bearing", sill.bearing)]);
        basis(&mut check, &path, sill.basis, sill.bending.is_some() || sill.bearing.is_some());
    }
    for (name, clip) in &library.clips {
        let path = format!("clips[{name:?}]");
        check.positive(&path, &[("mass", clip.mass.si()), ("uplift", clip.uplift.si())]);
        basis(&mut check, &path, clip.basis, true);
    }
    for (name, sheet) in &library.sheets {
        let path = format!("sheets[{name:?}]");
        let (x, y, z) = sheet.size;
        check.positive(
            &path,
            &[
                ("mass", sheet.mass.si()),
                ("size[0]", x.si()),
                ("size[1]", y.si()),
                ("size[2]", z.si()),
            ],
        );
        check
            .optional(&path, &[("bending", sheet.bending), ("shear", sheet.shear), ("e", sheet.e)]);
        basis(&mut check, &path, sheet.basis, sheet.bending.is_some() || sheet.shear.is_some());
    }
    let mut names = part_names(library);
    names.sort_unstable();
    for pair in names.windows(2).filter(|pair| pair[0] == pair[1]) {
        let kinds = ["posts", "beams", "braces", "jacks", "sills", "clips", "sheets"];
        let path = kinds
            .iter()
            .rev()
            .map(|kind| format!("{kind}[{:?}]", pair[0]))
            .find(|path| source.find(path).is_some())
            .unwrap_or_default();
        check.at(&path, format!("two kinds of parts are called \"{}\"", pair[0]));
    }
}

fn check_post(check: &mut Check<'_>, path: &str, post: &Post) {
    check.positive(
        path,
        &[
            ("mass", post.mass.si()),
            ("reach[0]", post.reach.0.si()),
            ("reach[1]", post.reach.1.si()),
            ("outer_length", post.outer_length.si()),
            ("base_plate", post.base_plate.si()),
        ],
    );
    check.not_negative(
        path,
        &[
            ("overlap", post.overlap.si()),
            ("brace_low", post.brace_low.si()),
            ("brace_high", post.brace_high.si()),
        ],
    );
    if let Some(play) = post.pin_play {
        check.not_negative(path, &[("pin_play", play.si())]);
    }
    check.ordered(&format!("{path}.reach"), post.reach);
    check_section(check, &format!("{path}.outer"), &post.outer);
    check_section(check, &format!("{path}.inner"), &post.inner);
    if post.inner.outside > post.outer.outside {
        check.at(&format!("{path}.inner.outside"), "the inner tube is thicker than the outer one");
    }
    check_head(check, &format!("{path}.head"), &post.head);
    if let Some(hole) = post.pin_hole {
        check.not_negative(path, &[("pin_hole", hole.si())]);
        if hole.si() >= 0.5 * post.inner.outside.si() {
            let message = "the pin hole leaves less than half of the inner tube's width";
            check.at(&format!("{path}.pin_hole"), message);
        }
    }
    let table = format!("{path}.capacity.rows");
    match &post.capacity.from_section {
        None if post.capacity.rows.is_empty() => check.at(&table, "the capacity table is empty"),
        Some(rule) => section_rule(check, &format!("{path}.capacity.from_section"), rule, post),
        None => {}
    }
    rows(check, &table, &post.capacity.rows, POST);
}

/// A rule that computes from a section needs its numbers, and the material it was made for.
fn section_rule(check: &mut Check<'_>, path: &str, rule: &SectionRule, post: &Post) {
    check.positive(path, &[("k", rule.k)]);
    let due = match rule.by {
        Method::Aisc360 | Method::En1993(_) | Method::En1065(_) => Material::Steel,
        Method::Adm2010 | Method::En1999(_) => Material::Aluminium,
        Method::Nds { c } => {
            check.positive(path, &[("by", c)]);
            Material::Timber
        }
        Method::En1995 { beta_c } => {
            check.positive(path, &[("by", beta_c)]);
            Material::Timber
        }
    };
    match post.material {
        None => check.at(path, "a capacity from the section needs the part's `material`"),
        Some(material) if material != due => {
            check.at(path, "this rule is for another material than the part's");
        }
        Some(_) => {}
    }
}

/// A part whose strengths are stated says what they mean.
fn basis(check: &mut Check<'_>, path: &str, basis: Option<Basis>, stated: bool) {
    if stated && basis.is_none() {
        let message = "states no `basis`: say whether its numbers are safe_working_load, \
                       characteristic or ultimate";
        check.at(path, message);
    }
}

/// What a table goes by, for words: what must rise, and why capacity must not.
const POST: [&str; 2] = [
    "heights",
    "carries more than at the height of the row before: a taller post carries no more than a \
     shorter one",
];
const JACK: [&str; 2] = [
    "extensions",
    "carries more than at the extension of the row before: a jack drawn out further carries no more",
];

/// Heights or extensions must rise, and what is carried must not rise with them.
fn rows(check: &mut Check<'_>, path: &str, rows: &[(Length, Force)], [what, why]: [&str; 2]) {
    for (i, (height, capacity)) in rows.iter().enumerate() {
        let row = format!("{path}[{i}]");
        let one = if what == "heights" { "a height" } else { "an extension" };
        check_value(check, &format!("{row}[0]"), one, height.si());
        check_value(check, &format!("{row}[1]"), "a capacity", capacity.si());
        let Some((below, carried)) = i.checked_sub(1).and_then(|i| rows.get(i)) else { continue };
        if height <= below {
            check.at(&format!("{row}[0]"), format!("{what} must rise from row to row"));
        } else if capacity > carried && carried.si() > 0.0 {
            check.at(&format!("{row}[1]"), why);
        }
    }
}

fn check_value(check: &mut Check<'_>, path: &str, what: &str, value: f64) {
    if !(value.is_finite() && value > 0.0) {
        check.at(path, format!("{what} must be more than zero"));
    }
}

fn check_section(check: &mut Check<'_>, path: &str, section: &Section) {
    check.positive(
        path,
        &[
            ("outside", section.outside.si()),
            ("area", section.area.si()),
            ("i", section.i.si()),
            ("e", section.e.si()),
            ("fy", section.fy.si()),
        ],
    );
    // No part of a section lies further from its middle than half its outside, so the radius of
    // gyration cannot be longer than that.
    let half = section.outside.si() / 2.0;
    if section.i.si() > section.area.si() * half * half * (1.0 + 1e-9) {
        let message = "`i` is more than a section of this outside and area can have";
        check.at(&format!("{path}.i"), message);
    }
}

fn check_head(check: &mut Check<'_>, path: &str, head: &Head) {
    check.positive(path, &[("width", head.width.si())]);
    if let Some(capacity) = head.capacity {
        check.positive(path, &[("capacity", capacity.si())]);
    }
    check.uplift(&format!("{path}.hung"), &head.hung);
    check.uplift(&format!("{path}.locked"), &head.locked);
    check.uplift(&format!("{path}.lowered"), &head.lowered);
}

fn check_beam(check: &mut Check<'_>, path: &str, beam: &Beam) {
    check.positive(
        path,
        &[
            ("mass", beam.mass.si()),
            ("length", beam.length.si()),
            ("depth", beam.depth.si()),
            ("width", beam.width.si()),
            ("e", beam.e.si()),
            ("i", beam.i.si()),
            ("area", beam.area.si()),
            ("moment", beam.moment.si()),
            ("shear", beam.shear.si()),
        ],
    );
    if let Some(overhang) = beam.may_overhang {
        check.not_negative(path, &[("may_overhang", overhang.si())]);
    }
    if let Some(bearing) = beam.bearing {
        check.positive(path, &[("bearing", bearing.si())]);
    }
    check_unheld(check, path, beam);
    basis(check, path, beam.basis, true);
    check.uplift(&format!("{path}.resting"), &beam.resting);
}

fn check_unheld(check: &mut Check<'_>, path: &str, beam: &Beam) {
    match &beam.unheld {
        None => {}
        Some(Unheld::UpTo(length)) => check.positive(path, &[("unheld", length.si())]),
        Some(Unheld::Table(rows)) => {
            for (k, (length, moment)) in rows.iter().enumerate() {
                let at = format!("{path}.unheld[{k}]");
                if !(length.si() > 0.0 && moment.si() > 0.0) {
                    check.at(&at, "must be more than zero");
                }
                if k > 0 && (rows[k - 1].0 >= *length || rows[k - 1].1.si() < moment.si()) {
                    check.at(&at, "lengths rise and moments fall from row to row");
                }
            }
            if rows.is_empty() {
                check.at(&format!("{path}.unheld"), "a table has at least one row");
            }
        }
        Some(Unheld::Timber { bending, e }) => {
            check.positive(path, &[("unheld.bending", bending.si()), ("unheld.e", e.si())]);
        }
        Some(Unheld::Section { weak, torsion, flanges, fy }) => check.positive(
            path,
            &[
                ("unheld.weak", weak.si()),
                ("unheld.torsion", torsion.si()),
                ("unheld.flanges", flanges.si()),
                ("unheld.fy", fy.si()),
            ],
        ),
    }
}

fn check_brace(check: &mut Check<'_>, path: &str, brace: &Brace) {
    check.positive(
        path,
        &[
            ("mass", brace.mass.si()),
            ("length[0]", brace.length.0.si()),
            ("length[1]", brace.length.1.si()),
            ("outside", brace.outside.si()),
            ("area", brace.area.si()),
            ("e", brace.e.si()),
            ("tension", brace.tension.si()),
            ("coupler", brace.coupler.si()),
        ],
    );
    if let Some(compression) = brace.compression {
        check.positive(path, &[("compression", compression.si())]);
    }
    basis(check, path, brace.basis, true);
    check.ordered(&format!("{path}.length"), brace.length);
}
