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

/// Handles by use, for everything but members and lines, which [`crate::viewer::coats`] paints.
#[derive(Resource, Default)]
pub struct Materials {
    coats: BTreeMap<Coat, Handle<StandardMaterial>>,
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

/// Every coat, always in this order.
pub(super) fn all_coats() -> impl Iterator<Item = Coat> {
    let rest = [
        Coat::Pale,
        Coat::Step,
        Coat::Held,
        Coat::Slab,
        Coat::Concrete,
        Coat::SlabGhost,
        Coat::Rail,
    ];
    ROLES.into_iter().map(Coat::Own).chain(Grade::ALL.map(Coat::Hazard)).chain(rest)
}

/// Every stroke, always in this order.
pub(super) fn all_strokes() -> impl Iterator<Item = Stroke> {
    let plain = [Stroke::Edge, Stroke::Ghost, Stroke::Pale, Stroke::Step, Stroke::Held];
    plain.into_iter().chain(Grade::ALL.map(Stroke::Hazard))
}

impl Coat {
    /// The share of its colour that shines in the shade: a warning keeps its colour there.
    pub(super) fn shine(self) -> f32 {
        match self {
            Self::Hazard(_) | Self::Step | Self::Held => 0.12,
            _ => 0.0,
        }
    }
}

impl Materials {
    /// Makes them, or changes the ones there are to another palette.
    pub fn mix(&mut self, palette: &Palette, assets: &mut Assets<StandardMaterial>) {
        for coat in all_coats() {
            put(self.coats.entry(coat), assets, coat_material(coat, palette));
        }
    }
    /// Empty until [`Self::mix`].
    #[must_use]
    pub fn coat(&self, coat: Coat) -> Handle<StandardMaterial> {
        self.coats.get(&coat).cloned().unwrap_or_default()
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

pub(super) fn coat_ink(coat: Coat, p: &Palette) -> Ink {
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
        _ => StandardMaterial { emissive: ink.to_linear() * coat.shine(), ..matt },
    }
}

/// The colour of a line.
pub(super) fn stroke_ink(stroke: Stroke, p: &Palette) -> Ink {
    match stroke {
        Stroke::Edge => p.edge,
        Stroke::Ghost => p.ghost,
        Stroke::Pale => p.pale.mixed(p.edge, 0.2),
        Stroke::Step => p.step.mixed(p.edge, 0.45),
        Stroke::Held => p.held.mixed(p.edge, 0.35),
        Stroke::Hazard(grade) => p.grade(grade).mixed(p.edge, 0.45),
    }
}
