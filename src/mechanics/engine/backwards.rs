//! A strand's factor as a solve goes back through it: one panel after another, read from end to end.
//!
//! Fronts lie where there was room when they were made. A large strand that is solved once a stage has been
//! forgotten by the caches meanwhile, and each front is waited for. Copied in the order in which they are
//! read, with rows as places in the strand, they come as fast as memory gives them.
//!
//! The steps are those of a front by itself (`packed`), in the same order. Holds if: a solve that follows
//! another is the one from nothing (`tests/mechanics/tree.rs`).

use super::eliminated::Eliminated;
use super::front::PANEL;
use super::packed::{Lanes, Panel, sums_of};
use std::ops::Range;

/// A panel, and where its unknowns are: the first's place in the strand, and of what was reduced forwards.
#[derive(Clone, Copy, Debug)]
struct Placed {
    first: u32,
    reduced: u32,
    panel: Panel,
}

/// A copy of a strand's factor, the last panel first.
#[derive(Debug, Default)]
pub(super) struct Backwards {
    panels: Vec<Placed>,
    /// Rows below, as places in the strand, and their numbers in the panel's four columns.
    rows: Vec<u32>,
    values: Vec<[f64; PANEL]>,
    /// By front: where its panels and its rows begin.
    starts: Vec<[usize; 2]>,
}

fn small(n: usize) -> u32 {
    u32::try_from(n).unwrap_or(u32::MAX)
}

impl Backwards {
    pub(super) fn is_made(&self) -> bool {
        !self.panels.is_empty()
    }

    /// Of a strand. `before`: that of one that some of its fronts were in, and by front which of those it was.
    pub(super) fn new(
        strand: &Eliminated,
        before: Option<(&Self, &Eliminated, &[Option<usize>])>,
    ) -> Self {
        let fronts = strand.fronts.len();
        let mut out = Self { starts: vec![[0; 2]; fronts], ..Self::default() };
        // Where places of the one before are now.
        let mut now = Vec::new();
        if let Some((known, of, was)) = before {
            out.panels.reserve(known.panels.len() + known.panels.len() / 16);
            out.rows.reserve(known.rows.len() + known.rows.len() / 16);
            out.values.reserve(known.values.len() + known.values.len() / 16);
            now.resize(of.shape.own.len(), 0);
            for (k, at) in was.iter().enumerate().filter_map(|(k, at)| Some((k, (*at)?))) {
                let then = &of.at[of.starts[at]..of.starts[at + 1]];
                let places = &strand.at[strand.starts[k]..strand.starts[k + 1]];
                then.iter().zip(places).for_each(|(then, place)| now[*then as usize] = *place);
            }
        }
        for k in (0..fronts).rev() {
            out.starts[k] = [out.panels.len(), out.rows.len()];
            let (own, reduced) = (strand.shape.nodes[k].own.start, strand.starts[k]);
            if let Some((known, of, was)) = before
                && let Some(at) = was[k]
            {
                let [panels, rows] = known.of_front(at);
                let (then, reduced_then) = (of.shape.nodes[at].own.start, of.starts[at]);
                out.panels.extend(known.panels[panels].iter().map(|placed| Placed {
                    first: small(placed.first as usize - then + own),
                    reduced: small(placed.reduced as usize - reduced_then + reduced),
                    ..*placed
                }));
                out.rows.extend(known.rows[rows.clone()].iter().map(|row| now[*row as usize]));
                out.values.extend_from_slice(&known.values[rows]);
                continue;
            }
            let places = &strand.at[reduced..strand.starts[k + 1]];
            for (first, panel, below, values) in strand.fronts[k].front.panels_backwards() {
                let (first, reduced) = (small(own + first), small(reduced + first));
                out.panels.push(Placed { first, reduced, panel: *panel });
                out.rows.extend(below.iter().map(|&row| places[row as usize]));
                out.values.extend_from_slice(values);
            }
        }
        out
    }

    /// The panels and the rows of a front.
    fn of_front(&self, front: usize) -> [Range<usize>; 2] {
        let [panels, rows] = self.starts[front];
        let next = front.checked_sub(1).map(|next| self.starts[next]);
        let [last_panel, last_row] = next.unwrap_or([self.panels.len(), self.rows.len()]);
        [panels..last_panel, rows..last_row]
    }

    /// Finds what moves from what was reduced forwards and divided by the pivots.
    #[inline(always)]
    pub(super) fn solve<const L: usize>(&self, reduced: &[Lanes<L>], x: &mut [Lanes<L>]) {
        let mut from = 0;
        for &Placed { first, reduced: at, ref panel } in &self.panels {
            let end = from + panel.rows;
            let sums = sums_of(&self.rows[from..end], &self.values[from..end], x);
            from = end;
            let own = first as usize..first as usize + panel.count;
            let divided = &reduced[at as usize..at as usize + panel.count];
            panel.backward(sums, divided, &mut x[own]);
        }
    }
}
