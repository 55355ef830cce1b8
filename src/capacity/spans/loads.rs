//! Terms of loads between two stations: force, moment about a point, and the load term of a span.

use super::Sheet;
use crate::capacity::beam::{Sum, even, finish};
use crate::capacity::statics::{self, Bar};
use crate::capacity::work::{Kind, Value, Work};

/// Source of what is given of a load that is not even.
const STATICS: &str = crate::capacity::beam::STATICS;

/// Part of a load between two stations: letters and numbers of where it begins and ends.
struct Part<'a> {
    from: &'a Value,
    to: &'a Value,
}

impl Sheet<'_, '_> {
    /// The part of a spread load between two stations, given by letters.
    fn part<'a>(
        &self,
        spread: &'a [Value; 2],
        low: Option<&'a Value>,
        high: Option<&'a Value>,
    ) -> Option<Part<'a>> {
        let [a, b] = spread;
        let from = low.filter(|l| l.si > a.si).unwrap_or(a);
        let to = high.filter(|h| h.si < b.si).unwrap_or(b);
        (to.si - from.si > 1e-9).then_some(Part { from, to })
    }

    fn within(low: Option<&Value>, high: Option<&Value>, c: &Value) -> bool {
        low.is_none_or(|l| c.si > l.si) && high.is_none_or(|h| c.si < h.si)
    }

    /// Adds, of each load between two stations, its force.
    pub(super) fn forces(
        &self,
        w: &mut Work,
        sum: &mut Sum,
        sign: char,
        [low, high]: [Option<&Value>; 2],
    ) {
        for (k, (size, centre, spread)) in self.letters.loads.iter().enumerate() {
            match spread {
                None if Self::within(low, high, centre) => {
                    sum.add(sign, &size.symbol, &[size], size.si);
                }
                None => {}
                Some(spread) => {
                    let Some(Part { from, to }) = self.part(spread, low, high) else { continue };
                    let [a, b] = spread;
                    if from.si <= a.si && to.si >= b.si {
                        sum.add(sign, &size.symbol, &[size], size.si);
                    } else if even(&self.bar.loads[k]) {
                        let text = format!(
                            "{}*({}-{})/({}-{})",
                            size.symbol, to.symbol, from.symbol, b.symbol, a.symbol
                        );
                        let value = size.si * (to.si - from.si) / (b.si - a.si);
                        sum.add(sign, &text, &[size, from, to, a, b], value);
                    } else {
                        let part = self.uneven(w, k, from.si, to.si, None);
                        sum.add(sign, &part.symbol, &[&part], part.si);
                    }
                }
            }
        }
    }

    /// Adds, of each load between two stations, its moment about a station, positive where it lies
    /// left of that.
    pub(super) fn about(
        &self,
        w: &mut Work,
        sum: &mut Sum,
        sign: char,
        [low, high]: [Option<&Value>; 2],
        x: &Value,
    ) {
        for (k, (size, centre, spread)) in self.letters.loads.iter().enumerate() {
            match spread {
                None if Self::within(low, high, centre) => {
                    let text = format!("{}*({}-{})", size.symbol, x.symbol, centre.symbol);
                    sum.add(sign, &text, &[size, x, centre], size.si * (x.si - centre.si));
                }
                None => {}
                Some(spread) => {
                    let Some(Part { from, to }) = self.part(spread, low, high) else { continue };
                    let [a, b] = spread;
                    if even(&self.bar.loads[k]) {
                        let text = format!(
                            "{0}*({2}-{1})/({4}-{3})*({5}-({1}+{2})/2)",
                            size.symbol, from.symbol, to.symbol, a.symbol, b.symbol, x.symbol
                        );
                        let value = size.si * (to.si - from.si) / (b.si - a.si)
                            * (x.si - 0.5 * (from.si + to.si));
                        sum.add(sign, &text, &[size, from, to, a, b, x], value);
                    } else {
                        let part = self.uneven(w, k, from.si, to.si, Some(x.si));
                        sum.add(sign, &part.symbol, &[&part], part.si);
                    }
                }
            }
        }
    }

    /// A part of a load that is not even: its force, or its moment about a station.
    fn uneven(&self, w: &mut Work, k: usize, from: f64, to: f64, about: Option<f64>) -> Value {
        let load = &self.bar.loads[k];
        let (before, _) = statics::part_left(load, from);
        let (upto, _) = statics::part_left(load, to);
        let n = k + 1;
        match about {
            None => {
                let symbol = format!("P_{n}_{}", (1e3 * to).round());
                let what = format!("part of load {n} there");
                w.given(symbol, &what, upto - before, Kind::Force, STATICS)
            }
            Some(x) => {
                let at = |cut: f64| {
                    let (force, moment) = statics::part_left(load, cut);
                    moment + force * (x - cut)
                };
                let symbol = format!("q_{n}_{}", (1e3 * to).round());
                let what = format!("moment of the part of load {n} there");
                w.given(symbol, &what, at(to) - at(from), Kind::Moment, STATICS)
            }
        }
    }

    /// Load term of the three-moment equation over the span's length: P·u·(L² − u²)/L² summed over
    /// its loads, u from the far end.
    pub(super) fn term(&self, w: &mut Work, i: usize, length: &Value, right: bool) -> Value {
        let (low, high) = (&self.letters.supports[i], &self.letters.supports[i + 1]);
        let far = if right { low } else { high };
        let l = &length.symbol;
        let from_far = |v: &Value| {
            if right {
                (format!("({}-{})", v.symbol, far.symbol), v.si - far.si)
            } else {
                (format!("({}-{})", far.symbol, v.symbol), far.si - v.si)
            }
        };
        let mut sum = Sum::default();
        for (k, (size, centre, spread)) in self.letters.loads.iter().enumerate() {
            match spread {
                None if Self::within(Some(low), Some(high), centre) => {
                    let (u, s) = from_far(centre);
                    let text = format!("{}*{u}*({l}^2-{u}^2)/{l}^2", size.symbol);
                    let square = length.si * length.si;
                    let value = size.si * s * (square - s * s) / square;
                    sum.add('+', &text, &[size, centre, far, length], value);
                }
                None => {}
                Some(spread) => {
                    let Some(Part { from, to }) = self.part(spread, Some(low), Some(high)) else {
                        continue;
                    };
                    let [a, b] = spread;
                    let (near, beyond) = if right { (from, to) } else { (to, from) };
                    let ((u, su), (v, sv)) = (from_far(near), from_far(beyond));
                    if even(&self.bar.loads[k]) {
                        let text = format!(
                            "{0}/({1}-{2})*(2*{l}^2*({v}^2-{u}^2)-({v}^4-{u}^4))/(4*{l}^2)",
                            size.symbol, b.symbol, a.symbol
                        );
                        let square = length.si * length.si;
                        let value = size.si / (b.si - a.si)
                            * (2.0 * square * (sv * sv - su * su) - (sv.powi(4) - su.powi(4)))
                            / (4.0 * square);
                        sum.add('+', &text, &[size, b, a, near, beyond, far, length], value);
                    } else {
                        let part = self.uneven_term(k, i, right);
                        let symbol =
                            format!("{}_{}_{}", if right { "a" } else { "b" }, k + 1, i + 1);
                        let what = format!("term of load {}, which is not even", k + 1);
                        let part = w.given(symbol, &what, part, Kind::Moment, STATICS);
                        sum.add('+', &part.symbol, &[&part], part.si);
                    }
                }
            }
        }
        let n = i + 1;
        let (letter, to) = if right { ("A", n + 1) } else { ("B", n) };
        let meaning = format!("load term of span {n} at support {to}, over its length");
        finish(w, format!("{letter}_{n}"), &meaning, Kind::Moment, &sum)
    }

    fn uneven_term(&self, k: usize, span: usize, right: bool) -> f64 {
        let one = [self.bar.loads[k]];
        let alone = Bar { length: self.bar.length, supports: self.bar.supports, loads: &one };
        let l = self.bar.supports[span + 1] - self.bar.supports[span];
        alone.term(span, right) / l
    }
}
