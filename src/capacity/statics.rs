//! Shear, moment and sag of a straight bar on two or more supports, ends overhanging or not.
//!
//! Over more than two supports the bar is worked out twice, continuous by Clapeyron's three-moment
//! equations and cut at each inner support, and the greater counts: nobody says how stiff the
//! supports are. Loads point down; a support may pull. Known to work: handbook tables of one to four
//! equal spans, overhangs and point loads in `tests/capacity/statics.rs`.

use crate::loads::beam::Piece;

/// A bar with its supports in order along it, metres.
#[derive(Clone, Debug, PartialEq)]
pub struct Bar<'a> {
    pub length: f64,
    /// Sorted stations.
    pub supports: &'a [f64],
    pub loads: &'a [Piece],
}

/// The worst of a bar.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Worst {
    /// Station and signed moment, sagging positive, newton metres.
    pub moment: (f64, f64),
    /// Station and signed shear, newtons.
    pub shear: (f64, f64),
    /// Index of a support, and its reaction, newtons.
    pub reaction: (usize, f64),
    /// The moment is of the bar taken as continuous over inner supports.
    pub continuous: bool,
}

/// A solved bar: reactions, and moments over the supports.
#[derive(Clone, Debug, PartialEq)]
pub struct Solved {
    pub reactions: Vec<f64>,
    pub over_supports: Vec<f64>,
}

/// Distance within which two stations are one, metres.
const SAME: f64 = 1e-9;

/// Load left of a cut, and its moment about the cut.
fn left_of(loads: &[Piece], x: f64) -> (f64, f64) {
    let (mut force, mut moment) = (0.0, 0.0);
    for load in loads {
        let (f, m) = part_left(load, x);
        force += f;
        moment += m;
    }
    (force, moment)
}

/// A load's straight-line intensity at its two ends, over a stretch that holds its centre. A centre
/// outside the middle third cannot come from a straight line of one sign: then the load lies evenly
/// on a shorter stretch about its centre, which is on the safe side.
fn shape(load: &Piece) -> (f64, f64, f64, f64) {
    let width = load.to - load.from;
    let mean = load.force / width;
    let off = (load.centre - 0.5 * (load.from + load.to)) / width;
    if off.abs() <= 1.0 / 6.0 + 1e-12 {
        return (load.from, load.to, mean * (1.0 - 6.0 * off), mean * (1.0 + 6.0 * off));
    }
    let half = (load.centre - load.from).min(load.to - load.centre).max(SAME);
    let even = load.force / (2.0 * half);
    (load.centre - half, load.centre + half, even, even)
}

pub(in crate::capacity) fn part_left(load: &Piece, x: f64) -> (f64, f64) {
    if load.to - load.from <= SAME {
        return if load.centre < x {
            (load.force, load.force * (x - load.centre))
        } else {
            (0.0, 0.0)
        };
    }
    let (a, b, wa, wb) = shape(load);
    let end = b.min(x);
    if end <= a {
        return (0.0, 0.0);
    }
    let s = end - a;
    let wend = wa + (wb - wa) * s / (b - a);
    let force = 0.5 * (wa + wend) * s;
    // About the cut: even part and triangle.
    let even = wa * s * (x - a - 0.5 * s);
    let triangle = 0.5 * (wend - wa) * s * (x - a - 2.0 / 3.0 * s);
    (force, even + triangle)
}

/// Three points and weights of Gauss on 0 to 1, exact to the fifth degree.
const GAUSS: [(f64, f64); 3] = [
    (0.112_701_665_379_258_3, 5.0 / 18.0),
    (0.5, 8.0 / 18.0),
    (0.887_298_334_620_741_7, 5.0 / 18.0),
];

impl Bar<'_> {
    /// Reactions and support moments, continuous over all supports. None with fewer than two
    /// supports, or two of them in one place.
    #[must_use]
    pub fn continuous(&self) -> Option<Solved> {
        let s = self.supports;
        let n = s.len();
        if n < 2 || s.windows(2).any(|w| w[1] - w[0] <= 1e-6) {
            return None;
        }
        let mut m = vec![0.0; n];
        // Overhangs give the end moments; loads right of the last support, mirrored.
        m[0] = -left_of(self.loads, s[0]).1;
        let total: f64 = self.loads.iter().map(|l| l.force).sum();
        let about_last: f64 = self.loads.iter().map(|l| l.force * (l.centre - s[n - 1])).sum();
        m[n - 1] = -(about_last + left_of(self.loads, s[n - 1]).1);
        self.inner_moments(&mut m);
        // Each span as a free body: its loads, and the moments at its ends.
        let mut reactions = vec![0.0; n];
        reactions[0] = left_of(self.loads, s[0]).0;
        reactions[n - 1] = total - left_of(self.loads, s[n - 1]).0;
        for i in 0..n - 1 {
            let l = s[i + 1] - s[i];
            let (before, before_moment) = left_of(self.loads, s[i]);
            let (after, after_moment) = left_of(self.loads, s[i + 1]);
            let force = after - before;
            // Moment of the span's loads about its right end.
            let about_right = after_moment - before_moment - before * l;
            let from_moments = (m[i + 1] - m[i]) / l;
            reactions[i] += about_right / l + from_moments;
            reactions[i + 1] += force - about_right / l - from_moments;
        }
        Some(Solved { reactions, over_supports: m })
    }

    /// Solves the three-moment equations for the inner supports.
    fn inner_moments(&self, m: &mut [f64]) {
        let s = self.supports;
        let n = s.len();
        if n < 3 {
            return;
        }
        let inner = n - 2;
        let (mut diagonal, mut right) = (vec![0.0; inner], vec![0.0; inner]);
        for k in 0..inner {
            let (l1, l2) = (s[k + 1] - s[k], s[k + 2] - s[k + 1]);
            diagonal[k] = 2.0 * (l1 + l2);
            right[k] = -(self.term(k, true) + self.term(k + 1, false));
            if k == 0 {
                right[k] -= m[0] * l1;
            }
            if k == inner - 1 {
                right[k] -= m[n - 1] * l2;
            }
        }
        // Tridiagonal elimination; off-diagonals are the spans between inner supports.
        for k in 1..inner {
            let span = s[k + 1] - s[k];
            let factor = span / diagonal[k - 1];
            diagonal[k] -= factor * span;
            right[k] -= factor * right[k - 1];
        }
        for k in (0..inner).rev() {
            let span = s[k + 2] - s[k + 1];
            let next = if k + 1 < inner { span * m[k + 2] } else { 0.0 };
            m[k + 1] = (right[k] - next) / diagonal[k];
        }
    }

    /// 6Aa/L of a span: P a (L² − a²)/L summed over its loads, `a` from the left end; from the right
    /// end for the span right of the support.
    pub(in crate::capacity) fn term(&self, span: usize, from_left: bool) -> f64 {
        let (low, high) = (self.supports[span], self.supports[span + 1]);
        let l = high - low;
        let point = |x: f64, p: f64| {
            let a = if from_left { x - low } else { high - x };
            p * a * (l * l - a * a) / l
        };
        let mut sum = 0.0;
        for load in self.loads {
            if load.to - load.from <= SAME {
                if load.centre > low && load.centre < high {
                    sum += point(load.centre, load.force);
                }
                continue;
            }
            let (a, b, wa, wb) = shape(load);
            let (from, to) = (a.max(low), b.min(high));
            if to - from > SAME {
                for (at, weight) in GAUSS {
                    let x = from + at * (to - from);
                    let w = wa + (wb - wa) * (x - a) / (b - a);
                    sum += weight * (to - from) * point(x, w);
                }
            }
        }
        sum
    }

    /// Moment at a station, sagging positive.
    #[must_use]
    pub fn moment_at(&self, solved: &Solved, x: f64) -> f64 {
        let up: f64 = self
            .supports
            .iter()
            .zip(&solved.reactions)
            .filter(|(s, _)| **s < x)
            .map(|(s, r)| r * (x - s))
            .sum();
        up - left_of(self.loads, x).1
    }

    fn shear_at(&self, solved: &Solved, x: f64) -> f64 {
        let up: f64 = self
            .supports
            .iter()
            .zip(&solved.reactions)
            .filter(|(s, _)| **s < x)
            .map(|(_, r)| r)
            .sum();
        up - left_of(self.loads, x).0
    }

    /// Stations between which nothing jumps.
    fn breaks(&self) -> Vec<f64> {
        let mut at: Vec<f64> =
            [0.0, self.length].into_iter().chain(self.supports.iter().copied()).collect();
        for load in self.loads {
            if load.to - load.from <= SAME {
                at.push(load.centre);
            } else {
                let (a, b, ..) = shape(load);
                at.extend([a, b]);
            }
        }
        at.retain(|x| x.is_finite());
        at.sort_by(f64::total_cmp);
        at.dedup_by(|a, b| (*a - *b).abs() <= SAME);
        at
    }

    fn worst_of(&self, solved: &Solved) -> Worst {
        let mut worst = Worst::default();
        let mut moment = |x: f64, m: f64| {
            if m.abs() > worst.moment.1.abs() {
                worst.moment = (x, m);
            }
        };
        let breaks = self.breaks();
        let mut shear = (0.0, 0.0_f64);
        for pair in breaks.windows(2) {
            let (a, b) = (pair[0], pair[1]);
            let inside = 1e-7 * (b - a);
            let (va, vb) = (self.shear_at(solved, a + inside), self.shear_at(solved, b - inside));
            for (x, v) in [(a, va), (b, vb)] {
                if v.abs() > shear.1.abs() {
                    shear = (x, v);
                }
            }
            moment(a, self.moment_at(solved, a));
            moment(b, self.moment_at(solved, b));
            if va > 0.0 && vb < 0.0 {
                let (mut low, mut high) = (a + inside, b - inside);
                for _ in 0..60 {
                    let middle = 0.5 * (low + high);
                    if self.shear_at(solved, middle) > 0.0 { low = middle } else { high = middle }
                }
                moment(low, self.moment_at(solved, low));
            }
        }
        worst.shear = shear;
        for (i, r) in solved.reactions.iter().enumerate() {
            if r.abs() > worst.reaction.1.abs() {
                worst.reaction = (i, *r);
            }
        }
        worst
    }

    /// Cut at every inner support: each span takes its own loads; overhangs stay with the end spans.
    #[must_use]
    pub fn cut(&self) -> Option<Solved> {
        let whole = self.continuous()?;
        let mut m = vec![0.0; self.supports.len()];
        let last = m.len() - 1;
        m[0] = whole.over_supports[0];
        m[last] = whole.over_supports[last];
        let s = self.supports;
        let mut reactions = vec![0.0; m.len()];
        let total: f64 = self.loads.iter().map(|l| l.force).sum();
        reactions[0] = left_of(self.loads, s[0]).0;
        reactions[last] = total - left_of(self.loads, s[last]).0;
        for i in 0..last {
            let l = s[i + 1] - s[i];
            let (before, before_moment) = left_of(self.loads, s[i]);
            let (after, after_moment) = left_of(self.loads, s[i + 1]);
            let about_right = after_moment - before_moment - before * l;
            let from_moments = (m[i + 1] - m[i]) / l;
            reactions[i] += about_right / l + from_moments;
            reactions[i + 1] += after - before - about_right / l - from_moments;
        }
        Some(Solved { reactions, over_supports: m })
    }

    /// The worst of both ways.
    #[must_use]
    pub fn worst(&self) -> Option<Worst> {
        let mut worst = self.worst_of(&self.continuous()?);
        if self.supports.len() > 2 {
            worst.continuous = true;
            let cut = self.worst_of(&self.cut()?);
            if cut.moment.1.abs() > worst.moment.1.abs() {
                (worst.moment, worst.continuous) = (cut.moment, false);
            }
            if cut.shear.1.abs() > worst.shear.1.abs() {
                worst.shear = cut.shear;
            }
            if cut.reaction.1.abs() > worst.reaction.1.abs() {
                worst.reaction = cut.reaction;
            }
        }
        Some(worst)
    }

    /// The greatest sag between two supports or of an overhang, times EI, with the length it is held
    /// against: the span, or twice the overhang. By the unit load on the bar cut at its supports,
    /// which with more than two supports is the greater.
    #[must_use]
    pub fn sags(&self) -> Vec<Sag> {
        let Some(solved) = self.cut() else { return Vec::new() };
        let s = self.supports;
        let last = s.len() - 1;
        let mut out = Vec::new();
        for i in 0..last {
            let (a, b) = (s[i], s[i + 1]);
            let worst = (1..16)
                .map(|k| a + (b - a) * f64::from(k) / 16.0)
                .map(|x| self.unit_load(&solved, a, b, x))
                .max_by(|p, q| p.abs().total_cmp(&q.abs()));
            out.extend(worst.map(|times_ei| Sag { from: a, to: b, times_ei, against: b - a }));
        }
        for (tip, root, inner) in [(0.0, s[0], s[1]), (self.length, s[last], s[last - 1])] {
            if (tip - root).abs() > 1e-6 {
                let times_ei = self.unit_load_at_tip(&solved, tip, root, inner);
                out.push(Sag {
                    from: root.min(tip),
                    to: root.max(tip),
                    times_ei,
                    against: 2.0 * (tip - root).abs(),
                });
            }
        }
        out
    }

    /// Integral of the moment times that of a unit load at `x` of the simple span a to b.
    fn unit_load(&self, solved: &Solved, a: f64, b: f64, x: f64) -> f64 {
        let l = b - a;
        let unit = |y: f64| if y < x { (b - x) / l * (y - a) } else { (x - a) / l * (b - y) };
        self.integral(solved, &[a, x, b], unit)
    }

    fn unit_load_at_tip(&self, solved: &Solved, tip: f64, root: f64, inner: f64) -> f64 {
        let arm = (tip - root).abs();
        let unit = |y: f64| {
            if (y - root) * (tip - root) > 0.0 {
                -((tip - y).abs())
            } else {
                -arm * (y - inner).abs() / (root - inner).abs()
            }
        };
        let mut ends = [tip, root, inner];
        ends.sort_by(f64::total_cmp);
        self.integral(solved, &ends, unit)
    }

    fn integral(&self, solved: &Solved, ends: &[f64], unit: impl Fn(f64) -> f64) -> f64 {
        let mut at: Vec<f64> = self.breaks();
        at.extend(ends);
        at.sort_by(f64::total_cmp);
        let (low, high) = (ends[0], ends[ends.len() - 1]);
        let mut sum = 0.0;
        for pair in at.windows(2) {
            let (a, b) = (pair[0].max(low), pair[1].min(high));
            if b - a <= SAME {
                continue;
            }
            for (g, weight) in GAUSS {
                let y = a + g * (b - a);
                sum += weight * (b - a) * self.moment_at(solved, y) * unit(y);
            }
        }
        sum
    }
}

/// A sag times EI, with what it is held against.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sag {
    pub from: f64,
    pub to: f64,
    /// Newton cubic metres.
    pub times_ei: f64,
    /// Metres.
    pub against: f64,
}
