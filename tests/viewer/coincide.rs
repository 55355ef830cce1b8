//! Nothing drawn lies exactly on something drawn in another look: which of the two would be seen
//! would depend on the order they happen to be drawn in, and the picture on the run.

use super::plugin::showing;
use bevy::mesh::PrimitiveTopology;
use bevy::prelude::*;
use standwell::assembly::Role;
use standwell::viewer::coats::{CoatMaterial, LINE_STEP, code, line_strength};
use standwell::viewer::materials::{Coat, Stroke};
use standwell::viewer::scenery::ShowsWhen;
use standwell::viewer::stage_paint::Paint;
use standwell::viewer::theme::Grade;
use standwell::viewer::vocab::Intent;
use std::collections::BTreeSet;

fn shipped(job: &str) -> standwell::review::Review {
    let text = standwell::cli::shipped::find(job).unwrap().text;
    let loaded = standwell::scene::read(text, std::path::Path::new(job)).unwrap();
    standwell::review::judge(loaded, &|_, _| true).unwrap()
}

/// The slab to come and the slab being cast are the same shape in the same place: one shows, body
/// and lines alike, before and while it is cast.
#[test]
fn a_slab_shows_as_concrete_or_as_to_come_and_never_as_both() {
    let review = shipped("stripped-floor");
    let pours: Vec<bool> = review.sequence.stages.iter().map(|s| !s.loads.is_empty()).collect();
    let cast = pours.iter().position(|p| *p).unwrap();
    let mut app = showing(review);
    for (stage, concrete) in [(cast - 1, false), (cast, true)] {
        app.world_mut().write_message(Intent::GoToStage(stage));
        app.update();
        let mut parts = app.world_mut().query::<(&ShowsWhen, &Visibility)>();
        let mut shown = |wanted: fn(&ShowsWhen) -> bool| {
            let mine = parts.iter(app.world()).filter(|p| wanted(p.0));
            mine.map(|p| *p.1 != Visibility::Hidden).collect::<Vec<_>>()
        };
        let solid = shown(|w| matches!(w, ShowsWhen::Pouring(_)));
        let ghost = shown(|w| matches!(w, ShowsWhen::NotPouring(_)));
        assert_eq!(solid, [concrete; 2], "body and lines of the concrete at stage {stage}");
        assert_eq!(ghost, [!concrete; 2], "body and lines of the slab to come at stage {stage}");
    }
}

/// Sheets side by side share an edge, and where one is in another look two looks lie on one line.
/// Whatever is drawn first, the stronger look is seen: every look of a line is nearer to the eye than
/// the next weaker one by far more than single precision loses, and all lines are drawn that way.
#[test]
fn of_lines_on_one_another_the_stronger_look_is_seen() {
    let strokes = [Stroke::Ghost, Stroke::Pale, Stroke::Edge, Stroke::Step, Stroke::Held];
    let mut strengths: Vec<f32> = strokes.into_iter().map(line_strength).collect();
    strengths.extend(Grade::ALL.map(|g| line_strength(Stroke::Hazard(g))));
    strengths.sort_by(f32::total_cmp);
    assert!(strengths.windows(2).all(|w| w[1] - w[0] >= 1.0), "{strengths:?}");
    assert!(line_strength(Stroke::Hazard(Grade::Stop)) >= *strengths.last().unwrap());
    // At 500 m, several steps of single precision.
    const { assert!(LINE_STEP > 500.0 * 3.0 * f32::EPSILON) };

    let mut app = showing(shipped("stripped-floor"));
    let mut plain = app.world_mut().query::<(&Mesh3d, &MeshMaterial3d<StandardMaterial>)>();
    let mut coated = app.world_mut().query::<(&Mesh3d, &MeshMaterial3d<CoatMaterial>)>();
    let world = app.world();
    let is_lines = |mesh: &Mesh3d| {
        let mesh = world.resource::<Assets<Mesh>>().get(&mesh.0).unwrap();
        mesh.primitive_topology() == PrimitiveTopology::LineList
    };
    for (_, material) in plain.iter(world).filter(|m| is_lines(m.0)) {
        let material = world.resource::<Assets<StandardMaterial>>().get(&material.0).unwrap();
        assert_eq!(material.alpha_mode, AlphaMode::Blend, "only the ground's grid");
    }
    assert!(coated.iter(world).filter(|m| is_lines(m.0)).count() > 4);
}

/// Two looks never read as one, nor as none.
#[test]
fn every_look_has_a_number_of_its_own() {
    let mut paints = vec![Paint::NOTHING];
    let coats = [Coat::Pale, Coat::Step, Coat::Held, Coat::Own(Role::Post), Coat::Own(Role::Sheet)];
    for coat in coats.into_iter().chain(Grade::ALL.map(Coat::Hazard)) {
        for stroke in [Stroke::Edge, Stroke::Pale, Stroke::Step, Stroke::Held] {
            paints.push(Paint { coat: Some(coat), stroke: Some(stroke) });
        }
    }
    paints.push(Paint { coat: None, stroke: Some(Stroke::Ghost) });
    let codes: BTreeSet<u32> = paints.iter().map(|p| code(*p)).collect();
    assert_eq!(codes.len(), paints.len());
    assert_eq!(code(Paint::NOTHING), 0);
}
