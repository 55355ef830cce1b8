//! What is written over the scene at a stage wherever the eye is: found out once a stage, not once a
//! frame.
//!
//! Known to work by `tests/viewer/passes.rs`: labels of a stage are the same whichever stage was shown
//! before.

use crate::assembly::MemberId;
use crate::assembly::model::GridLine;
use crate::review::Review;
use crate::scene::Grid;
use crate::sequence::MemberState;
use crate::viewer::stage_paint::grades;
use crate::viewer::strip_marks::{self, Mark};
use crate::viewer::theme::Grade;
use std::collections::BTreeMap;

/// Above so many members on the screen nobody looks whether a label lies over one.
const MOST: usize = 8_000;

/// One family of grid lines of a block, with a dimension string along its ends.
#[derive(Clone, Debug)]
pub struct Family {
    pub lines: Vec<GridLine>,
    /// Where they lie across, metres.
    pub positions: Vec<f64>,
}

/// Facts of one stage of one review.
#[derive(Clone, Debug, Default)]
pub struct Facts {
    /// Revision and stage they are of.
    of: Option<(u64, usize)>,
    /// Members something is found about, worst first.
    pub graded: Vec<(Grade, MemberId)>,
    /// Members in hands, with how many hands.
    pub held: Vec<(MemberId, u32)>,
    /// Members with a mark of how they stand while a slab is stripped.
    pub strip: Vec<(MemberId, Mark)>,
    /// Members that stand; none where they are too many to be looked through.
    pub standing: Vec<MemberId>,
    /// Of all lines with one name the longest, in the order of names: blocks often share lines.
    pub lines: Vec<GridLine>,
    pub families: Vec<Family>,
}

impl Facts {
    /// Brings them up to date; `revision` counts the reviews shown.
    pub fn follow(&mut self, review: &Review, revision: u64, stage: usize) {
        let key = Some((revision, stage));
        if self.of == key {
            return;
        }
        let same_review = self.of.is_some_and(|(r, _)| r == revision);
        let (lines, families) = if same_review {
            (std::mem::take(&mut self.lines), std::mem::take(&mut self.families))
        } else {
            (longest(review), families(review))
        };
        *self = Self { of: key, lines, families, ..Self::at(review, stage) };
    }

    fn at(review: &Review, stage: usize) -> Self {
        let Some(now) = review.sequence.stages.get(stage) else { return Self::default() };
        let ids = || (0..now.members.len()).map(|i| MemberId(i as u32));
        let grades = grades(review, stage);
        let mut graded: Vec<(Grade, MemberId)> =
            ids().filter_map(|id| Some((grades[id.index()]?, id))).collect();
        graded.sort_by(|a, b| b.0.cmp(&a.0).then(a.1.cmp(&b.1)));
        let hands = |id: MemberId| match now.members[id.index()] {
            MemberState::Held(hands) => Some((id, hands)),
            _ => None,
        };
        let there = |id: &MemberId| now.members[id.index()].is_there();
        let mut standing: Vec<MemberId> = ids().filter(there).take(MOST + 1).collect();
        if standing.len() > MOST {
            standing.clear();
        }
        Self {
            graded,
            held: ids().filter_map(hands).collect(),
            strip: strip_marks::marks(review, now),
            standing,
            ..Self::default()
        }
    }
}

fn longest(review: &Review) -> Vec<GridLine> {
    let length = |line: &GridLine| (line.ends[1] - line.ends[0]).norm();
    let mut longest: BTreeMap<&str, &GridLine> = BTreeMap::new();
    for line in &review.assembly.grid_lines {
        let there = longest.entry(&line.name).or_insert(line);
        if length(line) > length(there) {
            *there = line;
        }
    }
    longest.into_values().cloned().collect()
}

/// Both families of every block, those along x first.
fn families(review: &Review) -> Vec<Family> {
    let mut out = Vec::new();
    for block in &review.assembly.scene.blocks {
        let Ok(grid) = Grid::of(block) else { continue };
        let mut lines: BTreeMap<&str, &GridLine> = BTreeMap::new();
        for line in review.assembly.grid_lines.iter().filter(|l| l.block == block.name) {
            lines.entry(&line.name).or_insert(line);
        }
        for (names, positions) in [(&grid.x, block.x.positions()), (&grid.y, block.y.positions())] {
            let find = |name: &String| lines.get(name.as_str()).copied().cloned();
            if let Some(lines) = names.iter().map(find).collect::<Option<Vec<_>>>()
                && lines.len() >= 2
                && lines.len() == positions.len()
            {
                out.push(Family { lines, positions });
            }
        }
    }
    out
}
