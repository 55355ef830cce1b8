//! A calculation line by line: the same code computes a check in silence and writes it out for a
//! person with a calculator.
//!
//! In silence nothing is rounded and nothing kept. Written out, every number is rounded to five
//! figures in its shown unit before it goes on, so that each line can be worked again from the
//! numbers that stand in it. The units of a sheet fit one another (N, mm, or lb, in): no line hides
//! a conversion.

use crate::units::UnitSystem;
use schemars::JsonSchema;
use serde::Serialize;
use std::borrow::Cow;

/// What a number is, which decides its unit.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Kind {
    Number,
    Length,
    Area,
    /// Section modulus.
    Modulus,
    SecondMoment,
    Stress,
    Force,
    Moment,
    LineLoad,
}

const POUND: f64 = 4.448_221_615_260_5;
const INCH: f64 = 0.0254;

impl Kind {
    /// The unit of a system, and its size in SI.
    #[must_use]
    pub fn unit(self, units: UnitSystem) -> (&'static str, f64) {
        let (force, length) = match units {
            UnitSystem::Feet => (POUND, INCH),
            UnitSystem::Metres => (1.0, 1e-3),
        };
        let feet = units == UnitSystem::Feet;
        let pick = |a: &'static str, b: &'static str| if feet { a } else { b };
        match self {
            Self::Number => ("", 1.0),
            Self::Length => (pick("in", "mm"), length),
            Self::Area => (pick("in2", "mm2"), length.powi(2)),
            Self::Modulus => (pick("in3", "mm3"), length.powi(3)),
            Self::SecondMoment => (pick("in4", "mm4"), length.powi(4)),
            Self::Stress => (pick("psi", "N/mm2"), force / length.powi(2)),
            Self::Force => (pick("lb", "N"), force),
            Self::Moment => (pick("lb in", "N mm"), force * length),
            Self::LineLoad => (pick("lb/in", "N/mm"), force / length),
        }
    }
}

/// A number with the letters it goes by.
#[derive(Clone, Debug, PartialEq)]
pub struct Value {
    pub symbol: Cow<'static, str>,
    pub si: f64,
    pub kind: Kind,
}

impl Value {
    /// The same number by other letters.
    #[must_use]
    pub fn called(&self, symbol: &'static str) -> Self {
        Self { symbol: symbol.into(), ..self.clone() }
    }
}

/// A number put into a line.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct Input {
    pub symbol: String,
    /// In `unit`, as shown.
    pub value: f64,
    pub unit: String,
}

/// One line of a sheet.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct Line {
    pub symbol: String,
    pub meaning: String,
    /// Empty where the number is given. Otherwise what to work out with the inputs, with `+ - * / ^`,
    /// brackets, `pi`, `sqrt`, `min`, `max`.
    pub formula: String,
    pub inputs: Vec<Input>,
    /// In `unit`, as shown.
    pub value: f64,
    pub unit: String,
    /// Where the number or the formula comes from.
    pub source: String,
}

/// A headed part of a sheet.
#[derive(Clone, Debug, Default, PartialEq, Serialize, JsonSchema)]
pub struct Section {
    pub title: String,
    pub lines: Vec<Line>,
    /// What could not be worked out, or is left out: in sentences.
    pub notes: Vec<String>,
}

/// A calculation going on.
#[derive(Clone, Debug, PartialEq)]
pub struct Work {
    units: Option<UnitSystem>,
    pub sections: Vec<Section>,
    /// The greatest share of a capacity that is used so far, 1 at the limit; not a number where one is not.
    most: Option<f64>,
}

/// Figures shown.
const FIGURES: i32 = 5;

impl Work {
    /// Computes and keeps nothing.
    #[must_use]
    pub fn silent() -> Self {
        Self { units: None, sections: Vec::new(), most: None }
    }

    /// Writes every line down, in the units of a system.
    #[must_use]
    pub fn written(units: UnitSystem) -> Self {
        Self { units: Some(units), sections: Vec::new(), most: None }
    }

    /// Whether lines are kept: long words need not be put together otherwise.
    #[must_use]
    pub fn is_written(&self) -> bool {
        self.units.is_some()
    }

    /// The greatest share of a capacity that was used in all that was worked out; none: nothing was.
    #[must_use]
    pub fn most(&self) -> Option<f64> {
        self.most
    }

    /// Takes a share in. What is not a number stays what is known. A length is how far something sags,
    /// which uses no capacity.
    pub(super) fn uses(&mut self, demand: &Value, share: f64) {
        if demand.kind == Kind::Length {
            return;
        }
        let most = self.most.unwrap_or(f64::NEG_INFINITY);
        self.most = Some(if share.is_nan() || most.is_nan() { f64::NAN } else { most.max(share) });
    }

    /// Begins a headed part.
    pub fn section(&mut self, title: impl FnOnce() -> String) {
        if self.is_written() {
            self.sections.push(Section { title: title(), ..Section::default() });
        }
    }

    /// Adds a sentence to the part.
    pub fn note(&mut self, note: impl FnOnce() -> String) {
        if self.is_written() {
            self.open().notes.push(note());
        }
    }

    fn open(&mut self) -> &mut Section {
        if self.sections.is_empty() {
            self.sections.push(Section::default());
        }
        let last = self.sections.len() - 1;
        &mut self.sections[last]
    }

    /// A number that is given, in SI.
    pub fn given(
        &mut self,
        symbol: impl Into<Cow<'static, str>>,
        meaning: &str,
        si: f64,
        kind: Kind,
        source: &str,
    ) -> Value {
        let symbol = symbol.into();
        let Some(units) = self.units else { return Value { symbol, si, kind } };
        let (unit, size) = kind.unit(units);
        let value = rounded(si / size);
        let line = Line {
            symbol: symbol.to_string(),
            meaning: meaning.to_owned(),
            formula: String::new(),
            inputs: Vec::new(),
            value,
            unit: unit.to_owned(),
            source: source.to_owned(),
        };
        self.open().lines.push(line);
        Value { symbol, si: value * size, kind }
    }

    /// A number worked out: `f` gets the inputs in SI, in their order, and `formula` says the same
    /// in their letters.
    pub fn line(
        &mut self,
        symbol: impl Into<Cow<'static, str>>,
        meaning: &str,
        formula: &str,
        kind: Kind,
        inputs: &[&Value],
        source: &str,
        f: impl FnOnce(&[f64]) -> f64,
    ) -> Value {
        let symbol = symbol.into();
        // A few inputs at most; no allocation for them.
        let mut si = [0.0; 8];
        let si: &[f64] = if inputs.len() <= si.len() {
            for (slot, input) in si.iter_mut().zip(inputs) {
                *slot = input.si;
            }
            &si[..inputs.len()]
        } else {
            &inputs.iter().map(|v| v.si).collect::<Vec<f64>>()
        };
        let result = f(si);
        let Some(units) = self.units else { return Value { symbol, si: result, kind } };
        let (unit, size) = kind.unit(units);
        let value = rounded(result / size);
        let line = Line {
            symbol: symbol.to_string(),
            meaning: meaning.to_owned(),
            formula: formula.to_owned(),
            inputs: inputs
                .iter()
                .map(|v| {
                    let (unit, size) = v.kind.unit(units);
                    let symbol = v.symbol.to_string();
                    Input { symbol, value: rounded(v.si / size), unit: unit.to_owned() }
                })
                .collect(),
            value,
            unit: unit.to_owned(),
            source: source.to_owned(),
        };
        self.open().lines.push(line);
        Value { symbol, si: value * size, kind }
    }
}

/// To five figures.
fn rounded(value: f64) -> f64 {
    if !value.is_finite() || value == 0.0 {
        return value;
    }
    #[allow(clippy::cast_possible_truncation, reason = "a power of ten of a finite number")]
    let power = FIGURES - 1 - value.abs().log10().floor() as i32;
    // Through text, so that the number is the one that is printed.
    let places = usize::try_from(power).unwrap_or(0).min(300);
    if power >= 0 {
        format!("{value:.places$}").parse().unwrap_or(value)
    } else {
        let step = 10f64.powi(-power);
        (value / step).round() * step
    }
}
