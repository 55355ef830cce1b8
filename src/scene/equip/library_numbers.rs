//! Numbers of an equipment library that cannot be.

use super::library::part_names;
use crate::equipment::Library;
use crate::equipment::model::{Beam, Brace, Head, Passes, Post, Section};
use crate::scene::problem::Problem;
use crate::scene::source::SceneSource;
use crate::units::{Force, Length};

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
    }
    for (name, clip) in &library.clips {
        let path = format!("clips[{name:?}]");
        check.positive(&path, &[("mass", clip.mass.si()), ("uplift", clip.uplift.si())]);
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
    rows(check, &format!("{path}.capacity.rows"), &post.capacity.rows);
}

/// Heights must rise, and what a post carries must not rise with them.
fn rows(check: &mut Check<'_>, path: &str, rows: &[(Length, Force)]) {
    if rows.is_empty() {
        check.at(path, "the capacity table is empty");
    }
    for (i, (height, capacity)) in rows.iter().enumerate() {
        let row = format!("{path}[{i}]");
        check_value(check, &format!("{row}[0]"), "a height", height.si());
        check_value(check, &format!("{row}[1]"), "a capacity", capacity.si());
        let Some((below, carried)) = i.checked_sub(1).and_then(|i| rows.get(i)) else { continue };
        if height <= below {
            check.at(&format!("{row}[0]"), "heights must rise from row to row");
        } else if capacity > carried && carried.si() > 0.0 {
            let message = "carries more than at the height of the row before: a taller post \
                           carries no more than a shorter one";
            check.at(&format!("{row}[1]"), message);
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
    check.uplift(&format!("{path}.resting"), &beam.resting);
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
    check.ordered(&format!("{path}.length"), brace.length);
}
