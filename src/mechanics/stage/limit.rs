//! How far a sideways load may grow before something goes over: the linear program of
//! [`crate::mechanics::collapse`], in which feet only push.
//!
//! Two-way parts are split off by the rank of their compatibility matrix, the feet act one way.
//! A foot is taken as one-way where a diagonal reaches its post, or where it hardly bears: what
//! every other post brings to its foot is the weight at its head, whatever pushes sideways.
//! Going over is asked here, not sliding: a foot that bears holds sideways.

use super::idealise::StageFrame;
use crate::mechanics::answers::Unknown;
use crate::mechanics::collapse::{Collapse, Limit};
use crate::mechanics::frame::{Dof, Frame, LoadCase, MemberKind, Support};
use crate::mechanics::one_way::OneWay;
use std::collections::BTreeSet;

/// Sideways hold of a foot over what it bears: so much that it does not slide first.
const HELD: f64 = 1000.0;
/// Feet that bear less than this are one-way whatever is fixed to their post, newtons.
const HARDLY: f64 = 1.0;
/// The program's bounds agree to this; the answer is taken on the safe side by as much.
const AGREE: f64 = 1e-5;

/// A stage's frame as the linear program takes it.
#[derive(Clone, Debug)]
pub struct Feet {
    frame: Frame,
    parts: Vec<OneWay>,
}

/// When a load that grows brings something down.
#[derive(Clone, Debug, PartialEq)]
pub enum Goes {
    /// At this share of the load, on the safe side, and how. 0: under its weight alone.
    At(f64, Vec<[f64; 6]>),
    Never,
}

impl Feet {
    /// `pins` stop the motions the frame has with all feet down.
    #[must_use]
    pub fn new(frame: &StageFrame, pins: &[Dof], weight_at_feet: &[f64]) -> Self {
        let mut braced: BTreeSet<usize> = BTreeSet::new();
        for member in frame.frame.members.iter().filter(|m| m.kind == MemberKind::Bar) {
            let run = frame.frame.nodes[member.j] - frame.frame.nodes[member.i];
            if run.z.abs() > 1e-3 * run.norm() {
                braced.extend([member.i, member.j]);
            }
        }
        // What reaches a post reaches its foot, through the posts it stands on.
        let beams: Vec<_> =
            frame.frame.members.iter().filter(|m| m.kind == MemberKind::Beam).collect();
        loop {
            let before = braced.len();
            for beam in &beams {
                if braced.contains(&beam.i) || braced.contains(&beam.j) {
                    braced.extend([beam.i, beam.j]);
                }
            }
            if braced.len() == before {
                break;
            }
        }
        let parts = frame
            .feet
            .iter()
            .zip(weight_at_feet)
            .filter(|((node, _), weight)| braced.contains(node) || **weight < HARDLY)
            .map(|(&(node, _), _)| OneWay::Bears { node, friction: HELD })
            .collect();
        Self { frame: pin_down(&frame.frame, pins), parts }
    }

    /// Splits the two-way part off; done once for all loads of a stage.
    ///
    /// # Errors
    /// Where the free motions of the two-way part cannot be told.
    pub fn program(&self) -> Result<Limit<'_>, Unknown> {
        Limit::new(&self.frame, &self.parts)
    }
}

/// The share of `push`, beside `weight`, at which something goes over.
///
/// # Errors
/// Where the bounds of the program do not meet.
pub fn goes(program: &Limit<'_>, weight: &LoadCase, push: &LoadCase) -> Result<Goes, Unknown> {
    Ok(match program.collapse(weight, push)? {
        Collapse::At { factor, motion } => Goes::At(factor * (1.0 - AGREE), motion),
        Collapse::Already { motion } => Goes::At(0.0, motion),
        Collapse::Never => Goes::Never,
    })
}

/// Asks how far a push may grow beside the weight of the stage at hand.
pub type Ask<'a> = &'a dyn Fn(&LoadCase) -> Result<Goes, Unknown>;

/// The frame with the given degrees of freedom held.
#[must_use]
pub fn pin_down(frame: &Frame, pins: &[Dof]) -> Frame {
    let mut pinned = frame.clone();
    for &(node, dof) in pins {
        let mut fixed = [false; 6];
        fixed[dof] = true;
        pinned.supports.push(Support { node, fixed });
    }
    pinned
}
