//! Quantities with their unit: read from text, SI inside, shown in feet-and-inches or metres.

mod parse;
mod show;

pub use show::show;

use parse::{Kind, parse};
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
    #[error(
        "a bare number where a {kind} is due: write it with its unit ({units}), such as {example}"
    )]
    BareNumber { kind: &'static str, units: String, example: &'static str },
    /// Text that does not read as a number and a unit of this kind.
    #[error("\"{text}\" is not a {kind}: units that fit are {units}")]
    Unreadable { text: String, kind: &'static str, units: String },
    /// A comma, which is read as a decimal point in some places and not in others.
    #[error("\"{text}\" has a comma in it: write a decimal point, and nothing between thousands")]
    Comma { text: String },
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
            const KIND: Kind = Kind { kind: $kind, example: $example, units: Self::UNITS };

            /// The value in SI units.
            #[must_use]
            pub fn si(self) -> f64 { self.0 }
        }

        impl std::str::FromStr for $name {
            type Err = QuantityError;
            fn from_str(text: &str) -> Result<Self, QuantityError> {
                parse(text, Self::KIND).map(Self)
            }
        }

        impl<'de> Deserialize<'de> for $name {
            fn deserialize<D: Deserializer<'de>>(d: D) -> Result<Self, D::Error> {
                d.deserialize_any(QuantityVisitor(Self::KIND)).map(Self)
            }
        }

        impl Serialize for $name {
            fn serialize<S: Serializer>(&self, s: S) -> Result<S::Ok, S::Error> {
                s.collect_str(self)
            }
        }

        /// In the SI unit, with all digits: it reads back as the same number.
        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                write!(f, "{} {}", self.0, Self::UNITS[0].0)
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
    ["N m" => 1.0, "kN m" => 1e3, "lb ft" => 1.355_817_948_331_4, "kip ft" => 1_355.817_948_331_4,
     "Nm" => 1.0, "kNm" => 1e3, "ft lb" => 1.355_817_948_331_4, "lb-ft" => 1.355_817_948_331_4,
     "ft-lb" => 1.355_817_948_331_4, "kip-ft" => 1_355.817_948_331_4]
);
quantity!(
    /// An angle in radians.
    Angle, "angle", "\"1.5 deg\"",
    ["rad" => 1.0, "deg" => std::f64::consts::PI / 180.0, "°" => std::f64::consts::PI / 180.0]
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

quantity!(
    /// A length of time in seconds.
    Time, "time", "\"18 h\" or \"7 d\"",
    ["s" => 1.0, "min" => 60.0, "h" => 3600.0, "d" => 86_400.0]
);
quantity!(
    /// A temperature–time factor of concrete in °C·h.
    Maturity, "temperature–time factor", "\"1440 °C h\"",
    ["°C h" => 1.0, "C h" => 1.0, "°C d" => 24.0, "C d" => 24.0, "°F h" => 1.0 / 1.8, "F h" => 1.0 / 1.8]
);

/// A temperature in degrees Celsius, written `"20 °C"` or `"68 °F"`.
#[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd)]
pub struct Temperature(pub f64);

impl std::str::FromStr for Temperature {
    type Err = QuantityError;
    fn from_str(text: &str) -> Result<Self, QuantityError> {
        let wrong = || QuantityError::Unreadable {
            text: text.to_owned(),
            kind: "temperature",
            units: "°C, °F".to_owned(),
        };
        let plain = text.trim().replace('°', "").replace('−', "-");
        let (number, fahrenheit) = match (plain.strip_suffix('C'), plain.strip_suffix('F')) {
            (Some(number), _) => (number, false),
            (_, Some(number)) => (number, true),
            _ => return Err(wrong()),
        };
        let value: f64 = number.trim().parse().map_err(|_| wrong())?;
        let celsius = if fahrenheit { (value - 32.0) / 1.8 } else { value };
        if celsius.is_finite() { Ok(Self(celsius)) } else { Err(wrong()) }
    }
}

impl<'de> Deserialize<'de> for Temperature {
    fn deserialize<D: Deserializer<'de>>(d: D) -> Result<Self, D::Error> {
        let text = String::deserialize(d)?;
        text.parse().map_err(serde::de::Error::custom)
    }
}

impl Serialize for Temperature {
    fn serialize<S: Serializer>(&self, s: S) -> Result<S::Ok, S::Error> {
        s.collect_str(self)
    }
}

impl fmt::Display for Temperature {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} °C", self.0)
    }
}

struct QuantityVisitor(Kind);

impl serde::de::Visitor<'_> for QuantityVisitor {
    type Value = f64;
    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "a {} with its unit, such as {}", self.0.kind, self.0.example)
    }
    fn visit_str<E: serde::de::Error>(self, text: &str) -> Result<f64, E> {
        parse(text, self.0).map_err(E::custom)
    }
    fn visit_f64<E: serde::de::Error>(self, value: f64) -> Result<f64, E> {
        if value.is_finite() {
            return Err(E::custom(self.0.bare()));
        }
        let text = value.to_string();
        Err(E::custom(QuantityError::NotFinite { text, kind: self.0.kind }))
    }
    fn visit_i64<E: serde::de::Error>(self, _: i64) -> Result<f64, E> {
        Err(E::custom(self.0.bare()))
    }
    fn visit_u64<E: serde::de::Error>(self, _: u64) -> Result<f64, E> {
        Err(E::custom(self.0.bare()))
    }
}
