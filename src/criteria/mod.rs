//! Rule packs as data: loads, limits and factors, each with its document and clause.

pub mod model;
pub mod rules;

pub use model::Pack;
pub use rules::RuleLine;
