//! Lines drawn over the scene: the path that holds or that breaks, the arrow of the fall, and the
//! frame about what is chosen or hovered.

use crate::assembly::MemberId;
use crate::review::Review;
use crate::viewer::members::Bodies;
use crate::viewer::motion;
use crate::viewer::state::ViewerState;
use crate::viewer::theme::{Look, Theme};
use crate::viewer::vocab::{Item, Selection};
use bevy::prelude::*;

/// The retained lines and what they show.
#[derive(Resource, Default)]
pub struct Drawn {
    key: Option<(u64, usize, Selection, Look)>,
    layers: Vec<(Entity, Handle<GizmoAsset>)>,
}

/// Widths of the layers in points: framing, paths, arrows.
const WIDTHS: [f32; 3] = [3.0, 5.0, 6.0];

/// A line to draw.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stretch {
    pub from: Vec3,
    pub to: Vec3,
    /// Part of a path that does not hold.
    pub broken: bool,
}

/// The path of what is chosen: a finding's path, or the ways a chosen post is held.
#[must_use]
pub fn paths(review: &Review, bodies: &Bodies, stage: usize, chosen: Option<Item>) -> Vec<Stretch> {
    let ends = |id: MemberId| bodies.members.get(id.index()).map(|b| b.ends);
    let mut out = Vec::new();
    match chosen {
        Some(Item::Finding(i)) => {
            let Some(finding) = review.findings.get(i) else { return out };
            for name in &finding.evidence.path {
                if let Some([from, to]) = review.assembly.find(name).and_then(ends) {
                    out.push(Stretch { from, to, broken: true });
                }
            }
        }
        Some(Item::Member(id)) => {
            let Some(judged) = review.stages.get(stage) else { return out };
            for hold in judged.restraint.holds.iter().filter(|h| h.post == id) {
                let broken = hold.path.is_empty();
                let members = if broken { &hold.loose_line } else { &hold.path };
                for [from, to] in members.iter().filter(|&&m| m != id).filter_map(|&m| ends(m)) {
                    out.push(Stretch { from, to, broken });
                }
            }
        }
        None => {}
    }
    out
}

/// Where the fastest point of a finding's motion goes: from, by.
#[must_use]
pub fn fall(review: &Review, bodies: &Bodies, finding: usize) -> Option<(Vec3, Vec3)> {
    let moves = motion::swing(review, finding);
    let (i, end, by) = moves
        .iter()
        .flat_map(|(i, ends)| [(*i, 0, ends[0]), (*i, 1, ends[1])])
        .max_by(|a, b| a.2.length().total_cmp(&b.2.length()))?;
    Some((bodies.members.get(i)?.ends[end], by))
}

pub fn draw(
    mut commands: Commands<'_, '_>,
    state: Res<'_, ViewerState>,
    bodies: Res<'_, Bodies>,
    theme: Res<'_, Theme>,
    mut drawn: ResMut<'_, Drawn>,
    mut assets: ResMut<'_, Assets<GizmoAsset>>,
) {
    let Some(review) = state.review.as_ref().filter(|_| bodies.revision == state.revision) else {
        return;
    };
    let key = (state.revision, state.stage, state.selection, state.look);
    if drawn.key == Some(key) {
        return;
    }
    drawn.key = Some(key);
    if drawn.layers.is_empty() {
        for width in WIDTHS {
            let handle = assets.add(GizmoAsset::default());
            let gizmo = Gizmo {
                handle: handle.clone(),
                line_config: GizmoLineConfig { width, ..default() },
                // Seen through everything: an explanation must not hide behind a tube.
                depth_bias: -1.0,
            };
            let entity = commands.spawn((gizmo, Visibility::Inherited)).id();
            drawn.layers.push((entity, handle));
        }
    }
    let palette = theme.palette(state.look);
    let mut frames = GizmoAsset::default();
    let mut lines = GizmoAsset::default();
    let mut arrows = GizmoAsset::default();
    let Selection { hovered, chosen } = state.selection;
    for (item, ink) in
        [(hovered.filter(|h| Some(*h) != chosen), palette.text_soft), (chosen, palette.selected)]
    {
        for (from, to) in item.map_or(Vec::new(), |i| members_of(review, &bodies, i)) {
            frames.line(from, to, ink.bevy());
        }
    }
    for stretch in paths(review, &bodies, state.stage, chosen) {
        let colour = if stretch.broken { palette.broken } else { palette.path }.bevy();
        if stretch.broken {
            dashed(&mut lines, stretch.from, stretch.to, colour);
        } else {
            lines.line(stretch.from, stretch.to, colour);
        }
    }
    if let Some(Item::Finding(i)) = chosen
        && let Some((from, by)) = fall(review, &bodies, i)
        && let Some(way) = by.try_normalize()
    {
        arrow(&mut arrows, from, from + way * by.length().max(0.7), palette.stop.bevy());
    }
    for ((_, handle), made) in drawn.layers.iter().zip([frames, lines, arrows]) {
        if let Some(mut there) = assets.get_mut(handle) {
            *there = made;
        }
    }
}

/// The axes of what an item is about; a finding's subjects.
fn members_of(review: &Review, bodies: &Bodies, item: Item) -> Vec<(Vec3, Vec3)> {
    let of = |id: MemberId| bodies.members.get(id.index()).map(|b| (b.ends[0], b.ends[1]));
    match item {
        Item::Member(id) => of(id).into_iter().collect(),
        Item::Finding(i) => review
            .findings
            .get(i)
            .iter()
            .flat_map(|f| &f.subjects)
            .filter_map(|n| review.assembly.find(n))
            .filter_map(of)
            .collect(),
    }
}

fn dashed(lines: &mut GizmoAsset, from: Vec3, to: Vec3, colour: Color) {
    let count = ((to - from).length() / 0.24).ceil().max(1.0) as u32;
    for k in 0..count {
        let at = |share: f32| from.lerp(to, (k as f32 + share) / count as f32);
        lines.line(at(0.0), at(0.6), colour);
    }
}

fn arrow(lines: &mut GizmoAsset, from: Vec3, to: Vec3, colour: Color) {
    let way = (to - from).normalize_or_zero();
    let side = way.any_orthonormal_vector();
    let other = way.cross(side);
    let size = ((to - from).length() * 0.3).min(0.3);
    lines.line(from, to, colour);
    for s in [side, -side, other, -other] {
        lines.line(to, to - way * size + s * size * 0.5, colour);
    }
}
