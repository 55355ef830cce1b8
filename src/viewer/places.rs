//! Tells where things lie in the window, for whoever drives it with a pointer and not by eye.
//!
//! Only where the environment variable [`VARIABLE`] names a file: every widget with a name, and every
//! member that is there, a line each with its kind, its middle in the window's points, and its name,
//! apart by tabs. Behind the kind stands `off` where it cannot be used, `here` where the keyboard is. The file is written whole whenever something moved. Known to work by
//! `tests/window/drive.sh`, which finds everything it clicks in it.

use crate::viewer::camera::{SceneCamera, SceneRect, on_screen};
use crate::viewer::members::Bodies;
use crate::viewer::state::ViewerState;
use bevy::prelude::*;
use bevy_egui::egui::accesskit::{Node, NodeId, Role, TreeUpdate};
use bevy_egui::{EguiContext, EguiOutput, EguiPostUpdateSet};
use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::path::PathBuf;

/// The variable that names the file.
pub const VARIABLE: &str = "STANDWELL_PLACES";

/// The file, and what was last written into it.
#[derive(Resource)]
struct Places {
    file: PathBuf,
    written: String,
}

/// Does nothing where nobody asks.
pub fn plugin(app: &mut App) {
    let Some(file) = std::env::var_os(VARIABLE).map(PathBuf::from) else { return };
    app.insert_resource(Places { file, written: String::new() })
        .add_systems(PreUpdate, name_widgets)
        .add_systems(PostUpdate, tell.after(EguiPostUpdateSet::ProcessOutput));
}

/// egui names its widgets for screen readers, where it is asked to.
fn name_widgets(mut contexts: Query<'_, '_, &mut EguiContext, Added<EguiContext>>) {
    for mut context in &mut contexts {
        context.get_mut().enable_accesskit();
    }
}

fn tell(
    mut places: ResMut<'_, Places>,
    mut contexts: Query<'_, '_, (&mut EguiContext, &EguiOutput)>,
    state: Res<'_, ViewerState>,
    bodies: Res<'_, Bodies>,
    rect: Res<'_, SceneRect>,
    cameras: Query<'_, '_, (&Camera, &GlobalTransform), With<SceneCamera>>,
) {
    let mut text = String::new();
    for (mut context, output) in &mut contexts {
        if let Some(tree) = &output.platform_output.accesskit_update {
            widgets(tree, context.get_mut().zoom_factor(), &mut text);
        }
    }
    if text.is_empty() {
        return;
    }
    if let (Ok((camera, eye)), Some(review), Some(rect)) = (cameras.single(), &state.review, rect.0)
        && let Some(stage) = review.sequence.stages.get(state.stage)
        && bodies.revision == state.revision
    {
        for (member, body) in review.assembly.members.iter().zip(&bodies.members) {
            let middle = (body.ends[0] + body.ends[1]) * 0.5;
            let Some(at) = on_screen(camera, eye, middle) else { continue };
            if stage.state(member.id).is_there() && rect.contains(at) {
                line(&mut text, "member", at, &member.name);
            }
        }
    }
    if text != places.written {
        // What drives the window may read it at any moment: it is never half there.
        let beside = places.file.with_extension("new");
        let done =
            std::fs::write(&beside, &text).and_then(|()| std::fs::rename(&beside, &places.file));
        if done.is_ok() {
            places.written = text;
        }
    }
}

fn line(text: &mut String, kind: &str, at: Vec2, name: &str) {
    let name = name.replace(['\t', '\n'], " ");
    // Writing to a string does not fail.
    let _ = writeln!(text, "{kind}\t{:.0}\t{:.0}\t{name}", at.x, at.y);
}

fn widgets(tree: &TreeUpdate, zoom: f32, text: &mut String) {
    let nodes: BTreeMap<NodeId, &Node> = tree.nodes.iter().map(|(id, n)| (*id, n)).collect();
    // From the top down and from left to right: egui gives them in no order.
    let mut all: Vec<(i64, i64, String, Vec2)> = Vec::new();
    for (id, node) in &tree.nodes {
        if node.role() == Role::TextRun {
            continue;
        }
        let own = node.label().or(node.value()).filter(|_| node.labelled_by().is_empty());
        let by = node.labelled_by().first().and_then(|id| nodes.get(id));
        let name = own.or_else(|| by.and_then(|n| n.label().or(n.value())));
        let (Some(name), Some(bounds)) = (name, node.bounds()) else { continue };
        let off = match (node.is_disabled(), *id == tree.focus) {
            (true, _) => " off",
            (_, true) => " here",
            _ => "",
        };
        let middle = [(bounds.x0 + bounds.x1) / 2.0, (bounds.y0 + bounds.y1) / 2.0];
        let at = Vec2::from(middle.map(|v| v as f32)) * zoom;
        let name = format!("{:?}{off}\t{name}", node.role());
        all.push((at.y.round() as i64, at.x.round() as i64, name, at));
    }
    all.sort_by(|a, b| (a.0, a.1, &a.2).cmp(&(b.0, b.1, &b.2)));
    for (.., name, at) in all {
        let (kind, name) = name.split_once('\t').unwrap_or((&name, ""));
        line(text, kind, at, name);
    }
}
