//! Lengths in the words of the layout.

use crate::units::UnitSystem;

/// `5 ft 6 in` to the nearest eighth, or `1.676 m`.
pub(super) fn length(metres: f64, units: UnitSystem) -> String {
    match units {
        UnitSystem::Metres => format!("{metres:.3} m"),
        UnitSystem::Feet => {
            let eighths = (metres.abs() / 0.0254 * 8.0).round();
            let feet = (eighths / 96.0).floor();
            let inches = (eighths - feet * 96.0) / 8.0;
            let sign = if metres < 0.0 && eighths > 0.0 { "-" } else { "" };
            match (feet > 0.0, inches > 0.0) {
                (true, true) => format!("{sign}{feet} ft {inches} in"),
                (true, false) => format!("{sign}{feet} ft"),
                _ => format!("{sign}{inches} in"),
            }
        }
    }
}
