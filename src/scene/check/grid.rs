//! Grid lines, and the points, runs and areas named from them.

use super::Check;
use crate::scene::lines::{Grid, LinesError};
use crate::scene::model::{Block, Lines, SequenceItem};
use crate::scene::suggest;

/// Roles of a block's members, as they stand in names.
pub(super) const ROLES: [&str; 9] =
    ["post", "ledger", "joist", "filler", "brace", "plan", "sill", "sheet", "clip"];

pub(super) fn check(check: &mut Check<'_>) {
    for (i, block) in check.scene.blocks.iter().enumerate() {
        let sound = [("x", &block.x), ("y", &block.y)]
            .map(|(axis, lines)| one_way(check, &format!("blocks[{i}].{axis}"), lines));
        if sound == [true, true] {
            match Grid::of(block) {
                Ok(grid) => inside(check, i, block, &grid),
                Err(error) => check.at(&format!("blocks[{i}].x.lines"), error.to_string()),
            }
        }
    }
    sequence(check);
}

/// Names and spacings one way; true if the names can be read.
fn one_way(check: &mut Check<'_>, path: &str, lines: &Lines) -> bool {
    if let Err(error) = lines.names() {
        check.at(&format!("{path}.lines"), error.to_string());
        return false;
    }
    if let Err(error) = lines.spacings() {
        let at = match &error {
            LinesError::NotPositive(Some(i)) => format!("{path}.bays[{i}]"),
            LinesError::NotPositive(None) => format!("{path}.every"),
            LinesError::BayCount { .. } | LinesError::BothSpacings => format!("{path}.bays"),
            _ => path.to_owned(),
        };
        check.at(&at, error.to_string());
    }
    true
}

/// Reports an error of a grid name, with a name that is close.
fn report(check: &mut Check<'_>, path: &str, grid: &Grid, error: &LinesError) {
    let help = match error {
        LinesError::NoPoint(name) => suggest::closest(name, grid.names())
            .map(|close| format!("did you mean \"{close}\"?"))
            .or_else(|| {
                let ends = |v: &[String]| match v {
                    [] => String::new(),
                    [one] => one.clone(),
                    [first, .., last] => format!("{first} to {last}"),
                };
                Some(format!("its lines are {} and {}", ends(&grid.x), ends(&grid.y)))
            }),
        _ => None,
    };
    check.help(path, error.to_string(), help);
}

fn inside(check: &mut Check<'_>, i: usize, block: &Block, grid: &Grid) {
    let runs = block.braced.iter().enumerate().map(|(j, t)| (format!("braced[{j}]"), t));
    for (path, text) in runs {
        if let Err(error) = grid.straight(text) {
            report(check, &format!("blocks[{i}].{path}"), grid, &error);
        }
    }
    for (j, text) in block.plan_braced.iter().enumerate() {
        if let Err(error) = grid.area(text) {
            report(check, &format!("blocks[{i}].plan_braced[{j}]"), grid, &error);
        }
    }
    for (j, offset) in block.offsets.iter().enumerate() {
        if let Err(error) = grid.part(&offset.posts) {
            report(check, &format!("blocks[{i}].offsets[{j}].posts"), grid, &error);
        }
    }
    for (j, overhang) in block.overhangs.iter().enumerate() {
        let path = format!("blocks[{i}].overhangs[{j}].along");
        along(check, &path, grid, &overhang.along);
    }
    for (j, name) in block.omit.iter().enumerate() {
        member(check, &format!("blocks[{i}].omit[{j}]"), grid, name);
    }
    for (j, change) in block.overrides.iter().enumerate() {
        member(check, &format!("blocks[{i}].overrides[{j}].members"), grid, &change.members);
    }
}

/// A line name, or a run on a line.
fn along(check: &mut Check<'_>, path: &str, grid: &Grid, text: &str) {
    let lines = || grid.x.iter().chain(&grid.y).map(String::as_str);
    if lines().any(|line| line == text) {
        return;
    }
    match grid.straight(text) {
        Ok(_) => {}
        Err(LinesError::NotARun(_)) => {
            let help = suggest::help(text, lines());
            let message = format!("\"{text}\" is no line of this block and no run on one");
            check.help(path, message, help);
        }
        Err(error) => report(check, path, grid, &error),
    }
}

/// `role.points` with `*` for any text; what the stars leave open is not checked.
fn member(check: &mut Check<'_>, path: &str, grid: &Grid, name: &str) {
    let (role, rest) = name.split_once('.').unwrap_or((name, ""));
    if role.contains('*') {
        return;
    }
    if !ROLES.contains(&role) {
        let help = suggest::help(role, ROLES);
        check.help(path, format!("\"{role}\" is not a role of a block's members"), help);
        return;
    }
    if let Err(error) = points(grid, role, rest) {
        report(check, path, grid, &error);
    }
}

/// The grid points after a role: one for what stands at a point, two for what runs.
pub(super) fn points(grid: &Grid, role: &str, rest: &str) -> Result<(), LinesError> {
    if rest.contains('*') {
        return Ok(());
    }
    match role {
        "post" | "sill" | "clip" => grid.point(rest).map(|_| ()),
        _ => grid.run(rest.split('.').next().unwrap_or(rest)).map(|_| ()),
    }
}

fn sequence(check: &mut Check<'_>) {
    let scene = check.scene;
    for (i, item) in scene.sequence.iter().enumerate() {
        let (block, areas, rule) = match item {
            SequenceItem::Tower(t) => (&t.block, vec![("at", Some(&t.at))], None),
            SequenceItem::Erect(e) => {
                let areas = vec![("from", Some(&e.from)), ("posts", e.posts.as_ref())];
                (&e.block, areas, Some(&e.bracing.lines))
            }
            SequenceItem::Strip(s) => (&s.block, vec![("posts", s.posts.as_ref())], None),
            SequenceItem::Deck(d) => (&d.block, vec![("posts", d.posts.as_ref())], None),
            // Strips name lines in their own ways; the expansion reads them.
            SequenceItem::Pour(_) | SequenceItem::Step(_) => continue,
        };
        let Some(grid) = check.grids.get(block.as_str()).cloned() else { continue };
        for (field, text) in areas {
            let Some(text) = text else { continue };
            let path = format!("sequence[{i}].{field}");
            let part = if field == "posts" { grid.part(text) } else { grid.area(text) };
            match part {
                Err(error) => report(check, &path, &grid, &error),
                Ok((a, b)) if field != "posts" && (b.x - a.x, b.y - a.y) != (1, 1) => {
                    check.at(&path, format!("a tower stands on one bay, and \"{text}\" is more"));
                }
                Ok(_) => {}
            }
        }
        if let SequenceItem::Erect(erect) = item {
            for (j, name) in erect.skip.iter().enumerate() {
                member(check, &format!("sequence[{i}].skip[{j}]"), &grid, name);
            }
            for (j, name) in erect.release_early.iter().enumerate() {
                if let Err(error) = grid.point(name) {
                    report(check, &format!("sequence[{i}].release_early[{j}]"), &grid, &error);
                }
            }
        }
        for (j, line) in rule.into_iter().flatten().enumerate() {
            let fitting = grid.x.iter().chain(&grid.y).map(String::as_str);
            check.known(&format!("sequence[{i}].bracing.lines[{j}]"), "line", line, fitting);
        }
    }
}
