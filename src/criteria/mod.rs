//! Rule packs as data: every limit with its document and clause.

pub mod model;

pub use model::Pack;
