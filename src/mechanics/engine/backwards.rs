//! A strand's factor as a solve goes back through it: one panel after another, read from end to end.
//!
//! Fronts lie where there was room when they were made. A large strand that is solved once a stage has been
//! forgotten by the caches meanwhile, and each front is waited for. Copied in the order in which they are
//! read, with rows as places in the strand, they come as fast as memory gives them.
//!
//! Holds if: each number is summed up in the order in which the front by itself would
//! (`tests/mechanics/tree.rs` holds a solve that follows another against one from nothing).

use super::eliminated::Eliminated;
use super::front::PANEL;
use super::packed::Lanes;
use std::ops::Range;

/// Up to four neighbouring unknowns.
#[derive(Clone, Copy, Debug)]
struct Panel {
    /// Place of the first in the strand, and of what was reduced of it forwards.
    first: u32,
    reduced: u32,
    count: u32,
    /// How many rows are below.
    rows: u32,
    pivots: [f64; PANEL],
    /// The factor within the panel, row by row below the diagonal.
    within: [f64; PANEL * (PANEL - 1) / 2],
}

/// A copy of a strand's factor, the last panel first.
#[derive(Debug, Default)]
pub(super) struct Backwards {
    panels: Vec<Panel>,
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
                out.panels.extend(known.panels[panels].iter().map(|panel| Panel {
                    first: small(panel.first as usize - then + own),
                    reduced: small(panel.reduced as usize - reduced_then + reduced),
                    ..*panel
                }));
                out.rows.extend(known.rows[rows.clone()].iter().map(|row| now[*row as usize]));
                out.values.extend_from_slice(&known.values[rows]);
                continue;
            }
            let places = &strand.at[reduced..strand.starts[k + 1]];
            for (first, panel, below, values) in strand.fronts[k].front.panels_backwards() {
                let mut within = [0.0; PANEL * (PANEL - 1) / 2];
                let lower = panel.within.iter().enumerate().flat_map(|(p, row)| &row[..p]);
                within.iter_mut().zip(lower).for_each(|(to, value)| *to = *value);
                out.panels.push(Panel {
                    first: small(own + first),
                    reduced: small(reduced + first),
                    count: small(panel.count),
                    rows: small(below.len()),
                    pivots: panel.pivots,
                    within,
                });
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

    /// Finds what moves from what was reduced forwards, case by case.
    #[inline(always)]
    pub(super) fn solve<const L: usize>(&self, reduced: [&[f64]; L], x: &mut [Lanes<L>]) {
        let mut from = 0;
        for panel in &self.panels {
            let end = from + panel.rows as usize;
            let [mut s0, mut s1, mut s2, mut s3] = [[0.0; L]; PANEL];
            for (&row, &[l0, l1, l2, l3]) in
                self.rows[from..end].iter().zip(&self.values[from..end])
            {
                let t = &x[row as usize];
                for k in 0..L {
                    s0[k] = l0.mul_add(t[k], s0[k]);
                    s1[k] = l1.mul_add(t[k], s1[k]);
                    s2[k] = l2.mul_add(t[k], s2[k]);
                    s3[k] = l3.mul_add(t[k], s3[k]);
                }
            }
            from = end;
            let mut sums = [s0, s1, s2, s3];
            for p in (0..panel.count as usize).rev() {
                let mut found = [0.0; L];
                for k in 0..L {
                    found[k] =
                        reduced[k][panel.reduced as usize + p] / panel.pivots[p] - sums[p][k];
                }
                x[panel.first as usize + p] = found;
                let row = &panel.within[p * p.saturating_sub(1) / 2..];
                for (sum, l) in sums.iter_mut().zip(row).take(p) {
                    for (sum, found) in sum.iter_mut().zip(found) {
                        *sum += l * found;
                    }
                }
            }
        }
    }
}
