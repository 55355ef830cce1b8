//! A bar over more than two supports, written out: each span's load, Clapeyron's three-moment
//! equations over the inner supports, and the span that is worst, by hand.
//!
//! Over three supports the one unknown moment is a line that can be worked again. Over more the
//! moments stand there as solved, and both sides of each equation are worked out, so that a person
//! sees that they agree. The bar cut at its inner supports has no moment there.
//!
//! Known to work: every line is worked again from its own numbers, and the last ones are what the
//! statics find in silence (`tests/calc/spans.rs`).

mod loads;

use super::beam::{CLAPEYRON, Letters, STATICS, Sum, absolute, finish};
use super::statics::{Bar, Worst};
use super::work::{Kind, Value, Work};

/// Both ways of taking the bar.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Way {
    Continuous,
    Cut,
}

/// What is written of each span.
struct Span {
    length: Value,
    /// Its load, and the moment of that about its right end.
    force: Value,
    about_right: Value,
    /// Load terms of the three-moment equation over its length, for the support on its right and on
    /// its left.
    to_right: Value,
    to_left: Value,
}

struct Sheet<'a, 'b> {
    bar: &'b Bar<'a>,
    letters: &'b Letters,
    spans: Vec<Span>,
    /// Moments over the supports, continuous.
    over: Vec<Value>,
    /// Loads of the two overhangs.
    overhangs: [Value; 2],
}

/// Greatest moment, shear and reaction of the bar.
pub(super) fn write(
    w: &mut Work,
    bar: &Bar<'_>,
    letters: &Letters,
    worst: &Worst,
) -> Option<[Value; 3]> {
    let solved = bar.continuous()?.over_supports;
    let mut sheet = Sheet {
        bar,
        letters,
        spans: Vec::new(),
        over: Vec::new(),
        overhangs: [0, 1].map(|_| Value { symbol: "0".into(), si: 0.0, kind: Kind::Force }),
    };
    for i in 0..bar.supports.len() - 1 {
        let span = sheet.span(w, i);
        sheet.spans.push(span);
    }
    sheet.moments(w, &solved);
    let moment = sheet.moment(w, worst);
    let shear = sheet.shear(w, worst.shear.1);
    let reaction = sheet.reaction(w, *worst);
    Some([moment, shear, reaction])
}

impl Sheet<'_, '_> {
    fn span(&self, w: &mut Work, i: usize) -> Span {
        let n = i + 1;
        let (low, high) = (&self.letters.supports[i], &self.letters.supports[i + 1]);
        let formula = format!("{}-{}", high.symbol, low.symbol);
        let meaning = format!("span {n}");
        let length = w.line(
            format!("L_{n}"),
            &meaning,
            &formula,
            Kind::Length,
            &[high, low],
            STATICS,
            |v| v[0] - v[1],
        );
        let ends = [Some(low), Some(high)];
        let mut sum = Sum::default();
        self.forces(w, &mut sum, '+', ends);
        let force = finish(w, format!("F_{n}"), "its load", Kind::Force, &sum);
        let mut sum = Sum::default();
        self.about(w, &mut sum, '+', ends, high);
        let meaning = "moment of that about its right end";
        let about_right = finish(w, format!("Q_{n}"), meaning, Kind::Moment, &sum);
        let [to_right, to_left] = [true, false].map(|right| self.term(w, i, &length, right));
        Span { length, force, about_right, to_right, to_left }
    }

    /// The moments over the supports.
    fn moments(&mut self, w: &mut Work, solved: &[f64]) {
        let last = self.letters.supports.len() - 1;
        let (first, end) = (&self.letters.supports[0], &self.letters.supports[last]);
        let mut sum = Sum::default();
        self.about(w, &mut sum, '-', [None, Some(first)], first);
        let left = finish(w, "M_1", "moment over support 1", Kind::Moment, &sum);
        let mut load = Sum::default();
        self.forces(w, &mut load, '+', [None, Some(first)]);
        let left_load = finish(w, "F_0", "load of the first overhang", Kind::Force, &load);
        let mut sum = Sum::default();
        // Right of the support the lever counts the other way.
        self.about(w, &mut sum, '+', [Some(end), None], end);
        let meaning = format!("moment over support {}", last + 1);
        let right = finish(w, format!("M_{}", last + 1), &meaning, Kind::Moment, &sum);
        let mut load = Sum::default();
        self.forces(w, &mut load, '+', [Some(end), None]);
        let symbol = format!("F_{}", last + 1);
        let right_load = finish(w, symbol, "load of the last overhang", Kind::Force, &load);
        self.overhangs = [left_load, right_load];
        let mut over = vec![left];
        for (k, &moment) in solved.iter().enumerate().take(last).skip(1) {
            let (a, b) = (&self.spans[k - 1], &self.spans[k]);
            let n = k + 1;
            let symbol = format!("M_{n}");
            let meaning = format!("moment over support {n}");
            over.push(if last == 2 {
                let formula = format!(
                    "-({}*{l1}+{}*{l2}+M_1*{l1}+{}*{l2})/(2*({l1}+{l2}))",
                    a.to_right.symbol,
                    b.to_left.symbol,
                    right.symbol,
                    l1 = a.length.symbol,
                    l2 = b.length.symbol
                );
                w.line(
                    symbol,
                    &meaning,
                    &formula,
                    Kind::Moment,
                    &[&a.to_right, &a.length, &b.to_left, &b.length, &over[0], &right],
                    CLAPEYRON_THREE,
                    |v| {
                        -(v[0] * v[1] + v[2] * v[3] + v[4] * v[1] + v[5] * v[3])
                            / (2.0 * (v[1] + v[3]))
                    },
                )
            } else {
                w.given(symbol, &meaning, moment, Kind::Moment, CLAPEYRON_THREE)
            });
        }
        over.push(right);
        self.over = over;
        if last > 2 {
            for k in 1..last {
                self.agree(w, k);
            }
        }
    }

    /// Both sides of the equation over an inner support, over the two spans together.
    fn agree(&self, w: &mut Work, k: usize) {
        let (a, b) = (&self.spans[k - 1], &self.spans[k]);
        let (l1, l2) = (&a.length, &b.length);
        let n = k + 1;
        let formula = format!(
            "({}*{l1}+2*{}*({l1}+{l2})+{}*{l2})/({l1}+{l2})",
            self.over[k - 1].symbol,
            self.over[k].symbol,
            self.over[k + 1].symbol,
            l1 = l1.symbol,
            l2 = l2.symbol
        );
        let inputs = [&self.over[k - 1], l1, &self.over[k], l2, &self.over[k + 1]];
        let meaning = format!("equation at support {n}: moments");
        w.line(format!("e_{n}"), &meaning, &formula, Kind::Moment, &inputs, CLAPEYRON_THREE, |v| {
            (v[0] * v[1] + 2.0 * v[2] * (v[1] + v[3]) + v[4] * v[3]) / (v[1] + v[3])
        });
        let formula = format!(
            "-({}*{l1}+{}*{l2})/({l1}+{l2})",
            a.to_right.symbol,
            b.to_left.symbol,
            l1 = l1.symbol,
            l2 = l2.symbol
        );
        let inputs = [&a.to_right, l1, &b.to_left, l2];
        let meaning = format!("equation at support {n}: loads, the same");
        w.line(format!("g_{n}"), &meaning, &formula, Kind::Moment, &inputs, CLAPEYRON_THREE, |v| {
            -(v[0] * v[1] + v[2] * v[3]) / (v[1] + v[3])
        });
    }

    /// Moment over a support; none where the bar is cut there.
    fn over(&self, way: Way, k: usize) -> Option<&Value> {
        let inner = k > 0 && k + 1 < self.over.len();
        (way == Way::Continuous || !inner).then(|| &self.over[k])
    }

    /// Shear just right of a span's left support.
    fn left_shear(&self, w: &mut Work, way: Way, i: usize) -> Value {
        let span = &self.spans[i];
        let mut sum = Sum::default();
        let l = &span.length;
        let q = &span.about_right;
        sum.add('+', &format!("{}/{}", q.symbol, l.symbol), &[q, l], q.si / l.si);
        for (sign, over) in [('+', self.over(way, i + 1)), ('-', self.over(way, i))] {
            if let Some(m) = over {
                sum.add(sign, &format!("{}/{}", m.symbol, l.symbol), &[m, l], m.si / l.si);
            }
        }
        let (letter, words) = match way {
            Way::Continuous => ("V", "continuous"),
            Way::Cut => ("Vc", "cut at the inner supports"),
        };
        let meaning = format!("shear at the left of span {}, {words}", i + 1);
        finish(w, format!("{letter}_{}", i + 1), &meaning, Kind::Force, &sum)
    }

    /// The same in silence.
    fn left_shear_si(&self, way: Way, i: usize) -> f64 {
        let over = |k: usize| self.over(way, k).map_or(0.0, |m| m.si);
        let span = &self.spans[i];
        (span.about_right.si + over(i + 1) - over(i)) / span.length.si
    }

    fn moment(&self, w: &mut Work, worst: &Worst) -> Value {
        let way = if worst.continuous { Way::Continuous } else { Way::Cut };
        let at = worst.moment.0;
        let s = self.bar.supports;
        if let Some(k) = s.iter().position(|x| (x - at).abs() < 1e-6)
            && let Some(m) = self.over(way, k)
        {
            return absolute(w, "M", "greatest moment, over a support", m);
        }
        let Some(i) = (0..s.len() - 1).find(|&i| s[i] < at && at < s[i + 1]) else {
            let size = worst.moment.1.abs();
            return w.given("M", "greatest moment", size, Kind::Moment, CLAPEYRON);
        };
        let v = self.left_shear(w, way, i);
        let source = "where the shear changes sign";
        let x = w.given("x", "where the moment is greatest", at, Kind::Length, source);
        let low = &self.letters.supports[i];
        let mut sum = Sum::default();
        if let Some(m) = self.over(way, i) {
            sum.add('+', &m.symbol, &[m], m.si);
        }
        let text = format!("{}*(x-{})", v.symbol, low.symbol);
        sum.add('+', &text, &[&v, &x, low], v.si * (x.si - low.si));
        self.about(w, &mut sum, '-', [Some(low), Some(&x)], &x);
        let m = finish(w, "m", "moment there, sagging positive", Kind::Moment, &sum);
        absolute(w, "M", "greatest moment", &m)
    }

    fn shear(&self, w: &mut Work, due: f64) -> Value {
        for way in [Way::Continuous, Way::Cut] {
            for i in 0..self.spans.len() {
                let left = self.left_shear_si(way, i);
                let right = left - self.spans[i].force.si;
                let near = |v: f64| (v.abs() - due.abs()).abs() <= 1e-3 * due.abs();
                if near(left) {
                    let v = self.left_shear(w, way, i);
                    return absolute(w, "V", "greatest shear", &v);
                }
                if near(right) {
                    let v = self.left_shear(w, way, i);
                    let mut sum = Sum::default();
                    sum.add('+', &v.symbol, &[&v], v.si);
                    let f = &self.spans[i].force;
                    sum.add('-', &f.symbol, &[f], f.si);
                    let meaning = "shear at the right of that span";
                    let v = finish(w, "v", meaning, Kind::Force, &sum);
                    return absolute(w, "V", "greatest shear", &v);
                }
            }
        }
        w.given("V", "greatest shear", due.abs(), Kind::Force, CLAPEYRON)
    }

    fn reaction(&self, w: &mut Work, worst: Worst) -> Value {
        let (k, due) = worst.reaction;
        for way in [Way::Continuous, Way::Cut] {
            let left = k.checked_sub(1);
            let right = (k < self.spans.len()).then_some(k);
            let overhang = match k {
                0 => Some(&self.overhangs[0]),
                _ if right.is_none() => Some(&self.overhangs[1]),
                _ => None,
            };
            let found = right.map_or(0.0, |i| self.left_shear_si(way, i))
                + left.map_or(0.0, |i| self.spans[i].force.si - self.left_shear_si(way, i))
                + overhang.map_or(0.0, |o| o.si);
            if (found.abs() - due.abs()).abs() > 1e-3 * due.abs() {
                continue;
            }
            let mut sum = Sum::default();
            if let Some(i) = left {
                let v = self.left_shear(w, way, i);
                let f = &self.spans[i].force;
                sum.add('+', &f.symbol, &[f], f.si);
                sum.add('-', &v.symbol, &[&v], v.si);
            }
            if let Some(i) = right {
                let v = self.left_shear(w, way, i);
                sum.add('+', &v.symbol, &[&v], v.si);
            }
            if let Some(o) = overhang {
                sum.add('+', &o.symbol, &[o], o.si);
            }
            let meaning = format!("reaction of support {}", k + 1);
            let r = finish(w, format!("R_{}", k + 1), &meaning, Kind::Force, &sum);
            return absolute(w, "R", "greatest reaction", &r);
        }
        w.given("R", "greatest reaction", due.abs(), Kind::Force, CLAPEYRON)
    }
}

/// The source of the moments over inner supports.
const CLAPEYRON_THREE: &str = "Clapeyron's three-moment equation";
