//! The values of rules without their type.

use crate::units::{Angle, Density, Force, Length, LineLoad, Mass, Pressure, Speed, UnitSystem};

/// A value a rule may have.
pub trait RuleValue {
    /// In SI; none where there is no limit.
    fn si(&self) -> Option<f64>;
    /// For a person.
    fn words(&self, units: UnitSystem) -> String;
}

macro_rules! quantity {
    ($($kind:ty: $value:ident, $units:ident => $words:expr;)+) => {
        $(impl RuleValue for $kind {
            fn si(&self) -> Option<f64> {
                Some(<$kind>::si(*self))
            }
            fn words(&self, $units: UnitSystem) -> String {
                let $value = <$kind>::si(*self);
                $words
            }
        })+
    };
}

quantity! {
    Pressure: v, units => units.pressure(v);
    LineLoad: v, units => units.line_load(v);
    Force: v, units => units.force(v);
    Length: v, units => units.length(v);
    Mass: v, units => units.mass(v);
    Angle: v, units => units.angle(v);
    Density: v, units => units.density(v);
    Speed: v, units => units.speed(v);
}

impl RuleValue for f64 {
    fn si(&self) -> Option<f64> {
        Some(*self)
    }
    fn words(&self, _: UnitSystem) -> String {
        format!("{self}")
    }
}

impl RuleValue for u32 {
    fn si(&self) -> Option<f64> {
        Some(f64::from(*self))
    }
    fn words(&self, _: UnitSystem) -> String {
        format!("{self}")
    }
}

impl RuleValue for bool {
    fn si(&self) -> Option<f64> {
        Some(f64::from(u8::from(*self)))
    }
    fn words(&self, _: UnitSystem) -> String {
        (if *self { "yes" } else { "no" }).to_owned()
    }
}

impl<T: RuleValue> RuleValue for Option<T> {
    fn si(&self) -> Option<f64> {
        self.as_ref().and_then(T::si)
    }
    fn words(&self, units: UnitSystem) -> String {
        self.as_ref().map_or_else(|| "none".to_owned(), |v| v.words(units))
    }
}
