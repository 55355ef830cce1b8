//! What the check reads off the frame alone, found once while the frame is the same.

use super::clamped::{self, Beside};
use super::imperfect::Offsets;
use super::relief;
use super::resist::{self, Resistance};
use super::{Places, Subject};
use crate::assembly::MemberId;
use crate::mechanics::engine::stage_tree::{Answered, OnTree};
use crate::mechanics::stage::effective::{self, Columns};
use crate::mechanics::stage::idealise::StageFrame;
use crate::mechanics::stage::lines;
use std::collections::BTreeMap;
use std::sync::Arc;

/// What the check keeps from one stage to the next.
#[derive(Clone, Debug, Default)]
pub(in crate::mechanics::stage) struct Before {
    of_frame: Option<Arc<OfFrame>>,
    /// Answers of first order that the last check began with, and those that it settled with.
    pub(super) first: Option<Answered>,
    pub(super) last: Option<Answered>,
    pub(super) places: Places,
}

impl Before {
    /// Of the stage's frame.
    pub(super) fn of_frame(
        &mut self,
        subject: &Subject<'_>,
        tree: &OnTree<'_>,
        columns: &mut Columns,
        axes: &[[f64; 2]],
    ) -> Arc<OfFrame> {
        self.of_frame.take_if(|known| !Arc::ptr_eq(&known.frame, subject.frame));
        let new = || Arc::new(OfFrame::new(subject, tree, columns, axes));
        Arc::clone(self.of_frame.get_or_insert_with(new))
    }
}

#[derive(Debug)]
pub(super) struct OfFrame {
    frame: Arc<StageFrame>,
    /// By frame member: a number for all that it is made of.
    pub numbers: Vec<u32>,
    pub offsets: Offsets,
    pub resist: Vec<Option<Resistance>>,
    /// By post.
    pub beside: BTreeMap<MemberId, Vec<Beside>>,
    /// Posts that cannot be judged, and why.
    pub unknown: Vec<(MemberId, String)>,
    /// By axis and node: whether a bar holds it.
    pub held: Vec<Vec<bool>>,
    /// By axis: critical compression of each post between its holds.
    pub between: Vec<BTreeMap<MemberId, f64>>,
    /// By node: a number of the connected piece that it is in.
    pub connected: Vec<usize>,
    /// By axis: posts that ledgers and joists join along it, line by line.
    pub lines: Vec<Vec<Vec<MemberId>>>,
}

impl OfFrame {
    fn new(
        subject: &Subject<'_>,
        tree: &OnTree<'_>,
        columns: &mut Columns,
        axes: &[[f64; 2]],
    ) -> Self {
        let frame = subject.frame;
        let offsets = Offsets::new(subject.assembly, subject.pack, frame);
        let (resist, mut unknown) = resist::resistances(subject);
        let (beside, more) = clamped::beside(subject);
        unknown.extend(offsets.unknown.iter().cloned());
        unknown.extend(more);
        Self {
            frame: Arc::clone(frame),
            numbers: (0..frame.frame.members.len()).map(|k| tree.number(k)).collect(),
            offsets,
            resist,
            beside,
            unknown,
            held: axes.iter().map(|&axis| relief::holds(frame, axis)).collect(),
            between: (axes.iter())
                .map(|&axis| effective::between_holds(frame, columns, axis))
                .collect(),
            connected: effective::connected(frame),
            lines: (axes.iter())
                .map(|&axis| lines::in_line(frame, axis).into_iter().map(|line| line.0).collect())
                .collect(),
        }
    }

    /// The least resistance of a post's pieces against bending, newton metres; zero where it is not known.
    pub(super) fn weakest(&self, post: MemberId) -> f64 {
        let pieces = self.frame.of_post.get(&post).into_iter().flat_map(Clone::clone);
        let least = pieces.map(|k| self.resist[k].map_or(0.0, |r| r.moment)).reduce(f64::min);
        least.unwrap_or(0.0)
    }
}
