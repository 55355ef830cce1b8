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
use super::packed::{Lanes, Triangle, small, sums_of};
use super::runs::Runs;
use std::ops::Range;

/// A panel, and where its unknowns are: the first's place in the strand, and of what was reduced forwards.
#[derive(Clone, Copy, Debug, Default)]
struct Placed {
    first: u32,
    reduced: u32,
    panel: Triangle,
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

impl Backwards {
    pub(super) fn is_made(&self) -> bool {
        !self.panels.is_empty()
    }

    pub(super) fn new(strand: &Eliminated) -> Self {
        let mut out = Self::default();
        out.make(strand, &[]);
        out
    }

    /// Makes the copy that of a strand, where it was that of another one. `was`: by front which of those it was.
    pub(super) fn take_up(
        &mut self,
        strand: &Eliminated,
        before: &Eliminated,
        was: &[Option<usize>],
    ) {
        // Where places of the one before are now.
        let mut now = vec![0; before.shape.own.len()];
        for (k, at) in was.iter().enumerate().filter_map(|(k, at)| Some((k, (*at)?))) {
            let (then, places) = (before.starts[at], strand.starts[k]);
            let known = &before.at[then..before.starts[at + 1]];
            let of_front = &strand.at[places..strand.starts[k + 1]];
            known.iter().zip(of_front).for_each(|(was, is)| now[*was as usize] = *is);
            let own_then = before.shape.nodes[at].own.start;
            let own = strand.shape.nodes[k].own.start;
            if (own_then, then) == (own, places) {
                continue;
            }
            let [panels, _] = self.of_front(at);
            for placed in &mut self.panels[panels] {
                placed.first = small(placed.first as usize - own_then + own);
                placed.reduced = small(placed.reduced as usize - then + places);
            }
        }
        self.rows.iter_mut().for_each(|row| *row = now[*row as usize]);
        self.make(strand, was);
    }

    /// Puts the fronts of a strand in their places. `was`: by front which one it was, if it is here.
    fn make(&mut self, strand: &Eliminated, was: &[Option<usize>]) {
        let (mut panel_runs, mut row_runs) = (Runs::default(), Runs::default());
        let (mut panels, mut rows) = (0, 0);
        let mut starts = vec![[0; 2]; strand.fronts.len()];
        let known = |k: usize| was.get(k).copied().flatten();
        for (k, made) in strand.fronts.iter().enumerate().rev() {
            starts[k] = [panels, rows];
            let [more_panels, more_rows] = made.front.sizes();
            if let Some(at) = known(k) {
                let [of_panels, of_rows] = self.of_front(at);
                panel_runs.push(of_panels, panels);
                row_runs.push(of_rows, rows);
            }
            (panels, rows) = (panels + more_panels, rows + more_rows);
        }
        panel_runs.apply(&mut self.panels, panels, Placed::default());
        row_runs.apply(&mut self.rows, rows, 0);
        row_runs.apply(&mut self.values, rows, [0.0; PANEL]);
        for (k, made) in strand.fronts.iter().enumerate().filter(|(k, _)| known(*k).is_none()) {
            let [mut panel_at, mut row_at] = starts[k];
            let (own, reduced) = (strand.shape.nodes[k].own.start, strand.starts[k]);
            let places = &strand.at[reduced..strand.starts[k + 1]];
            for (first, panel, below, values) in made.front.panels_backwards() {
                let (first, reduced) = (small(own + first), small(reduced + first));
                self.panels[panel_at] = Placed { first, reduced, panel: *panel };
                let end = row_at + below.len();
                let rows = self.rows[row_at..end].iter_mut().zip(below);
                rows.for_each(|(row, at)| *row = places[*at as usize]);
                self.values[row_at..end].copy_from_slice(values);
                (panel_at, row_at) = (panel_at + 1, end);
            }
        }
        self.starts = starts;
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
            let end = from + panel.rows();
            let sums = sums_of(&self.rows[from..end], &self.values[from..end], x);
            from = end;
            let own = first as usize..first as usize + panel.count();
            let divided = &reduced[at as usize..at as usize + panel.count()];
            panel.backward(sums, divided, &mut x[own]);
        }
    }
}
