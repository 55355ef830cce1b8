//! From a number of a part's data to what may be used: over the factor its basis asks for.

use super::Missing;
use super::work::{Kind, Value, Work};
use crate::criteria::Pack;
use crate::equipment::model::Basis;

/// A number of the data.
#[derive(Clone, Copy, Debug)]
pub struct Stated<'a> {
    pub part: &'a str,
    pub symbol: &'static str,
    pub meaning: &'a str,
    pub si: f64,
    pub kind: Kind,
}

/// The factor of the pack on a basis, and which rule it is.
fn factor(pack: &Pack, basis: Basis) -> (f64, &str, &'static str) {
    match basis {
        Basis::SafeWorkingLoad => {
            (1.0, "data are safe working loads", "factor on a safe working load")
        }
        Basis::Characteristic => {
            let rule = &pack.factor_on_characteristic;
            (rule.value, &rule.source, "factor on a characteristic strength")
        }
        Basis::Ultimate => {
            let rule = &pack.factor_on_ultimate;
            (rule.value, &rule.source, "factor on an ultimate load")
        }
    }
}

/// The stated number over the factor of its basis, by the letters `to`.
///
/// # Errors
/// Where the data do not say what their numbers mean.
pub fn allowed(
    w: &mut Work,
    pack: &Pack,
    basis: Option<Basis>,
    stated: Stated<'_>,
    to: &'static str,
) -> Result<Value, Missing> {
    let basis = basis.ok_or_else(|| {
        Missing::new(stated.part, "basis (safe_working_load, characteristic or ultimate)")
    })?;
    let (factor, source, words) = factor(pack, basis);
    if !w.is_written() {
        return Ok(Value { symbol: to.into(), si: stated.si / factor, kind: stated.kind });
    }
    let value = w.given(stated.symbol, stated.meaning, stated.si, stated.kind, stated.part);
    let f = w.given("F", words, factor, Kind::Number, source);
    let formula = format!("{}/F", stated.symbol);
    Ok(w.line(to, "what may be used of it", &formula, stated.kind, &[&value, &f], "", |v| {
        v[0] / v[1]
    }))
}
