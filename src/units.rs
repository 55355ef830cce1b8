//! Quantities with their unit: read from text, SI inside, shown in feet-and-inches or metres.

mod show;

use serde::{Deserialize, Deserializer, Serialize, Serializer};
use std::fmt;

/// How numbers are shown to a person. Files may mix units freely; this is display only.
#[derive(
    Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize, schemars::JsonSchema,
)]
#[serde(rename_all = "snake_case")]
pub enum UnitSystem {
    /// Feet and inches, pounds, psf.
    Feet,
    /// Metres, kilonewtons, kN/m².
    #[default]
    Metres,
}

/// Why a text is not the quantity that is due.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum QuantityError {
    /// A number without a unit.
    #[error("a bare number where a {kind} is due: write it with its unit, such as {example}")]
    BareNumber { kind: &'static str, example: &'static str },
    /// Text that does not read as a number and a unit of this kind.
    #[error("\"{text}\" is not a {kind}: units that fit are {units}")]
    Unreadable { text: String, kind: &'static str, units: &'static str },
    /// NaN or infinite.
    #[error("\"{text}\" is not a finite {kind}")]
    NotFinite { text: String, kind: &'static str },
}

macro_rules! quantity {
    ($(#[$doc:meta])* $name:ident, $kind:literal, $example:literal, [$($unit:literal => $factor:expr),+ $(,)?]) => {
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd)]
        pub struct $name(pub f64);

        impl $name {
            /// The units that fit, with the factor to SI.
            pub const UNITS: &'static [(&'static str, f64)] = &[$(($unit, $factor)),+];
            /// The value in SI units.
            #[must_use]
            pub fn si(self) -> f64 { self.0 }
        }

        impl std::str::FromStr for $name {
            type Err = QuantityError;
            fn from_str(text: &str) -> Result<Self, QuantityError> {
                parse(text, $kind, $example, concat!($($unit, " "),+), Self::UNITS).map(Self)
            }
        }

        impl<'de> Deserialize<'de> for $name {
            fn deserialize<D: Deserializer<'de>>(d: D) -> Result<Self, D::Error> {
                d.deserialize_any(QuantityVisitor { kind: $kind, example: $example,
                    units: concat!($($unit, " "),+), table: Self::UNITS }).map(Self)
            }
        }

        impl Serialize for $name {
            fn serialize<S: Serializer>(&self, s: S) -> Result<S::Ok, S::Error> {
                s.serialize_str(&format!("{} {}", self.0 / Self::UNITS[0].1, Self::UNITS[0].0))
            }
        }

        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                write!(f, "{} {}", self.0 / Self::UNITS[0].1, Self::UNITS[0].0)
            }
        }
    };
}

quantity!(
    /// A length in metres.
    Length, "length", "\"1.8 m\" or \"6 ft 2 in\"",
    ["m" => 1.0, "mm" => 0.001, "cm" => 0.01, "ft" => 0.3048, "in" => 0.0254]
);
quantity!(
    /// A force in newtons.
    Force, "force", "\"12 kN\" or \"250 lb\"",
    ["N" => 1.0, "kN" => 1e3, "lb" => 4.448_221_615_260_5, "lbf" => 4.448_221_615_260_5, "kip" => 4_448.221_615_260_5]
);
quantity!(
    /// A pressure in pascals.
    Pressure, "pressure", "\"50 psf\" or \"2.4 kPa\"",
    ["Pa" => 1.0, "kPa" => 1e3, "MPa" => 1e6, "GPa" => 1e9, "kN/m2" => 1e3, "N/mm2" => 1e6,
     "psf" => 47.880_258_980_335_8, "ksf" => 47_880.258_980_335_8, "psi" => 6_894.757_293_168_36, "ksi" => 6_894_757.293_168_36]
);
quantity!(
    /// A load per length in newtons per metre.
    LineLoad, "line load", "\"100 plf\" or \"1.5 kN/m\"",
    ["N/m" => 1.0, "kN/m" => 1e3, "plf" => 14.593_902_937_206_4, "klf" => 14_593.902_937_206_4]
);
quantity!(
    /// A mass in kilograms.
    Mass, "mass", "\"25 kg\" or \"55 lb\"",
    ["kg" => 1.0, "lb" => 0.453_592_37]
);
quantity!(
    /// A weight density in newtons per cubic metre.
    Density, "weight density", "\"24 kN/m3\" or \"150 pcf\"",
    ["N/m3" => 1.0, "kN/m3" => 1e3, "pcf" => 157.087_463_846_246]
);
quantity!(
    /// A bending moment in newton metres.
    Moment, "moment", "\"2.5 kN m\" or \"1800 lb ft\"",
    ["N m" => 1.0, "kN m" => 1e3, "lb ft" => 1.355_817_948_331_4, "kip ft" => 1_355.817_948_331_4]
);
quantity!(
    /// An angle in radians.
    Angle, "angle", "\"1.5 deg\"",
    ["rad" => 1.0, "deg" => std::f64::consts::PI / 180.0]
);
quantity!(
    /// A stiffness in newtons per metre.
    Stiffness, "stiffness", "\"5 kN/mm\" or \"30 kip/in\"",
    ["N/m" => 1.0, "kN/m" => 1e3, "kN/mm" => 1e6, "kip/in" => 175_126.835_246_477]
);
quantity!(
    /// A cross-section area in square metres.
    Area, "area", "\"6.2 cm2\"",
    ["m2" => 1.0, "cm2" => 1e-4, "mm2" => 1e-6, "in2" => 6.4516e-4, "ft2" => 0.092_903_04]
);
quantity!(
    /// A second moment of area in metres to the fourth.
    SecondMoment, "second moment of area", "\"24.1 cm4\"",
    ["m4" => 1.0, "cm4" => 1e-8, "mm4" => 1e-12, "in4" => 4.162_314_256e-7]
);
quantity!(
    /// A speed in metres per second.
    Speed, "speed", "\"18 m/s\" or \"40 mph\"",
    ["m/s" => 1.0, "km/h" => 1.0 / 3.6, "mph" => 0.447_04]
);

struct QuantityVisitor {
    kind: &'static str,
    example: &'static str,
    units: &'static str,
    table: &'static [(&'static str, f64)],
}

impl serde::de::Visitor<'_> for QuantityVisitor {
    type Value = f64;
    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "a {} with its unit, such as {}", self.kind, self.example)
    }
    fn visit_str<E: serde::de::Error>(self, text: &str) -> Result<f64, E> {
        parse(text, self.kind, self.example, self.units, self.table).map_err(E::custom)
    }
    fn visit_f64<E: serde::de::Error>(self, _: f64) -> Result<f64, E> {
        Err(E::custom(QuantityError::BareNumber { kind: self.kind, example: self.example }))
    }
    fn visit_i64<E: serde::de::Error>(self, _: i64) -> Result<f64, E> {
        self.visit_f64(0.0)
    }
    fn visit_u64<E: serde::de::Error>(self, _: u64) -> Result<f64, E> {
        self.visit_f64(0.0)
    }
}

/// Sums parts such as `10 ft 6 in`; a sign in front counts for the whole.
fn parse(
    text: &str,
    kind: &'static str,
    example: &'static str,
    units: &'static str,
    table: &[(&'static str, f64)],
) -> Result<f64, QuantityError> {
    let unreadable = || QuantityError::Unreadable { text: text.to_owned(), kind, units };
    let trimmed = text.trim();
    let (sign, mut rest) = match trimmed.strip_prefix('-') {
        Some(rest) => (-1.0, rest.trim_start()),
        None => (1.0, trimmed),
    };
    if rest.parse::<f64>().is_ok_and(f64::is_finite) {
        return Err(QuantityError::BareNumber { kind, example });
    }
    let mut total = 0.0;
    let mut any = false;
    while !rest.is_empty() {
        let number_end = rest
            .find(|c: char| !(c.is_ascii_digit() || c == '.' || c == '_'))
            .ok_or_else(unreadable)?;
        let mut number: f64 = rest[..number_end].replace('_', "").parse().map_err(|_| {
            if rest.starts_with("inf") || rest.starts_with("nan") || rest.starts_with("NaN") {
                QuantityError::NotFinite { text: text.to_owned(), kind }
            } else {
                unreadable()
            }
        })?;
        rest = &rest[number_end..];
        if let Some((exponent, after)) = exponent(rest) {
            number *= 10f64.powi(exponent);
            rest = after;
        } else if let Some((above, below, after)) = fraction(rest) {
            // "6 1/2 in": a whole number, a blank, a fraction.
            number = if above < 0.0 { number / below } else { number + above / below };
            rest = after;
        }
        rest = rest.trim_start();
        let unit_end = rest
            .char_indices()
            .find(|&(i, c)| c.is_ascii_digit() && !unit_digit(rest, i))
            .map_or(rest.len(), |(i, _)| i);
        let unit = rest[..unit_end].trim().replace('²', "2").replace('³', "3").replace('⁴', "4");
        let factor = table.iter().find(|(name, _)| *name == unit).ok_or_else(unreadable)?.1;
        total += number * factor;
        any = true;
        rest = rest[unit_end..].trim_start();
    }
    if !any {
        return Err(unreadable());
    }
    let value = sign * total;
    if value.is_finite() {
        Ok(value)
    } else {
        Err(QuantityError::NotFinite { text: text.to_owned(), kind })
    }
}

/// A digit that belongs to a unit (`m2`, `kN/m3`): it follows a letter directly.
fn unit_digit(text: &str, at: usize) -> bool {
    text[..at].chars().next_back().is_some_and(char::is_alphabetic)
}

fn exponent(rest: &str) -> Option<(i32, &str)> {
    let after = rest.strip_prefix(['e', 'E'])?;
    let end = after
        .char_indices()
        .find(|&(i, c)| !(c.is_ascii_digit() || (i == 0 && (c == '-' || c == '+'))))
        .map_or(after.len(), |(i, _)| i);
    after[..end].parse().ok().map(|e| (e, &after[end..]))
}

/// `" 1/2 in"` after a whole number gives (1, 2, " in"); `"/2 in"` gives (-1, 2, " in").
fn fraction(rest: &str) -> Option<(f64, f64, &str)> {
    let (above, after) = if let Some(after) = rest.strip_prefix('/') {
        (-1.0, after)
    } else {
        let rest = rest.trim_start();
        let slash = rest.find('/')?;
        (rest[..slash].parse::<u32>().ok()?.into(), &rest[slash + 1..])
    };
    let end = after.find(|c: char| !c.is_ascii_digit())?;
    let below: u32 = after[..end].parse().ok()?;
    (below > 0).then(|| (above, f64::from(below), &after[end..]))
}
