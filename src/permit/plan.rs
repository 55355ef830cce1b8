//! A plan of what stands, drawn as SVG: grid lines with their names, posts, what spans between them,
//! bracing, and rings about what the review found.

use crate::assembly::model::{Member, Point};
use crate::assembly::{Assembly, Role};
use crate::report::markup::escape;
use crate::sequence::Stage;
use crate::units::UnitSystem;
use std::collections::BTreeSet;
use std::fmt::Write as _;

/// Room round the drawing for grid names and dimensions, in units of the drawing.
const MARGIN: f64 = 46.0;
/// Posts are named where there are at most so many.
const NAMED_POSTS: usize = 60;

/// Trade words for a kind of member.
#[must_use]
pub fn role_words(role: Role) -> &'static str {
    match role {
        Role::Post => "posts",
        Role::Prop => "props",
        Role::Ledger => "ledgers",
        Role::Joist => "joists",
        Role::Filler => "filler joists",
        Role::DropBeam => "drop beams",
        Role::Brace => "braces",
        Role::PlanBrace => "plan braces",
        Role::TieIn => "tie-ins",
        Role::Clip => "clips",
        Role::Sill => "sills",
        Role::Sheet => "sheets",
    }
}

/// Members to draw a ring about, with a label at the first of them.
#[derive(Clone, Debug)]
pub struct Ring<'a> {
    pub label: String,
    pub members: &'a [String],
}

/// From metres in plan to the drawing: x to the right, y up the page.
struct Frame {
    low: [f64; 2],
    high: [f64; 2],
    scale: f64,
}

impl Frame {
    fn x(&self, x: f64) -> f64 {
        MARGIN + (x - self.low[0]) * self.scale
    }
    fn y(&self, y: f64) -> f64 {
        MARGIN + (self.high[1] - y) * self.scale
    }
    fn size(&self) -> (f64, f64) {
        let side = |i: usize| 2.0 * MARGIN + (self.high[i] - self.low[i]) * self.scale;
        (side(0), side(1))
    }
}

/// The plan as an `svg` element, at most `width` by `height` units. `found` are rung.
#[must_use]
pub fn plan(
    assembly: &Assembly,
    stage: &Stage,
    found: &[Ring<'_>],
    (width, height): (f64, f64),
    units: UnitSystem,
) -> String {
    let there: Vec<&Member> =
        assembly.members.iter().filter(|m| stage.state(m.id).is_there()).collect();
    let Some(frame) = frame(&there, width, height) else {
        return "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 200 40\"><text x=\"8\" y=\"24\">Nothing stands at this stage.</text></svg>".to_owned();
    };
    let (w, h) = frame.size();
    let mut svg = String::new();
    // Writing to a text cannot fail, here and below.
    let _ = writeln!(
        svg,
        "<svg xmlns=\"http://www.w3.org/2000/svg\" class=\"plan\" viewBox=\"0 0 {w:.1} {h:.1}\" \
         role=\"img\" aria-label=\"Plan of what stands\" font-family=\"sans-serif\" font-size=\"9\">"
    );
    permanent(&mut svg, assembly, &frame);
    grid(&mut svg, assembly, &there, &frame);
    for role in [Role::Sheet, Role::Filler, Role::Joist, Role::Ledger, Role::DropBeam] {
        there.iter().filter(|m| m.role == role).for_each(|m| member(&mut svg, m, &frame));
    }
    for role in [Role::Brace, Role::PlanBrace, Role::TieIn, Role::Clip] {
        there.iter().filter(|m| m.role == role).for_each(|m| member(&mut svg, m, &frame));
    }
    let posts: Vec<&&Member> = there.iter().filter(|m| m.is_post()).collect();
    for post in &posts {
        square(&mut svg, post, &frame, posts.len() <= NAMED_POSTS);
    }
    dimensions(&mut svg, &frame, units);
    rings(&mut svg, assembly, found, &frame);
    svg.push_str("</svg>");
    svg
}

fn frame(there: &[&Member], width: f64, height: f64) -> Option<Frame> {
    let mut points = there.iter().flat_map(|m| m.ends.iter());
    let first = points.next()?;
    let (mut low, mut high) = ([first.x, first.y], [first.x, first.y]);
    for p in points {
        low = [low[0].min(p.x), low[1].min(p.y)];
        high = [high[0].max(p.x), high[1].max(p.y)];
    }
    let room = |length: f64, paper: f64| (paper - 2.0 * MARGIN) / length.max(0.5);
    let scale = room(high[0] - low[0], width).min(room(high[1] - low[1], height));
    Some(Frame { low, high, scale })
}

fn line(svg: &mut String, frame: &Frame, a: &Point, b: &Point, style: &str) {
    let _ = writeln!(
        svg,
        "<line x1=\"{:.1}\" y1=\"{:.1}\" x2=\"{:.1}\" y2=\"{:.1}\" {style}/>",
        frame.x(a.x),
        frame.y(a.y),
        frame.x(b.x),
        frame.y(b.y)
    );
}

fn member(svg: &mut String, member: &Member, frame: &Frame) {
    let [a, b] = &member.ends;
    match member.role {
        Role::Sheet => {
            let (x, y) = (frame.x(a.x.min(b.x)), frame.y(a.y.max(b.y)));
            let (w, h) = ((a.x - b.x).abs() * frame.scale, (a.y - b.y).abs() * frame.scale);
            let _ = writeln!(
                svg,
                "<rect x=\"{x:.1}\" y=\"{y:.1}\" width=\"{w:.1}\" height=\"{h:.1}\" fill=\"#f2eee4\" stroke=\"#cfc7b4\" stroke-width=\"0.5\"/>"
            );
        }
        Role::Filler => line(svg, frame, a, b, "stroke=\"#b9b4a8\" stroke-width=\"0.7\""),
        Role::Joist => line(svg, frame, a, b, "stroke=\"#6b6b6b\" stroke-width=\"1\""),
        Role::DropBeam => line(svg, frame, a, b, "stroke=\"#333\" stroke-width=\"3\""),
        Role::Ledger => line(svg, frame, a, b, "stroke=\"#333\" stroke-width=\"2\""),
        Role::Brace => brace(svg, member, frame),
        Role::PlanBrace => {
            line(svg, frame, a, b, "stroke=\"#000\" stroke-width=\"1\" stroke-dasharray=\"6 2\"");
        }
        Role::TieIn => line(
            svg,
            frame,
            a,
            b,
            "stroke=\"#000\" stroke-width=\"2.5\" stroke-dasharray=\"2 1.5\"",
        ),
        Role::Clip => {
            let _ = writeln!(
                svg,
                "<path d=\"M{:.1} {:.1}l4 4m0 -4l-4 4\" stroke=\"#000\" stroke-width=\"1\" fill=\"none\"/>",
                frame.x(a.x) - 2.0,
                frame.y(a.y) - 2.0
            );
        }
        Role::Post | Role::Prop | Role::Sill => {}
    }
}

/// An elevation brace from above: a line beside the bay it is in, with a stroke across its middle.
fn brace(svg: &mut String, member: &Member, frame: &Frame) {
    let [a, b] = &member.ends;
    let (dx, dy) = (b.x - a.x, b.y - a.y);
    let length = dx.hypot(dy);
    if length <= 0.0 {
        return;
    }
    let aside = 3.5 / frame.scale;
    let (nx, ny) = (-dy / length * aside, dx / length * aside);
    // Both diagonals of a bay lie on the same side, whichever way they run.
    let sign = if nx + ny < 0.0 { -1.0 } else { 1.0 };
    let off = |p: &Point, share: f64| {
        Point::new(p.x + dx * share + nx * sign, p.y + dy * share + ny * sign, p.z)
    };
    line(
        svg,
        frame,
        &off(a, 0.12),
        &off(a, 0.88),
        "stroke=\"#000\" stroke-width=\"1.2\" stroke-dasharray=\"4 1.5\"",
    );
}

fn square(svg: &mut String, post: &Member, frame: &Frame, named: bool) {
    let side = (0.18 * frame.scale).clamp(3.0, 7.0);
    let (x, y) = (frame.x(post.ends[0].x), frame.y(post.ends[0].y));
    let _ = writeln!(
        svg,
        "<rect x=\"{:.1}\" y=\"{:.1}\" width=\"{side:.1}\" height=\"{side:.1}\" fill=\"#fff\" stroke=\"#000\" stroke-width=\"1.2\"/>",
        x - side / 2.0,
        y - side / 2.0
    );
    let name = post.grid.as_ref().map_or(post.name.as_str(), |(grid, _)| grid.as_str());
    if named {
        let _ = writeln!(
            svg,
            "<text x=\"{:.1}\" y=\"{:.1}\" font-size=\"7\" fill=\"#333\">{}</text>",
            x + side / 2.0 + 1.5,
            y + side / 2.0 + 6.5,
            escape(name)
        );
    }
}

/// Lines of the blocks that have something standing, each with its name in a circle at the first end.
fn grid(svg: &mut String, assembly: &Assembly, there: &[&Member], frame: &Frame) {
    let blocks: BTreeSet<&str> = there.iter().filter_map(|m| m.block.as_deref()).collect();
    for grid in assembly.grid_lines.iter().filter(|g| blocks.contains(g.block.as_str())) {
        let [a, b] = &grid.ends;
        let inside = |p: &Point| {
            let slack = 0.3;
            (frame.low[0] - slack..=frame.high[0] + slack).contains(&p.x)
                && (frame.low[1] - slack..=frame.high[1] + slack).contains(&p.y)
        };
        if !inside(a) && !inside(b) {
            continue;
        }
        line(
            svg,
            frame,
            a,
            b,
            "stroke=\"#c8c8c8\" stroke-width=\"0.5\" stroke-dasharray=\"8 2 1 2\"",
        );
        let (dx, dy) = (b.x - a.x, b.y - a.y);
        let length = dx.hypot(dy).max(1e-9);
        let (x, y) = (frame.x(a.x) - dx / length * 22.0, frame.y(a.y) + dy / length * 22.0);
        let _ = writeln!(
            svg,
            "<circle cx=\"{x:.1}\" cy=\"{y:.1}\" r=\"8\" fill=\"#fff\" stroke=\"#555\" stroke-width=\"0.8\"/>\
             <text x=\"{x:.1}\" y=\"{:.1}\" text-anchor=\"middle\">{}</text>",
            y + 3.2,
            escape(&grid.name)
        );
    }
}

fn permanent(svg: &mut String, assembly: &Assembly, frame: &Frame) {
    use crate::scene::model::PermanentKind;
    for thing in &assembly.scene.permanent {
        let style = "stroke=\"#999\" fill=\"#d9d9d9\"";
        match &thing.kind {
            PermanentKind::Column { at, size } => {
                let (w, h) = (size.0.si() * frame.scale, size.1.si() * frame.scale);
                let _ = writeln!(
                    svg,
                    "<rect x=\"{:.1}\" y=\"{:.1}\" width=\"{w:.1}\" height=\"{h:.1}\" {style}/>",
                    frame.x(at.0.si()) - w / 2.0,
                    frame.y(at.1.si()) - h / 2.0
                );
            }
            PermanentKind::Wall { from, to, thickness } => {
                let end = |p: &(crate::units::Length, crate::units::Length)| {
                    Point::new(p.0.si(), p.1.si(), 0.0)
                };
                let wide = (thickness.si() * frame.scale).max(1.0);
                let style = format!("stroke=\"#d0d0d0\" stroke-width=\"{wide:.1}\"");
                line(svg, frame, &end(from), &end(to), &style);
            }
        }
    }
}

/// Overall sizes, along the right and the top of the drawing.
fn dimensions(svg: &mut String, frame: &Frame, units: UnitSystem) {
    let (w, h) = frame.size();
    let size = |i: usize| units.length(frame.high[i] - frame.low[i]);
    let style = "stroke=\"#777\" stroke-width=\"0.6\"";
    let (top, right) = (14.0, w - 14.0);
    let _ = writeln!(
        svg,
        "<path d=\"M{MARGIN} {top}H{:.1}M{MARGIN} {:.1}v8M{:.1} {:.1}v8\" {style} fill=\"none\"/>\
         <text x=\"{:.1}\" y=\"{:.1}\" text-anchor=\"middle\">{}</text>",
        w - MARGIN,
        top - 4.0,
        w - MARGIN,
        top - 4.0,
        w / 2.0,
        top - 4.0,
        escape(&size(0))
    );
    let middle = h / 2.0;
    let _ = writeln!(
        svg,
        "<path d=\"M{right:.1} {MARGIN}V{:.1}M{:.1} {MARGIN}h8M{:.1} {:.1}h8\" {style} fill=\"none\"/>\
         <text x=\"{:.1}\" y=\"{middle:.1}\" text-anchor=\"middle\" transform=\"rotate(-90 {:.1} {middle:.1})\">{}</text>",
        h - MARGIN,
        right - 4.0,
        right - 4.0,
        h - MARGIN,
        right + 10.0,
        right + 10.0,
        escape(&size(1))
    );
}

/// A ring about each member, and its label at the first.
fn rings(svg: &mut String, assembly: &Assembly, found: &[Ring<'_>], frame: &Frame) {
    for ring in found {
        let ids = ring.members.iter().filter_map(|name| assembly.find(name));
        for (place, id) in ids.enumerate() {
            let member = assembly.member(id);
            let middle = member.at(member.length() / 2.0);
            let (x, y) = (frame.x(middle.x), frame.y(middle.y));
            let _ = writeln!(
                svg,
                "<circle cx=\"{x:.1}\" cy=\"{y:.1}\" r=\"9\" fill=\"none\" stroke=\"#b00020\" stroke-width=\"2\"/>"
            );
            if place == 0 {
                let _ = writeln!(
                    svg,
                    "<text x=\"{:.1}\" y=\"{:.1}\" font-size=\"11\" font-weight=\"bold\" fill=\"#b00020\">{}</text>",
                    x + 8.0,
                    y - 8.0,
                    escape(&ring.label)
                );
            }
        }
    }
}
