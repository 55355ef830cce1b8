//! Everything written over the scene finds a place of its own.

use super::panels::state_of;
use super::plugin::{showing, state};
use bevy::prelude::{App, Vec3};
use egui::{Pos2, Rect, pos2, vec2};
use standwell::viewer::facts::Facts;
use standwell::viewer::labels::{Label, Quad, Rank, crosses, settle, square};
use standwell::viewer::members::Bodies;
use standwell::viewer::overlay::{self, Over};
use standwell::viewer::panels::{View, style};
use standwell::viewer::pose::Pose;
use standwell::viewer::site_marks::among;
use standwell::viewer::standing::Lines;
use standwell::viewer::strip_marks::{Mark, marks};
use standwell::viewer::theme::{Look, Theme};
use standwell::viewer::vocab::NamedView;

fn label(rank: Rank, places: Vec<Quad>) -> Label<'static> {
    Label { rank, places, draw: Box::new(|_, _| {}) }
}

#[test]
fn plates_touch_where_they_do_turned_ones_too() {
    let flat = Quad::from(Rect::from_min_size(pos2(0.0, 0.0), vec2(100.0, 10.0)));
    assert!(flat.touches(&square(pos2(50.0, 5.0), 4.0)));
    assert!(!flat.touches(&square(pos2(50.0, 20.0), 4.0)));
    // A plate turned by 45 degrees about (50, 50) reaches 36 and a half out along its length; its
    // bounds hold the corner (80, 20), the plate itself does not.
    let turned = Quad::turned(pos2(50.0, 50.0), vec2(100.0, 6.0), std::f32::consts::FRAC_PI_4);
    assert!(turned.bounds().contains(pos2(80.0, 20.0)));
    assert!(!turned.touches(&square(pos2(80.0, 20.0), 8.0)));
    assert!(turned.touches(&square(pos2(80.0, 80.0), 8.0)));
    assert!(square(pos2(80.0, 80.0), 8.0).touches(&turned));
}

#[test]
fn what_matters_more_chooses_first_and_the_rest_makes_way() {
    let area = Rect::from_min_size(pos2(0.0, 0.0), vec2(200.0, 100.0));
    let middle = || square(pos2(100.0, 50.0), 20.0);
    let beside = square(pos2(140.0, 50.0), 20.0);
    let outside = square(pos2(198.0, 50.0), 20.0);
    let labels = [
        label(Rank::Line, vec![middle(), outside, beside]),
        label(Rank::Bay, vec![middle()]),
        label(Rank::Sign, vec![middle()]),
    ];
    assert_eq!(settle(area, &[], &labels), [Some(2), None, Some(0)]);
    // What is taken already is taken for all.
    assert_eq!(settle(area, &[middle()], &labels), [Some(2), None, None]);
}

#[test]
fn a_line_crosses_a_plate_where_it_does() {
    let r = Rect::from_min_max(pos2(10.0, 10.0), pos2(20.0, 20.0));
    assert!(crosses(r, pos2(0.0, 15.0), pos2(30.0, 15.0)));
    assert!(crosses(r, pos2(12.0, 12.0), pos2(13.0, 13.0)), "within it");
    assert!(!crosses(r, pos2(0.0, 0.0), pos2(30.0, 5.0)));
    assert!(!crosses(r, pos2(0.0, 15.0), pos2(8.0, 15.0)), "it ends before");
    assert!(!crosses(r, pos2(0.0, 25.0), pos2(10.0, 19.0 + 6.0)));
}

/// Found by place, the answer is that of looking through all lines: for long ones and short ones, level,
/// upright and slanted, within the picture, across its edge, far outside and endless.
#[test]
fn lines_found_by_place_are_those_that_cross() {
    let mut seed = 7u32;
    let mut random = |most: f32| {
        seed = seed.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        (seed >> 8) as f32 / (1 << 24) as f32 * most
    };
    let area = Rect::from_min_size(pos2(330.0, 46.0), vec2(1260.0, 826.0));
    let mut lines = vec![
        [pos2(-4e6, 400.0), pos2(5e6, 403.0)],
        [pos2(700.0, -3e5), pos2(700.0, 2e5)],
        [pos2(f32::INFINITY, 0.0), pos2(500.0, 500.0)],
        [pos2(f32::NAN, 0.0), pos2(500.0, 500.0)],
        [pos2(800.0, 500.0), pos2(800.0, 500.0)],
    ];
    for k in 0..400 {
        let a = pos2(random(1900.0), random(1000.0));
        let long = if k % 5 == 0 { 900.0 } else { 60.0 };
        let by = match k % 3 {
            0 => vec2(random(2.0) - 1.0, random(long)),
            1 => vec2(random(long), 0.0),
            _ => vec2(random(long), random(long)) - vec2(long, long) * 0.5,
        };
        lines.push([a, a + by]);
    }
    let found = Lines::within(area, lines.clone());
    let mut counts = [0; 2];
    for _ in 0..20_000 {
        let corner = area.min + vec2(random(1200.0), random(800.0));
        let plate = Rect::from_min_size(corner, vec2(random(60.0), random(26.0)));
        let meets = lines.iter().any(|l| l[0].is_finite() && crosses(plate, l[0], l[1]));
        assert_eq!(found.meet(plate), meets, "{plate:?}");
        counts[usize::from(meets)] += 1;
    }
    assert!(counts[0] > 1000 && counts[1] > 1000, "{counts:?}");
    assert!(!Lines::within(Rect::NOTHING, lines).meet(area));
}

/// A camera in numbers: where a point lies on the screen, seen from a pose.
fn seen(pose: &Pose, area: Rect, point: Vec3) -> Option<Pos2> {
    let eye = pose.transform();
    let p = eye.rotation.inverse() * (point - eye.translation);
    let depth = -p.z;
    let scale = area.height() / (2.0 * (pose.lens / 2.0).tan() * depth);
    (depth > 0.05).then(|| area.center() + vec2(p.x, -p.y) * scale)
}

/// What is drawn over the scene at a stage, seen from a view and as near as `closer` says.
fn drawn(app: &App, view: NamedView, size: [f32; 2], closer: f32) -> Vec<(Rank, Quad)> {
    let (bodies, shown) = (app.world().resource::<Bodies>(), state(app));
    let theme = Theme::shipped().unwrap();
    let palette = theme.palette(Look::Day);
    let area = Rect::from_min_size(pos2(300.0, 40.0), vec2(size[0], size[1]));
    let whole = standwell::viewer::camera::framed(bodies);
    let mut pose =
        Pose::default().seen_from(view).fitted(&whole, area.width() / area.height(), 0.1);
    pose.span /= closer;
    let project = |p: Vec3| seen(&pose, area, p);
    let view = View { state: shown, palette, text: &theme.text };
    let mut facts = Facts::default();
    facts.follow(shown.review.as_ref().unwrap(), shown.revision, shown.stage);
    let over = Over { view, facts: &facts, bodies, pose, area, project: &project, empty: false };
    let ctx = egui::Context::default();
    let mut out = Vec::new();
    for pass in 0..3 {
        let output = ctx.run_ui(egui::RawInput::default(), |ui| {
            if pass == 0 {
                style::apply(ui.ctx(), palette, &theme.text);
                style::set_fonts(ui.ctx());
            } else {
                out = overlay::placed(&ui.ctx().layer_painter(egui::LayerId::background()), &over);
            }
        });
        drop(output);
    }
    out
}

fn shipped(job: &str, stage: usize) -> App {
    let text = standwell::cli::shipped::find(job).unwrap().text;
    let review = state_of(text).review.unwrap();
    let mut app = showing((*review).clone());
    let mut s = app.world_mut().resource_mut::<standwell::viewer::state::ViewerState>();
    s.stage = stage.min(s.last_stage());
    app
}

/// In every view, at three window sizes, from far and near: no two labels touch. Seen whole, every
/// grid line has its name, and the whole lengths are there.
#[test]
fn labels_never_lie_on_one_another() {
    for (job, stage) in [("faulty-floor", 11), ("slab-edge", 40), ("stripped-floor", 999)] {
        let app = shipped(job, stage);
        let assembly = &state(&app).review.as_ref().unwrap().assembly;
        let mut lines: Vec<&str> = assembly.grid_lines.iter().map(|l| l.name.as_str()).collect();
        lines.sort_unstable();
        lines.dedup();
        for view in NamedView::ALL {
            for size in [[560.0, 420.0], [940.0, 650.0], [1500.0, 900.0]] {
                for closer in [1.0, 4.0] {
                    let all = drawn(&app, view, size, closer);
                    for (i, a) in all.iter().enumerate() {
                        for b in &all[..i] {
                            assert!(!a.1.touches(&b.1), "{job} {view:?} {size:?}: {a:?} {b:?}");
                        }
                    }
                    let of = |rank: Rank| all.iter().filter(|l| l.0 == rank).count();
                    if view == NamedView::Corner && closer == 1.0 && size[0] > 900.0 {
                        assert_eq!(of(Rank::Line), lines.len(), "{job} {size:?}");
                        assert!(of(Rank::Whole) >= 2, "{job} {size:?}: {} whole", of(Rank::Whole));
                        assert!(of(Rank::Level) >= 2, "{job} {size:?}: {} levels", of(Rank::Level));
                    }
                }
            }
        }
    }
}

/// A square about a point and beside it; and near by, no circle hangs in the middle of what is built.
#[test]
fn a_point_is_among_others_unless_they_are_all_on_one_side() {
    let square = [pos2(0.0, 0.0), pos2(10.0, 0.0), pos2(10.0, 10.0), pos2(0.0, 10.0)];
    assert!(among(&square, pos2(4.0, 7.0)));
    assert!(!among(&square, pos2(12.0, 5.0)) && !among(&square, pos2(-1.0, -1.0)));
    assert!(!among(&[], pos2(0.0, 0.0)));
}

/// Seen from the front or the side, lines that run away from the eye stand in one row below the
/// feet; those that run across would lie on one another and are left out.
#[test]
fn front_and_side_views_name_one_family_of_lines_in_a_row() {
    for (job, stage) in [("faulty-floor", 11), ("sound-floor", 5)] {
        let app = shipped(job, stage);
        let lines = &state(&app).review.as_ref().unwrap().assembly.grid_lines;
        for (view, letters) in [(NamedView::Front, true), (NamedView::Side, false)] {
            let named = |l: &&standwell::assembly::model::GridLine| {
                l.name.starts_with(|c: char| c.is_ascii_alphabetic()) == letters
            };
            let names: std::collections::BTreeSet<&str> =
                lines.iter().filter(named).map(|l| l.name.as_str()).collect();
            let all = drawn(&app, view, [940.0, 650.0], 1.0);
            let row: Vec<f32> =
                all.iter().filter(|l| l.0 == Rank::Line).map(|l| l.1.bounds().center().y).collect();
            assert_eq!(row.len(), names.len(), "{job} {view:?}");
            assert!(row.iter().all(|y| (y - row[0]).abs() < 4.0), "{job} {view:?}: {row:?}");
        }
    }
}

/// The strip's states, from the sequence's own sets, each with a drawing of its own.
#[test]
fn every_state_of_the_strip_is_marked() {
    let text = standwell::cli::shipped::find("stripped-floor").unwrap().text;
    let review = state_of(text).review.unwrap();
    let mut seen = std::collections::BTreeSet::new();
    for stage in &review.sequence.stages {
        let all = marks(&review, stage);
        let strip = &stage.strip;
        for (id, mark) in &all {
            seen.insert(*mark);
            let there = stage.state(*id).is_there();
            match mark {
                Mark::Undisturbed => assert!(strip.undisturbed.contains(id) && there),
                Mark::Snugged => assert!(strip.snugged.contains(id) && there),
                Mark::Secured => {
                    assert!(strip.secured.contains(id) && there);
                    assert!(!strip.undisturbed.contains(id), "one mark may not hide the other");
                }
                Mark::Kept => {
                    assert!(strip.secured.contains(id) && strip.undisturbed.contains(id) && there);
                }
                Mark::BackedOff => assert!(strip.out.contains(id) && there),
                Mark::Taken => assert!(strip.out.contains(id) && !there),
                Mark::Trapped => assert!(strip.trapped.iter().any(|(s, _)| s == id)),
            }
        }
        let marked = |id| all.iter().any(|(m, _)| m == id);
        assert!(strip.out.iter().all(marked) && strip.trapped.iter().all(|(s, _)| marked(s)));
    }
    assert!(seen.contains(&Mark::Undisturbed) && seen.len() >= 3, "{seen:?}");
}
