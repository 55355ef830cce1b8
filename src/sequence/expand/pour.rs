//! A slab placed strip by strip.

use crate::plan::{Plan, anticlockwise, clip, extent, rectangle, size_and_centre};
use crate::scene::lines::{Grid, GridPoint};
use crate::scene::model::{
    Action, Axis, Block, DropBeam, LoadKind, LoadPlace, LoadText, PourText, Slab, StepText,
    StripPlace,
};
use crate::sequence::machine::Machine;
use crate::sequence::names;
use crate::sequence::trouble::Trouble;
use crate::units::Length;

/// More strips than this are taken for a slip of the pen.
const MOST_STRIPS: usize = 500;

/// Least and greatest corner in plan, metres.
type Rect = [Plan; 2];

/// A strip with its name.
struct Strip {
    name: String,
    rect: Rect,
}

/// Steps: `id.before` for the hold point, then for each strip `id.strip.layer-1` and on for its
/// deep beams and `id.strip` for the rest of it, and `id.after`. Each placing step names who watches
/// and where nobody goes.
///
/// # Errors
/// When slab, block or line are not there, strips are missing, there twice or lie outside the slab,
/// or nothing stands under a strip.
pub fn steps(text: &PourText, before: &Machine<'_>) -> Result<Vec<StepText>, Trouble> {
    let scene = &before.assembly.scene;
    let slab = scene.slabs.iter().find(|s| s.name == text.slab).ok_or_else(|| {
        let close = names::did_you_mean(&text.slab, scene.slabs.iter().map(|s| s.name.as_str()));
        Trouble::new(format!("there is no slab \"{}\"", text.slab)).help_maybe(close)
    })?;
    let strips = strips(text, slab, before)?;
    let mut out = Vec::new();
    let hold = |id: &str, title: &str, action: Action| StepText {
        id: format!("{}.{id}", text.id),
        title: title.to_owned(),
        actions: vec![action],
        crew: text.crew,
        ..StepText::default()
    };
    if let Some(point) = &text.before {
        let title = format!("Hold point before placing: {}", point.name);
        out.push(hold("before", &title, Action::HoldPoint(point.clone())));
    }
    for strip in &strips {
        if before.nothing_under(strip.rect) {
            return Err(Trouble::new(format!(
                "strip {} is placed where nothing stands to carry it",
                strip.name
            ))
            .help("deck it before the pour"));
        }
        placing(text, slab, strip, &mut out);
    }
    if let Some(point) = &text.after {
        let title = format!("Hold point after placing: {}", point.name);
        out.push(hold("after", &title, Action::HoldPoint(point.clone())));
    }
    Ok(out)
}

/// The steps of one strip: layers of its deep beams, then the rest.
fn placing(text: &PourText, slab: &Slab, strip: &Strip, out: &mut Vec<StepText>) {
    let (from, to) = corners(strip.rect);
    let mut step = |id: String, title: String, loads: Vec<LoadText>| {
        let mut actions: Vec<Action> = Vec::new();
        if let Some(who) = &text.watch {
            actions.push(Action::Watch(who.clone()));
        }
        if let Some(away) = text.keep_out {
            let far = |p: (Length, Length), s: f64| {
                (Length(p.0.si() + s * away.si()), Length(p.1.si() + s * away.si()))
            };
            actions.push(Action::KeepOut(far(from, -1.0), far(to, 1.0)));
        }
        actions.extend(loads.into_iter().map(Action::Load));
        out.push(StepText { id, title, actions, crew: text.crew, ..StepText::default() });
    };
    let name = format!("{}.{}", text.id, strip.name);
    let beams: Vec<(&DropBeam, Rect)> =
        slab.drop_beams.iter().filter_map(|b| Some((b, beam_in(b, strip.rect)?))).collect();
    if let Some(layer) = text.layers.map(Length::si).filter(|l| *l > 0.0) {
        let deepest = beams.iter().map(|b| b.0.drop.si()).fold(0.0, f64::max);
        #[allow(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a few layers; more are cut off"
        )]
        let count = (deepest / layer - 1e-9).ceil().clamp(0.0, 100.0) as usize;
        for k in 0..count {
            let loads: Vec<LoadText> = beams
                .iter()
                .filter_map(|(beam, part)| {
                    let (from, to) = corners(*part);
                    let height = |k: usize| (k as f64 * layer).min(beam.drop.si());
                    let (bottom, top) = (height(k), height(k + 1));
                    (top > bottom).then(|| LoadText {
                        name: format!("{name}.{}.{}", beam.name, k + 1),
                        kind: LoadKind::Concrete,
                        on: LoadPlace::Layer {
                            slab: slab.name.clone(),
                            beam: beam.name.clone(),
                            from,
                            to,
                            bottom: Length(bottom),
                            top: Length(top),
                        },
                        stack: None,
                    })
                })
                .collect();
            let title =
                format!("Place layer {} of {count} of the deep beams in {}", k + 1, strip.name);
            step(format!("{name}.layer-{}", k + 1), title, loads);
        }
    }
    let load = LoadText {
        name: name.clone(),
        kind: LoadKind::Concrete,
        on: LoadPlace::Pour { slab: slab.name.clone(), from, to },
        stack: None,
    };
    step(name, format!("Place strip {}", strip.name), vec![load]);
}

fn corners(rect: Rect) -> ((Length, Length), (Length, Length)) {
    let point = |p: Plan| (Length(p[0]), Length(p[1]));
    (point(rect[0]), point(rect[1]))
}

/// The part of a rectangle that a drop beam's strip reaches into, as a rectangle; none where they do
/// not meet.
fn beam_in(beam: &DropBeam, rect: Rect) -> Option<Rect> {
    let (strip, _) = crate::plan::strip(
        [beam.from.0.si(), beam.from.1.si()],
        [beam.to.0.si(), beam.to.1.si()],
        beam.width.si(),
    )?;
    let part = clip(&strip, &rectangle(rect[0], rect[1], [1.0, 0.0]));
    if size_and_centre(&part).0.abs() <= 1e-6 {
        return None;
    }
    let (x, y) = (extent(&part, [1.0, 0.0]), extent(&part, [0.0, 1.0]));
    Some([[x.0, y.0], [x.1, y.1]])
}

fn area(polygon: &[Plan], rect: Rect) -> f64 {
    size_and_centre(&clip(polygon, &rectangle(rect[0], rect[1], [1.0, 0.0]))).0.abs()
}

fn strips(text: &PourText, slab: &Slab, before: &Machine<'_>) -> Result<Vec<Strip>, Trouble> {
    let strips = match (text.every, text.strips.is_empty()) {
        (Some(_), false) => {
            return Err(Trouble::new("`every` and `strips` are both there: keep one of them"));
        }
        (None, true) => {
            return Err(Trouble::new(format!("the pour \"{}\" has no strips", text.id)).help(
                "list `strips`, or give their width as `every`: one strip is a pour in one go",
            ));
        }
        (Some(every), true) => even(text, slab, every.si())?,
        (None, false) => {
            let mut strips = Vec::new();
            for strip in &text.strips {
                if strip.name.trim().is_empty() || strip.name.contains(['.', ' ', '*']) {
                    return Err(Trouble::new(format!(
                        "\"{}\" is no name for a strip: letters, digits, _ and - without blanks",
                        strip.name
                    )));
                }
                let rect = place(text, &strip.place, before).map_err(|t| Trouble {
                    message: format!("strip {}: {}", strip.name, t.message),
                    ..t
                })?;
                strips.push(Strip { name: strip.name.clone(), rect });
            }
            strips
        }
    };
    let outline: Vec<Plan> =
        anticlockwise(slab.outline.iter().map(|p| [p.0.si(), p.1.si()]).collect());
    for (i, strip) in strips.iter().enumerate() {
        if strips[..i].iter().any(|s| s.name == strip.name) {
            return Err(Trouble::new(format!("the strip \"{}\" is there twice", strip.name)));
        }
        if area(&outline, strip.rect) <= 1e-6 {
            return Err(Trouble::new(format!(
                "strip {} lies outside the slab \"{}\"",
                strip.name, slab.name
            )));
        }
        let other = strips[..i].iter().find(|s| {
            let over =
                |k: usize| s.rect[1][k].min(strip.rect[1][k]) - s.rect[0][k].max(strip.rect[0][k]);
            over(0) > 1e-6 && over(1) > 1e-6
        });
        if let Some(other) = other {
            return Err(Trouble::new(format!(
                "the strips {} and {} overlap: the same concrete would be placed twice",
                other.name, strip.name
            )));
        }
    }
    Ok(strips)
}

/// Strips of one width over the slab, the last as wide as what is left.
fn even(text: &PourText, slab: &Slab, width: f64) -> Result<Vec<Strip>, Trouble> {
    let extent = |k: usize| {
        slab.outline
            .iter()
            .map(|p| [p.0.si(), p.1.si()][k])
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), v| (low.min(v), high.max(v)))
    };
    let k = usize::from(text.toward == Axis::Y);
    let ((low, high), (side_low, side_high)) = (extent(k), extent(1 - k));
    let count = ((high - low) / width - 1e-9).ceil();
    if !(count >= 1.0 && count <= MOST_STRIPS as f64) {
        return Err(Trouble::new(format!(
            "strips of this width would be {count}; 1 to {MOST_STRIPS} are read"
        )));
    }
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "checked above")]
    let count = count as usize;
    let mut strips: Vec<Strip> = (0..count)
        .map(|i| {
            let (a, b) = (low + i as f64 * width, (low + (i + 1) as f64 * width).min(high));
            let point = |along: f64, side: f64| if k == 0 { [along, side] } else { [side, along] };
            Strip { name: String::new(), rect: [point(a, side_low), point(b, side_high)] }
        })
        .collect();
    if text.backwards {
        strips.reverse();
    }
    for (i, strip) in strips.iter_mut().enumerate() {
        strip.name = format!("strip-{}", i + 1);
    }
    Ok(strips)
}

/// The rectangle a strip means.
fn place(text: &PourText, place: &StripPlace, before: &Machine<'_>) -> Result<Rect, Trouble> {
    let sorted =
        |a: Plan, b: Plan| [[a[0].min(b[0]), a[1].min(b[1])], [a[0].max(b[0]), a[1].max(b[1])]];
    let (block, grid) = match place {
        StripPlace::Between(from, to) => {
            return Ok(sorted([from.0.si(), from.1.si()], [to.0.si(), to.1.si()]));
        }
        StripPlace::Bays(_) | StripPlace::Edge(_) => block(text, before)?,
    };
    let (xs, ys) = (block.x.positions(), block.y.positions());
    let at = |p: GridPoint| -> Option<Plan> {
        Some([block.origin.0.si() + xs.get(p.x)?, block.origin.1.si() + ys.get(p.y)?])
    };
    let none = || Trouble::new("the block's lines cannot be read");
    match place {
        StripPlace::Bays(bays) => {
            let (a, b) = grid.area(bays).map_err(|e| Trouble::new(e.to_string()))?;
            Ok(sorted(at(a).ok_or_else(none)?, at(b).ok_or_else(none)?))
        }
        StripPlace::Edge(line) => {
            let overhang =
                block.overhangs.iter().find(|o| covers(o.along.as_str(), line, &grid)).ok_or_else(
                    || Trouble::new(format!("no overhang runs past the line \"{line}\"")),
                )?;
            let (low, high, axis) = line_ends(line, &grid)?;
            let (a, b) = (at(low).ok_or_else(none)?, at(high).ok_or_else(none)?);
            let by = overhang.by.si();
            // Outwards: towards lower coordinates from a first line, towards higher from a last one.
            let first = if axis == Axis::X { low.x == 0 } else { low.y == 0 };
            let out = if first { -by } else { by };
            let tip = if axis == Axis::X { [b[0] + out, b[1]] } else { [b[0], b[1] + out] };
            Ok(sorted(a, tip))
        }
        StripPlace::Between(..) => Err(none()),
    }
}

fn block<'a>(text: &PourText, before: &Machine<'a>) -> Result<(&'a Block, Grid), Trouble> {
    let blocks = &before.assembly.scene.blocks;
    let name = text.block.as_deref().ok_or_else(|| {
        Trouble::new("a strip names lines of a block, and the pour names no block")
            .help("add `block`, or give the strip as Between(from, to)")
    })?;
    let block = blocks.iter().find(|b| b.name == name).ok_or_else(|| {
        let close = names::did_you_mean(name, blocks.iter().map(|b| b.name.as_str()));
        Trouble::new(format!("there is no block \"{name}\"")).help_maybe(close)
    })?;
    if block.turned.si().rem_euclid(std::f64::consts::TAU) != 0.0 {
        return Err(Trouble::new(format!(
            "block \"{name}\" is turned: its bays are no rectangles"
        ))
        .help("give the strip as Between(from, to)"));
    }
    let grid = Grid::of(block).map_err(|e| Trouble::new(e.to_string()))?;
    Ok((block, grid))
}

/// Whether an overhang's line holds the line or run asked for.
fn covers(along: &str, line: &str, grid: &Grid) -> bool {
    along == line
        || matches!((line_ends(along, grid), line_ends(line, grid)), (Ok(a), Ok(l))
            if a.2 == l.2 && a.0.x <= l.0.x && a.0.y <= l.0.y && l.1.x <= a.1.x && l.1.y <= a.1.y)
}

/// First and last grid point of a line or run, and the axis that crosses it.
fn line_ends(line: &str, grid: &Grid) -> Result<(GridPoint, GridPoint, Axis), Trouble> {
    let (nx, ny) = (grid.x.len() - 1, grid.y.len() - 1);
    if let Some(x) = grid.x.iter().position(|l| l == line) {
        return Ok((GridPoint { x, y: 0 }, GridPoint { x, y: ny }, Axis::X));
    }
    if let Some(y) = grid.y.iter().position(|l| l == line) {
        return Ok((GridPoint { x: 0, y }, GridPoint { x: nx, y }, Axis::Y));
    }
    let (a, b) = grid.straight(line).map_err(|e| Trouble::new(e.to_string()))?;
    Ok((a, b, if a.x == b.x { Axis::X } else { Axis::Y }))
}
