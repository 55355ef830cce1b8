//! A bar's worst moment, shear and reaction, in silence by [`statics`](super::statics), written out
//! by levers that a person can follow.

use super::statics::{Bar, Worst};
use super::work::{Kind, Value, Work};
use crate::loads::beam::Piece;

/// Sum of forces and of moments.
pub const STATICS: &str = "statics: sum of forces, sum of moments";
/// What the supports of a bar over more than two are worked out by.
pub const CLAPEYRON: &str =
    "Clapeyron's three-moment equations, and the bar cut at its supports: the greater";

/// Demand on a bar.
#[derive(Clone, Debug, PartialEq)]
pub struct Forces {
    pub moment: Value,
    pub shear: Value,
    pub reaction: Value,
    pub worst: Worst,
}

/// The worst of a bar; none where it has fewer than two supports. `names` are those of the loads,
/// in their order, for the written sheet.
pub fn forces(w: &mut Work, bar: &Bar<'_>, names: &[String]) -> Option<Forces> {
    let worst = bar.worst()?;
    if !w.is_written() {
        let value = |symbol: &'static str, si: f64, kind| Value {
            symbol: symbol.into(),
            si: si.abs(),
            kind,
        };
        return Some(Forces {
            moment: value("M", worst.moment.1, Kind::Moment),
            shear: value("V", worst.shear.1, Kind::Force),
            reaction: value("R", worst.reaction.1, Kind::Force),
            worst,
        });
    }
    let letters = Letters::write(w, bar, names);
    if bar.supports.len() > 2 {
        let [moment, shear, reaction] = super::spans::write(w, bar, &letters, &worst)?;
        return Some(Forces { moment, shear, reaction, worst });
    }
    let [a, b] = letters.two_reactions(w);
    let reaction = if worst.reaction.0 == 0 { &a } else { &b }.clone();
    let reaction = absolute(w, "R", "greatest reaction", &reaction);
    let moment = letters.moment(w, bar, [&a, &b], worst.moment.0);
    let shear = letters.shear(w, bar, [&a, &b], worst.shear);
    Some(Forces { moment, shear, reaction, worst })
}

pub(in crate::capacity) fn absolute(
    w: &mut Work,
    symbol: &'static str,
    meaning: &str,
    value: &Value,
) -> Value {
    let formula = format!("max({0},-{0})", value.symbol);
    w.line(symbol, meaning, &formula, value.kind, &[value], STATICS, |v| v[0].abs())
}

/// The loads and supports of a bar as they stand on the sheet.
pub(in crate::capacity) struct Letters {
    /// By load: size and centre; first and last station where it is spread.
    pub(in crate::capacity) loads: Vec<(Value, Value, Option<[Value; 2]>)>,
    pub(in crate::capacity) supports: Vec<Value>,
}

/// Terms of a sum, with what goes into them.
#[derive(Default)]
pub(in crate::capacity) struct Sum {
    text: String,
    inputs: Vec<Value>,
    pub(in crate::capacity) total: f64,
}

impl Sum {
    pub(in crate::capacity) fn add(
        &mut self,
        sign: char,
        text: &str,
        inputs: &[&Value],
        value: f64,
    ) {
        if !(self.text.is_empty() && sign == '+') {
            self.text.push(sign);
        }
        self.text.push_str(text);
        for input in inputs {
            if !self.inputs.iter().any(|i| i.symbol == input.symbol) {
                self.inputs.push((*input).clone());
            }
        }
        self.total += if sign == '-' { -value } else { value };
    }
}

impl Letters {
    fn write(w: &mut Work, bar: &Bar<'_>, names: &[String]) -> Self {
        let station = |w: &mut Work, s: String, what: &str, at: f64| {
            w.given(s, what, at, Kind::Length, "scene")
        };
        let mut supports = Vec::new();
        for (i, &at) in bar.supports.iter().enumerate() {
            let what = format!("support {} from the first end", i + 1);
            supports.push(station(w, format!("x_{}", i + 1), &what, at));
        }
        let mut loads = Vec::new();
        for (i, load) in bar.loads.iter().enumerate() {
            let n = i + 1;
            let name = names.get(i).map_or("load", String::as_str);
            let size =
                w.given(format!("W_{n}"), name, load.force, Kind::Force, "loads of the stage");
            let centre = station(w, format!("c_{n}"), "its centre", load.centre);
            let spread = (load.to - load.from > 1e-9).then(|| {
                [
                    station(w, format!("a_{n}"), "where it begins", load.from),
                    station(w, format!("b_{n}"), "where it ends", load.to),
                ]
            });
            loads.push((size, centre, spread));
        }
        Self { loads, supports }
    }

    /// By levers about the other support.
    fn two_reactions(&self, w: &mut Work) -> [Value; 2] {
        let [first, second] = [&self.supports[0], &self.supports[1]];
        let mut sum = Sum::default();
        let mut all = Sum::default();
        for (size, centre, _) in &self.loads {
            let text = format!("{}*({}-x_1)", size.symbol, centre.symbol);
            sum.add('+', &text, &[size, centre, first], size.si * (centre.si - first.si));
            all.add('+', &size.symbol, &[size], size.si);
        }
        let value = sum.total / (second.si - first.si);
        let formula = format!("({})/(x_2-x_1)", sum.text);
        let mut inputs: Vec<&Value> = sum.inputs.iter().collect();
        if !inputs.iter().any(|i| i.symbol == first.symbol) {
            inputs.push(first);
        }
        inputs.push(second);
        let b =
            w.line("R_2", "reaction of support 2", &formula, Kind::Force, &inputs, STATICS, |_| {
                value
            });
        let value = all.total - b.si;
        let formula = format!("{}-R_2", all.text);
        let mut inputs: Vec<&Value> = all.inputs.iter().collect();
        inputs.push(&b);
        let a =
            w.line("R_1", "reaction of support 1", &formula, Kind::Force, &inputs, STATICS, |_| {
                value
            });
        [a, b]
    }

    fn moment(&self, w: &mut Work, bar: &Bar<'_>, reactions: [&Value; 2], at: f64) -> Value {
        let x = w.given(
            "x",
            "where the moment is greatest",
            at,
            Kind::Length,
            "where the shear changes sign",
        );
        let mut sum = Sum::default();
        for (support, reaction) in self.supports.iter().zip(reactions) {
            if support.si < x.si {
                let text = format!("{}*(x-{})", reaction.symbol, support.symbol);
                sum.add('+', &text, &[reaction, &x, support], reaction.si * (x.si - support.si));
            }
        }
        for (load, (size, centre, spread)) in bar.loads.iter().zip(&self.loads) {
            match spread {
                Some([a, b]) if a.si < x.si && x.si < b.si => {
                    if even(load) {
                        let text =
                            format!("{0}*(x-{1})^2/(2*({2}-{1}))", size.symbol, a.symbol, b.symbol);
                        let value = size.si * (x.si - a.si).powi(2) / (2.0 * (b.si - a.si));
                        sum.add('-', &text, &[size, &x, a, b], value);
                    } else {
                        let (_, m) = super::statics::part_left(load, x.si);
                        let n = size.symbol.trim_start_matches("W_").to_owned();
                        let part = w.given(
                            format!("m_{n}"),
                            "moment of the part of it left of x",
                            m,
                            Kind::Moment,
                            STATICS,
                        );
                        sum.add('-', &part.symbol, &[&part], part.si);
                    }
                }
                _ if centre.si < x.si => {
                    let text = format!("{}*(x-{})", size.symbol, centre.symbol);
                    sum.add('-', &text, &[size, &x, centre], size.si * (x.si - centre.si));
                }
                _ => {}
            }
        }
        let m = finish(w, "m", "moment there, sagging positive", Kind::Moment, &sum);
        absolute(w, "M", "greatest moment", &m)
    }

    fn shear(
        &self,
        w: &mut Work,
        bar: &Bar<'_>,
        reactions: [&Value; 2],
        (at, sign): (f64, f64),
    ) -> Value {
        // Just left or right of a point, whichever gives the greater: found by its value.
        let mut best: Option<Sum> = None;
        for nudge in [-1e-6, 1e-6] {
            let x = at + nudge;
            let mut sum = Sum::default();
            for (station, reaction) in bar.supports.iter().zip(reactions) {
                if *station < x {
                    sum.add('+', &reaction.symbol, &[reaction], reaction.si);
                }
            }
            for (load, (size, _, spread)) in bar.loads.iter().zip(&self.loads) {
                let part = super::statics::part_left(load, x).0;
                let whole = (part - load.force).abs() <= 1e-4 * load.force.abs();
                match spread {
                    _ if part == 0.0 || part.abs() <= 1e-4 * load.force.abs() => {}
                    _ if whole => sum.add('-', &size.symbol, &[size], size.si),
                    Some([a, b]) if even(load) => {
                        let s = bar.supports.iter().position(|s| (*s - at).abs() < 1e-9);
                        let Some(to) = s.and_then(|i| self.supports.get(i)) else { continue };
                        let text = format!(
                            "{0}*({1}-{2})/({3}-{2})",
                            size.symbol, to.symbol, a.symbol, b.symbol
                        );
                        let value = size.si * (to.si - a.si) / (b.si - a.si);
                        sum.add('-', &text, &[size, to, a, b], value);
                    }
                    _ => {}
                }
            }
            if best.as_ref().is_none_or(|b| (sum.total - sign).abs() < (b.total - sign).abs()) {
                best = Some(sum);
            }
        }
        let found = best.filter(|sum| (sum.total - sign).abs() <= 1e-3 * sign.abs());
        match found {
            Some(sum) => {
                let v = finish(w, "v", "shear beside a support or load", Kind::Force, &sum);
                absolute(w, "V", "greatest shear", &v)
            }
            None => w.given("V", "greatest shear", sign.abs(), Kind::Force, STATICS),
        }
    }
}

/// Spread evenly.
pub(in crate::capacity) fn even(load: &Piece) -> bool {
    (load.centre - 0.5 * (load.from + load.to)).abs() < 1e-9
}

pub(in crate::capacity) fn finish(
    w: &mut Work,
    symbol: impl Into<std::borrow::Cow<'static, str>>,
    meaning: &str,
    kind: Kind,
    sum: &Sum,
) -> Value {
    let inputs: Vec<&Value> = sum.inputs.iter().collect();
    let text = if sum.text.is_empty() { "0" } else { &sum.text };
    w.line(symbol, meaning, text, kind, &inputs, STATICS, |_| sum.total)
}
