//! An eliminated front as it is kept: the factor without its zeros, and what is left for the parent.
//!
//! Columns are kept in panels of four, row by row: solving reads each panel from one end to the other,
//! and a row in which all four are zero is not there. In a post's own front, whose bending planes
//! have nothing to do with one another, that leaves out most of it.

use super::front::{Front, PANEL};

/// One number of each of so many right-hand sides that are solved together.
pub type Lanes<const L: usize> = [f64; L];

/// The lower factor with its pivots, and the Schur complement.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Packed {
    /// Unknowns eliminated, and those of the boundary besides.
    pub own: usize,
    pub boundary: usize,
    panels: Vec<Panel>,
    /// Rows below the panels, and their numbers in the panel's four columns.
    rows: Vec<u32>,
    values: Vec<[f64; PANEL]>,
    /// Lower triangle of the Schur complement, column by column.
    rest: Vec<f64>,
}

pub(super) fn small(n: usize) -> u32 {
    u32::try_from(n).unwrap_or(u32::MAX)
}

/// Numbers below the diagonal within a panel.
const LOWER: usize = PANEL * (PANEL - 1) / 2;

/// Up to four columns: those that are wanting at the end have no rows, and pivots of one.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Panel {
    pivots: [f64; PANEL],
    triangle: Triangle,
}

/// What a panel has beside its pivots and the rows below it.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Triangle {
    count: u32,
    /// How many rows are below it.
    rows: u32,
    /// The factor within the panel, row by row below the diagonal.
    within: [f64; LOWER],
}

impl Triangle {
    pub(super) fn count(&self) -> usize {
        self.count as usize
    }

    pub(super) fn rows(&self) -> usize {
        self.rows as usize
    }

    /// The factor in a row of the panel, left of the diagonal.
    #[inline(always)]
    fn within(&self, row: usize) -> &[f64] {
        let first = row * row.saturating_sub(1) / 2;
        &self.within[first..first + row]
    }

    /// Backward step: what was reduced of its unknowns and divided by their pivots in, what they come to out.
    /// `sums`: see [`sums_of`].
    #[inline(always)]
    pub(super) fn backward<const L: usize>(
        &self,
        sums: [Lanes<L>; PANEL],
        divided: &[Lanes<L>],
        own: &mut [Lanes<L>],
    ) {
        // Those that are wanting are the last one again, and have nothing to do with the others: no step
        // hangs on how many there are.
        let at = |p: usize| p.min(self.count() - 1);
        let mut found = [[0.0; L]; PANEL];
        for (p, (found, sum)) in found.iter_mut().zip(sums).enumerate() {
            let divided = divided[at(p)];
            for k in 0..L {
                found[k] = divided[k] - sum[k];
            }
        }
        for p in (1..PANEL).rev() {
            let now = found[p];
            for (found, l) in found.iter_mut().zip(self.within(p)) {
                for k in 0..L {
                    found[k] = (-l).mul_add(now[k], found[k]);
                }
            }
        }
        for (p, found) in found.into_iter().enumerate().rev() {
            own[at(p)] = found;
        }
    }
}

/// What the rows below a panel take off its unknowns, where all that they belong to is known.
#[inline(always)]
pub(super) fn sums_of<const L: usize>(
    rows: &[u32],
    values: &[[f64; PANEL]],
    x: &[Lanes<L>],
) -> [Lanes<L>; PANEL] {
    // Two sums side by side, so that one addition need not wait for the one before.
    let (mut even, mut odd) = ([[0.0; L]; PANEL], [[0.0; L]; PANEL]);
    let (pairs, last) = rows.as_chunks::<2>();
    let (of_pairs, of_last) = values.as_chunks::<2>();
    for (&[a, b], [l, m]) in pairs.iter().zip(of_pairs) {
        add(&mut even, l, &x[a as usize]);
        add(&mut odd, m, &x[b as usize]);
    }
    if let ([row], [l]) = (last, of_last) {
        add(&mut even, l, &x[*row as usize]);
    }
    for (even, odd) in even.iter_mut().zip(odd) {
        for k in 0..L {
            even[k] += odd[k];
        }
    }
    even
}

#[inline(always)]
fn add<const L: usize>(sums: &mut [Lanes<L>; PANEL], four: &[f64; PANEL], x: &Lanes<L>) {
    for (sum, l) in sums.iter_mut().zip(four) {
        for k in 0..L {
            sum[k] = l.mul_add(x[k], sum[k]);
        }
    }
}

impl Packed {
    /// From a front that is eliminated.
    #[must_use]
    pub fn new(front: &Front) -> Self {
        let (n, own) = (front.n, front.own);
        let mut out = Self { own, boundary: n - own, ..Self::default() };
        for first in (0..own).step_by(PANEL) {
            let count = PANEL.min(own - first);
            let column = |p: usize| &front.values[(first + p) * n..(first + p + 1) * n];
            let diagonal = |p: usize| if p < count { column(p)[first + p] } else { 1.0 };
            let pivots = std::array::from_fn(diagonal);
            let mut triangle = Triangle { count: small(count), ..Triangle::default() };
            let below_diagonal = (0..count).flat_map(|p| (0..p).map(move |q| (p, q)));
            for (within, (p, q)) in triangle.within.iter_mut().zip(below_diagonal) {
                *within = column(q)[first + p];
            }
            let above = out.rows.len();
            // Columns that are wanting are the last one again, and then emptied.
            let below = first + count;
            let [c0, c1, c2, c3] = [0, 1, 2, 3].map(|p| &column(p.min(count - 1))[below..]);
            let columns = c0.iter().zip(c1).zip(c2).zip(c3);
            for (row, (((c0, c1), c2), c3)) in (below..).zip(columns) {
                let mut four = [*c0, *c1, *c2, *c3];
                if four != [0.0; PANEL] {
                    four[count..].fill(0.0);
                    out.rows.push(small(row));
                    out.values.push(four);
                }
            }
            triangle.rows = small(out.rows.len() - above);
            out.panels.push(Panel { pivots, triangle });
        }
        for column in own..n {
            out.rest.extend_from_slice(&front.values[column * n + column..(column + 1) * n]);
        }
        out.rows.shrink_to_fit();
        out.values.shrink_to_fit();
        out
    }

    /// Column of the Schur complement, from its diagonal down.
    #[must_use]
    pub fn rest(&self, column: usize) -> &[f64] {
        let b = self.boundary;
        let first = column * b - column * column.saturating_sub(1) / 2;
        &self.rest[first..first + b - column]
    }

    /// How many panels there are, and how many rows below them.
    pub(super) fn sizes(&self) -> [usize; 2] {
        [self.panels.len(), self.rows.len()]
    }

    /// The panels, the last first: place of the first unknown, the panel, the rows below it and their numbers.
    #[inline(always)]
    pub(super) fn panels_backwards(
        &self,
    ) -> impl Iterator<Item = (usize, &Triangle, &[u32], &[[f64; PANEL]])> {
        let (mut first, mut end) = (self.own, self.rows.len());
        self.panels.iter().rev().map(move |Panel { triangle, .. }| {
            first -= triangle.count();
            let from = end - triangle.rows();
            let rows = std::mem::replace(&mut end, from);
            (first, triangle, &self.rows[from..rows], &self.values[from..rows])
        })
    }

    /// Forward step of a solve: `own` part of the right-hand sides in, reduced own part and the
    /// update of the boundary out.
    #[inline(always)]
    pub fn forward<const L: usize>(&self, x: &mut [Lanes<L>]) {
        let (mut first, mut from) = (0, 0);
        for Panel { triangle: panel, .. } in &self.panels {
            let mut v = [[0.0; L]; PANEL];
            for p in 0..panel.count() {
                v[p] = x[first + p];
                for (q, l) in panel.within(p).iter().enumerate() {
                    let known = v[q];
                    for k in 0..L {
                        v[p][k] = (-l).mul_add(known[k], v[p][k]);
                    }
                }
                x[first + p] = v[p];
            }
            let [v0, v1, v2, v3] = v.map(|v| v.map(|v| -v));
            let end = from + panel.rows();
            let values = &self.values[from..end];
            for (&row, &[l0, l1, l2, l3]) in self.rows[from..end].iter().zip(values) {
                let t = &mut x[row as usize];
                for k in 0..L {
                    let value = l1.mul_add(v1[k], l0.mul_add(v0[k], t[k]));
                    t[k] = l3.mul_add(v3[k], l2.mul_add(v2[k], value));
                }
            }
            first += panel.count();
            from = end;
        }
    }

    /// Divides what was reduced of the own unknowns by their pivots.
    #[inline(always)]
    pub fn divide<const L: usize>(&self, x: &mut [Lanes<L>]) {
        let of_panels = x[..self.own].chunks_mut(PANEL).zip(&self.panels);
        for (some, panel) in of_panels {
            for (x, pivot) in some.iter_mut().zip(panel.pivots) {
                for x in x {
                    *x /= pivot;
                }
            }
        }
    }

    /// Backward step: boundary values known and own ones divided, own values found.
    #[inline(always)]
    pub fn backward<const L: usize>(&self, x: &mut [Lanes<L>]) {
        for (first, panel, rows, values) in self.panels_backwards() {
            let sums = sums_of(rows, values, x);
            let own = &mut x[first..first + panel.count()];
            let divided: [Lanes<L>; PANEL] = std::array::from_fn(|p| own[p.min(panel.count() - 1)]);
            panel.backward(sums, &divided[..panel.count()], own);
        }
    }
}
