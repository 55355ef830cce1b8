//! The few materials everything is drawn with. A change of theme changes them in place.

use crate::assembly::Role;
use crate::viewer::theme::{Grade, Ink, Palette};
use bevy::prelude::*;
use std::collections::BTreeMap;

/// What a surface is painted as.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Coat {
    /// Its own colour, by role.
    Own(Role),
    /// Out of focus.
    Pale,
    /// Put in or released in this step.
    Step,
    /// Kept up by hands.
    Held,
    Hazard(Grade),
    Slab,
    Concrete,
    SlabGhost,
    Rail,
}

/// What an edge is drawn as.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Stroke {
    Edge,
    Ghost,
    Pale,
    Step,
    Held,
    Hazard(Grade),
}

/// Handles by use.
#[derive(Resource, Default)]
pub struct Materials {
    coats: BTreeMap<Coat, Handle<StandardMaterial>>,
    strokes: BTreeMap<Stroke, Handle<StandardMaterial>>,
}

const ROLES: [Role; 12] = [
    Role::Post,
    Role::Prop,
    Role::Ledger,
    Role::Joist,
    Role::Filler,
    Role::DropBeam,
    Role::Brace,
    Role::PlanBrace,
    Role::TieIn,
    Role::Clip,
    Role::Sill,
    Role::Sheet,
];

fn all_coats() -> Vec<Coat> {
    let mut out: Vec<Coat> = ROLES.iter().map(|&r| Coat::Own(r)).collect();
    out.extend(Grade::ALL.map(Coat::Hazard));
    out.extend([
        Coat::Pale,
        Coat::Step,
        Coat::Held,
        Coat::Slab,
        Coat::Concrete,
        Coat::SlabGhost,
        Coat::Rail,
    ]);
    out
}

fn all_strokes() -> Vec<Stroke> {
    let mut out = vec![Stroke::Edge, Stroke::Ghost, Stroke::Pale, Stroke::Step, Stroke::Held];
    out.extend(Grade::ALL.map(Stroke::Hazard));
    out
}

impl Materials {
    /// Makes them, or changes the ones there are to another palette.
    pub fn mix(&mut self, palette: &Palette, assets: &mut Assets<StandardMaterial>) {
        for coat in all_coats() {
            put(self.coats.entry(coat), assets, coat_material(coat, palette));
        }
        for stroke in all_strokes() {
            put(self.strokes.entry(stroke), assets, stroke_material(stroke, palette));
        }
    }
    /// Empty until [`Self::mix`].
    #[must_use]
    pub fn coat(&self, coat: Coat) -> Handle<StandardMaterial> {
        self.coats.get(&coat).cloned().unwrap_or_default()
    }
    #[must_use]
    pub fn stroke(&self, stroke: Stroke) -> Handle<StandardMaterial> {
        self.strokes.get(&stroke).cloned().unwrap_or_default()
    }
}

fn put<K: Ord>(
    entry: std::collections::btree_map::Entry<'_, K, Handle<StandardMaterial>>,
    assets: &mut Assets<StandardMaterial>,
    material: StandardMaterial,
) {
    use std::collections::btree_map::Entry;
    match entry {
        Entry::Vacant(e) => {
            e.insert(assets.add(material));
        }
        Entry::Occupied(e) => {
            if let Some(mut there) = assets.get_mut(e.get()) {
                *there = material;
            }
        }
    }
}

fn coat_ink(coat: Coat, p: &Palette) -> Ink {
    match coat {
        Coat::Own(role) => p.role(role),
        Coat::Pale => p.pale,
        Coat::Step => p.step,
        Coat::Held => p.held,
        Coat::Hazard(grade) => p.grade(grade),
        Coat::Slab => p.slab,
        Coat::Concrete | Coat::SlabGhost => p.concrete,
        Coat::Rail => p.rail,
    }
}

fn coat_material(coat: Coat, p: &Palette) -> StandardMaterial {
    let ink = coat_ink(coat, p).bevy();
    let matt = StandardMaterial {
        base_color: ink,
        perceptual_roughness: 0.9,
        reflectance: 0.2,
        ..default()
    };
    match coat {
        Coat::SlabGhost => StandardMaterial {
            base_color: ink.with_alpha(0.07),
            alpha_mode: AlphaMode::Blend,
            unlit: true,
            double_sided: true,
            cull_mode: None,
            ..matt
        },
        Coat::Concrete => StandardMaterial {
            base_color: ink.with_alpha(0.55),
            alpha_mode: AlphaMode::Blend,
            ..matt
        },
        // A warning keeps its colour in the shade.
        Coat::Hazard(_) | Coat::Step | Coat::Held => {
            StandardMaterial { emissive: ink.to_linear() * 0.12, ..matt }
        }
        _ => matt,
    }
}

fn stroke_material(stroke: Stroke, p: &Palette) -> StandardMaterial {
    let ink = match stroke {
        Stroke::Edge => p.edge,
        Stroke::Ghost => p.ghost,
        Stroke::Pale => p.pale.mixed(p.edge, 0.2),
        Stroke::Step => p.step.mixed(p.edge, 0.45),
        Stroke::Held => p.held.mixed(p.edge, 0.35),
        Stroke::Hazard(grade) => p.grade(grade).mixed(p.edge, 0.45),
    };
    StandardMaterial { base_color: ink.bevy(), unlit: true, ..default() }
}
