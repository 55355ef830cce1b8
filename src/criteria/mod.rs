//! Rule packs as data: loads, limits and factors, each with its document and clause.

pub mod compare;
pub mod model;
pub mod rules;
pub mod value;

pub use model::Pack;
pub use rules::{RuleLine, Stricter};
