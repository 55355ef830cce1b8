//! A member under one compression, made ready for the moments of many displacements.

use super::beam_column::{Along, Profile};
use super::element::{Element, PLACES, TURN};
use super::plane::{Plane, exact};
use nalgebra::Vector3;

/// One member under its compression.
pub(super) struct Bent<'e> {
    element: &'e Element,
    planes: [Plane; 2],
    profile: [Profile; 2],
}

/// Moments along a member in its two bending planes, with what they may bulge by in between.
#[derive(Clone, Copy, Debug)]
pub(super) struct Moments {
    pub along: [Along; 2],
    pub bulge: [f64; 2],
}

impl<'e> Bent<'e> {
    /// `None` for bars, and where the compression is too near the buckling load of the piece.
    pub(super) fn new(element: &'e Element, compression: f64) -> Option<Self> {
        let plane = |p: usize| {
            let own = exact(element.bending[p], element.length, -compression)?;
            Some(Plane::new(&own, [0.0; 4], element.ends[p]))
        };
        let profile = |p: usize| {
            (element.bending[p] > 0.0)
                .then(|| Profile::new(element.bending[p], element.length, compression))
                .flatten()
        };
        let (first, bends) = (plane(0)?, profile(0)?);
        if element.bending[0] == element.bending[1] && element.ends[0] == element.ends[1] {
            // A round tube, joined alike both ways.
            let planes = [first.clone(), first];
            return Some(Self { element, planes, profile: [bends, bends] });
        }
        Some(Self { element, planes: [first, plane(1)?], profile: [bends, profile(1)?] })
    }

    /// Moments under displacements of all nodes of the frame, with a uniform load across the
    /// member (global axes, force per length) that was part of what moved them.
    pub(super) fn moments(
        &self,
        moved: &[[f64; 6]],
        compression: f64,
        load: Option<[f64; 3]>,
    ) -> Option<Moments> {
        let mut local = [0.0; 12];
        for (end, &node) in self.element.nodes.iter().enumerate() {
            local[6 * end..6 * end + 6].copy_from_slice(&moved[node]);
        }
        if let Some(arms) = &self.element.arms {
            arms.move_ends(&mut local);
        }
        for at in [0, 3, 6, 9] {
            let global = Vector3::from_column_slice(&local[at..at + 3]);
            local[at..at + 3].copy_from_slice((self.element.axes * global).as_slice());
        }
        let across = load.map(|l| self.element.local_load(l));
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
                self.element.loaded(plane, -compression, load)?.forces(nodes)
            };
            let profile = &self.profile[plane];
            // The nodes turn the first end against the bending that is counted positive.
            out.along[plane] = profile.moments([-forces[1], forces[3]], load);
            out.bulge[plane] = profile.bulge(&out.along[plane], load);
        }
        Some(out)
    }
}
