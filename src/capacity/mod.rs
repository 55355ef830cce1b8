//! What a part carries, by published formulas and by its supplier's data; a file a code and material.
//!
//! Pure functions on numbers. Each goes through a [`Work`], which in silence only computes and
//! otherwise writes every line down for a person with a calculator: the sheet is the calculation.
//! What the data do not say is [`Missing`], never assumed.

pub mod adm_column;
pub mod aisc_column;
pub mod allowed;
pub mod beam;
pub mod ec5_column;
pub mod en1065;
pub mod en_column;
pub mod nds_column;
pub mod post;
pub mod rectangle;
pub mod sheet;
pub mod sill;
mod spans;
pub mod statics;
pub mod straight_line_column;
pub mod tube;
pub mod turning_over;
pub mod work;

pub use work::{Kind, Line, Section, Value, Work};

/// Data that a part does not state and a calculation needs.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, thiserror::Error)]
#[error("{part} does not state its {what}")]
pub struct Missing {
    pub part: String,
    pub what: String,
}

impl Missing {
    #[must_use]
    pub fn new(part: &str, what: &str) -> Self {
        Self { part: part.to_owned(), what: what.to_owned() }
    }
}

/// Demand over capacity of one thing.
#[derive(Clone, Debug, PartialEq)]
pub struct Use {
    pub demand: Value,
    pub capacity: Value,
    /// 1 is the limit.
    pub share: f64,
}

/// The last line of every calculation: what is used of what there is.
pub fn used(w: &mut Work, demand: &Value, capacity: &Value) -> Use {
    if !w.is_written() {
        let share = demand.si / capacity.si;
        w.uses(demand, share);
        return Use { demand: demand.clone(), capacity: capacity.clone(), share };
    }
    let formula = format!("{}/{}", demand.symbol, capacity.symbol);
    let share =
        w.line("U", "use, at most 1", &formula, Kind::Number, &[demand, capacity], "", |v| {
            v[0] / v[1]
        });
    w.uses(demand, share.si);
    Use { demand: demand.clone(), capacity: capacity.clone(), share: share.si }
}
