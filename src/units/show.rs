//! Quantities as a person reads them: always with their unit, in feet and inches or in metres.
//!
//! Input is SI. What is not finite is said in words, never as a number.

use super::UnitSystem;
use crate::findings::Dimension;

const FOOT: f64 = 0.3048;
const INCH: f64 = 0.0254;
const POUND_FORCE: f64 = 4.448_221_615_260_5;
const POUND_MASS: f64 = 0.453_592_37;
const PSF: f64 = 47.880_258_980_335_8;
const LB_FT: f64 = 1.355_817_948_331_4;
const PLF: f64 = 14.593_902_937_206_4;
const PCF: f64 = 157.087_463_846_246;
const MPH: f64 = 0.447_04;

/// An SI value of a kind, for a person.
#[must_use]
pub fn show(value: f64, dimension: Dimension, units: UnitSystem) -> String {
    match dimension {
        Dimension::Ratio => units.ratio(value),
        Dimension::Count => units.count(value),
        Dimension::Length => units.length(value),
        Dimension::Force => units.force(value),
        Dimension::Mass => units.mass(value),
        Dimension::Moment => units.moment(value),
        Dimension::Pressure => units.pressure(value),
        Dimension::Angle => units.angle(value),
    }
}

impl UnitSystem {
    /// A length given in metres: `10 ft 6 1/2 in` to the nearest eighth, or `3.213 m`, and
    /// `40 mm` below a metre.
    #[must_use]
    pub fn length(self, metres: f64) -> String {
        finite(metres, |metres| match self {
            Self::Feet => feet_and_inches(metres),
            Self::Metres if metres.abs() < 0.9995 => {
                format!("{} mm", no_minus_zero(metres * 1e3, 0))
            }
            Self::Metres => format!("{metres:.3} m"),
        })
    }

    /// A force given in newtons: pounds, from ten thousand on kips; or newtons and kilonewtons.
    #[must_use]
    pub fn force(self, newtons: f64) -> String {
        finite(newtons, |newtons| match self {
            Self::Feet => {
                let pounds = newtons / POUND_FORCE;
                if pounds.abs() < 9_999.5 {
                    format!("{} lb", no_minus_zero(pounds, 0))
                } else {
                    format!("{:.1} kip", pounds / 1e3)
                }
            }
            Self::Metres if newtons.abs() < 999.5 => format!("{} N", no_minus_zero(newtons, 0)),
            Self::Metres => format!("{:.2} kN", newtons / 1e3),
        })
    }

    /// A mass given in kilograms.
    #[must_use]
    pub fn mass(self, kilograms: f64) -> String {
        finite(kilograms, |kilograms| match self {
            Self::Feet => format!("{} lb", no_minus_zero(kilograms / POUND_MASS, 1)),
            Self::Metres => format!("{} kg", no_minus_zero(kilograms, 1)),
        })
    }

    /// A moment given in newton metres.
    #[must_use]
    pub fn moment(self, newton_metres: f64) -> String {
        finite(newton_metres, |moment| match self {
            Self::Feet => format!("{} lb ft", no_minus_zero(moment / LB_FT, 0)),
            Self::Metres => format!("{} kN m", no_minus_zero(moment / 1e3, 3)),
        })
    }

    /// A pressure given in pascals.
    #[must_use]
    pub fn pressure(self, pascals: f64) -> String {
        finite(pascals, |pascals| match self {
            Self::Feet => format!("{} psf", no_minus_zero(pascals / PSF, 0)),
            Self::Metres => format!("{} kPa", no_minus_zero(pascals / 1e3, 2)),
        })
    }

    /// A load per length given in newtons per metre.
    #[must_use]
    pub fn line_load(self, newtons_per_metre: f64) -> String {
        finite(newtons_per_metre, |load| match self {
            Self::Feet => format!("{} plf", no_minus_zero(load / PLF, 0)),
            Self::Metres => format!("{} kN/m", no_minus_zero(load / 1e3, 2)),
        })
    }

    /// A weight density given in newtons per cubic metre.
    #[must_use]
    pub fn density(self, newtons_per_cubic_metre: f64) -> String {
        finite(newtons_per_cubic_metre, |density| match self {
            Self::Feet => format!("{} pcf", no_minus_zero(density / PCF, 0)),
            Self::Metres => format!("{} kN/m³", no_minus_zero(density / 1e3, 2)),
        })
    }

    /// A speed given in metres per second.
    #[must_use]
    pub fn speed(self, metres_per_second: f64) -> String {
        finite(metres_per_second, |speed| match self {
            Self::Feet => format!("{} mph", no_minus_zero(speed / MPH, 0)),
            Self::Metres => format!("{} m/s", no_minus_zero(speed, 1)),
        })
    }

    /// An angle given in radians, in degrees in both systems.
    #[must_use]
    pub fn angle(self, radians: f64) -> String {
        finite(radians, |radians| format!("{} deg", no_minus_zero(radians.to_degrees(), 2)))
    }

    /// A bare ratio or factor.
    #[must_use]
    pub fn ratio(self, ratio: f64) -> String {
        finite(ratio, |ratio| no_minus_zero(ratio, 2))
    }

    /// A count of things.
    #[must_use]
    pub fn count(self, count: f64) -> String {
        finite(count, |count| no_minus_zero(count, 0))
    }
}

fn finite(value: f64, show: impl FnOnce(f64) -> String) -> String {
    if value.is_nan() {
        "not a number".to_owned()
    } else if value == f64::INFINITY {
        "without limit".to_owned()
    } else if value == f64::NEG_INFINITY {
        "without limit downwards".to_owned()
    } else {
        show(value)
    }
}

/// Rounded to so many places; what rounds to zero has no minus sign.
fn no_minus_zero(value: f64, places: usize) -> String {
    let text = format!("{value:.places$}");
    if text.trim_start_matches(['-', '0', '.']).is_empty() {
        text.trim_start_matches('-').to_owned()
    } else {
        text
    }
}

fn feet_and_inches(metres: f64) -> String {
    let eighths = (metres.abs() / INCH * 8.0).round();
    if eighths >= 1e15 {
        return format!("{:.0} ft", metres / FOOT);
    }
    let sign = if metres < 0.0 && eighths > 0.0 { "-" } else { "" };
    let feet = (eighths / 96.0).floor();
    let rest = eighths - feet * 96.0;
    let whole = (rest / 8.0).floor();
    let part = match rest - whole * 8.0 {
        1.0 => "1/8",
        2.0 => "1/4",
        3.0 => "3/8",
        4.0 => "1/2",
        5.0 => "5/8",
        6.0 => "3/4",
        7.0 => "7/8",
        _ => "",
    };
    let inches = match (whole > 0.0, part.is_empty()) {
        (true, true) => format!("{whole} in"),
        (true, false) => format!("{whole} {part} in"),
        (false, false) => format!("{part} in"),
        (false, true) => String::new(),
    };
    match (feet > 0.0, inches.is_empty()) {
        (true, true) => format!("{sign}{feet} ft"),
        (true, false) => format!("{sign}{feet} ft {inches}"),
        (false, false) => format!("{sign}{inches}"),
        (false, true) => "0 in".to_owned(),
    }
}
