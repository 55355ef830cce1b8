//! The signs: each severity has a shape of its own, so that colour never stands alone.
//! Stop is an octagon with a bar, fix first a triangle, watch a square, a note a ring, and what
//! could not be judged a diamond with a question mark. A hand marks what is held.

use crate::viewer::theme::{Grade, Palette};
use egui::{Align2, Color32, FontId, Painter, Pos2, Rect, Shape, Stroke, Vec2, pos2, vec2};

/// Draws the sign of a grade, `size` across.
pub fn grade(painter: &Painter, at: Pos2, size: f32, grade: Grade, palette: &Palette) {
    let fill = palette.grade(grade).egui();
    let ink = palette.on_grade(grade).egui();
    let rim = Stroke::new((size * 0.07).max(1.0), palette.panel.egui());
    let r = size / 2.0;
    match grade {
        Grade::Stop => {
            painter.add(Shape::convex_polygon(ring(at, r * 1.04, 8, 22.5), fill, rim));
            painter.rect_filled(Rect::from_center_size(at, vec2(r * 1.05, r * 0.36)), 0.0, ink);
        }
        Grade::FixFirst => {
            let low = at + vec2(0.0, r * 0.1);
            painter.add(Shape::convex_polygon(ring(low, r * 1.16, 3, -90.0), fill, rim));
            let bar =
                Rect::from_min_max(at + vec2(-r * 0.11, -r * 0.42), at + vec2(r * 0.11, r * 0.2));
            painter.rect_filled(bar, 0.0, ink);
            painter.circle_filled(at + vec2(0.0, r * 0.43), r * 0.13, ink);
        }
        Grade::Watch => {
            let square = Rect::from_center_size(at, Vec2::splat(size * 0.84));
            painter.rect(square, size * 0.1, fill, rim, egui::StrokeKind::Middle);
            painter.circle_filled(at, r * 0.28, ink);
        }
        Grade::Note => {
            painter.circle(at, r * 0.62, palette.panel.egui(), Stroke::new(r * 0.3, fill));
        }
        Grade::Unknown => {
            painter.add(Shape::convex_polygon(ring(at, r * 1.12, 4, 0.0), fill, rim));
            painter.text(at, Align2::CENTER_CENTER, "?", FontId::proportional(size * 0.72), ink);
        }
    }
}

/// An open hand in a disc: this member is held.
pub fn hand(painter: &Painter, at: Pos2, size: f32, palette: &Palette) {
    let r = size / 2.0;
    painter.circle(at, r, palette.held.egui(), Stroke::new(1.0, palette.panel.egui()));
    let ink = palette.on_unknown.egui();
    let ink = if palette.dark_mode { ink } else { Color32::WHITE };
    let palm = Rect::from_center_size(at + vec2(0.0, r * 0.22), vec2(r * 0.7, r * 0.62));
    painter.rect_filled(palm, r * 0.2, ink);
    for (k, height) in [0.5, 0.66, 0.62, 0.46].into_iter().enumerate() {
        let x = r * (-0.27 + 0.18 * k as f32);
        painter.line_segment(
            [at + vec2(x, r * 0.1), at + vec2(x, -r * height)],
            Stroke::new(r * 0.14, ink),
        );
    }
    painter.line_segment(
        [at + vec2(r * 0.3, r * 0.32), at + vec2(r * 0.56, -r * 0.06)],
        Stroke::new(r * 0.15, ink),
    );
}

/// Corners of a regular polygon, the first at `turn` degrees.
fn ring(at: Pos2, radius: f32, sides: u32, turn: f32) -> Vec<Pos2> {
    (0..sides)
        .map(|k| {
            let angle = turn.to_radians() + std::f32::consts::TAU * k as f32 / sides as f32;
            pos2(at.x + radius * angle.cos(), at.y + radius * angle.sin())
        })
        .collect()
}

/// Room for a sign in a row of widgets, with the word for a screen reader.
pub fn inline(ui: &mut egui::Ui, size: f32, of: Grade, palette: &Palette) -> egui::Response {
    let (rect, response) = ui.allocate_exact_size(Vec2::splat(size), egui::Sense::hover());
    if ui.is_rect_visible(rect) {
        grade(ui.painter(), rect.center(), size, of, palette);
    }
    response
}

/// Not saved: a sheet with a folded corner, struck through. No severity looks like it.
pub fn not_saved(ui: &mut egui::Ui, size: f32, palette: &Palette) -> egui::Response {
    let (rect, response) = ui.allocate_exact_size(Vec2::splat(size), egui::Sense::hover());
    if ui.is_rect_visible(rect) {
        let (at, r) = (rect.center(), size / 2.0);
        let ink = Stroke::new((size * 0.09).max(1.2), palette.text.egui());
        let corner = |x: f32, y: f32| at + vec2(x * r, y * r);
        let sheet = [(-0.68, -0.92), (0.22, -0.92), (0.68, -0.46), (0.68, 0.92), (-0.68, 0.92)];
        let sheet = sheet.map(|(x, y)| corner(x, y)).to_vec();
        ui.painter().add(Shape::convex_polygon(sheet, palette.panel_deep.egui(), ink));
        let fold = vec![corner(0.22, -0.92), corner(0.22, -0.46), corner(0.68, -0.46)];
        ui.painter().add(Shape::line(fold, ink));
        let strike = [corner(-0.95, 0.75), corner(0.95, -0.55)];
        let under = Stroke::new(ink.width * 3.0, palette.panel.egui());
        ui.painter().line_segment(strike, under);
        ui.painter().line_segment(strike, Stroke::new(ink.width * 1.5, palette.stop.egui()));
    }
    response.on_hover_text("not saved")
}
