//! A member under one compression, made ready for the moments of many displacements.

use super::beam_column::{Along, Profile};
use super::element::{Element, PLACES, TURN};
use super::memo::Memo;
use super::plane::{Own, Plane, exact};
use nalgebra::Vector3;
use std::sync::Arc;

/// A member under its compression, wherever it stands.
#[derive(Clone, Debug)]
pub(super) struct Bent {
    /// Before releases, and with them.
    own: [Own; 2],
    planes: [Plane; 2],
    profile: [Profile; 2],
}

/// Kept at most, some two thousand bytes each.
const MOST: usize = 5000;

/// Members bent before: those that are alike and pressed alike are one.
#[derive(Clone, Debug, Default)]
pub(super) struct Bends(Memo<(u32, u64), Option<Arc<Bent>>, MOST>);

impl Bends {
    /// The same as [`Bent::new`]. `number` says all that the element is made of but its nodes.
    pub(super) fn of(
        &mut self,
        number: u32,
        element: &Element,
        compression: f64,
    ) -> Option<Arc<Bent>> {
        let key = (number, compression.to_bits());
        self.0.of(key, || Bent::new(element, compression).map(Arc::new))
    }
}

/// Moments along a member in its two bending planes, with what they may bulge by in between.
#[derive(Clone, Copy, Debug)]
pub(super) struct Moments {
    pub along: [Along; 2],
    pub bulge: [f64; 2],
}

impl Bent {
    /// `None` for bars, and where the compression is too near the buckling load of the piece.
    pub(super) fn new(element: &Element, compression: f64) -> Option<Self> {
        let plane = |p: usize| {
            let own = exact(element.bending[p], element.length, -compression)?;
            Some((own, Plane::new(&own, [0.0; 4], element.ends[p])))
        };
        let profile = |p: usize| {
            (element.bending[p] > 0.0)
                .then(|| Profile::new(element.bending[p], element.length, compression))
                .flatten()
        };
        let (first, bends) = (plane(0)?, profile(0)?);
        if element.bending[0] == element.bending[1] && element.ends[0] == element.ends[1] {
            // A round tube, joined alike both ways.
            let (own, plane) = first;
            let planes = [plane.clone(), plane];
            return Some(Self { own: [own; 2], planes, profile: [bends, bends] });
        }
        let second = plane(1)?;
        let (own, planes) = ([first.0, second.0], [first.1, second.1]);
        Some(Self { own, planes, profile: [bends, profile(1)?] })
    }

    /// Moments of a member of this kind under displacements of all nodes of the frame, with a uniform load across the
    /// member (global axes, force per length) that was part of what moved them.
    pub(super) fn moments(
        &self,
        element: &Element,
        moved: &[[f64; 6]],
        load: Option<[f64; 3]>,
    ) -> Option<Moments> {
        let mut local = [0.0; 12];
        for (end, &node) in element.nodes.iter().enumerate() {
            local[6 * end..6 * end + 6].copy_from_slice(&moved[node]);
        }
        if let Some(arms) = &element.arms {
            arms.move_ends(&mut local);
        }
        for at in [0, 3, 6, 9] {
            let global = Vector3::from_column_slice(&local[at..at + 3]);
            local[at..at + 3].copy_from_slice((element.axes * global).as_slice());
        }
        let across = load.map(|l| element.local_load(l));
        let mut out = Moments { along: [[0.0; super::beam_column::SAMPLES]; 2], bulge: [0.0; 2] };
        for plane in 0..2 {
            let places = PLACES[plane];
            let nodes = [
                local[places[0]],
                TURN[plane] * local[places[1]],
                local[places[2]],
                TURN[plane] * local[places[3]],
            ];
            let load = across.map_or(0.0, |l| l[1 + plane]);
            if load == 0.0 && nodes == [0.0; 4] {
                // Nothing bends it this way.
                continue;
            }
            let forces = if load == 0.0 {
                self.planes[plane].forces(nodes)
            } else {
                element.loaded(&self.own[plane], plane, load).forces(nodes)
            };
            let profile = &self.profile[plane];
            // The nodes turn the first end against the bending that is counted positive.
            out.along[plane] = profile.moments([-forces[1], forces[3]], load);
            out.bulge[plane] = profile.bulge(&out.along[plane], load);
        }
        Some(out)
    }
}
