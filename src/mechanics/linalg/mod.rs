//! Linear algebra behind one wall: nothing outside this folder names the library used.
//!
//! Symmetric matrices only, upper triangle stored. No regularisation anywhere: what cannot be
//! factorised, or not surely, says so.

mod dense;
mod ldl;
mod pattern;
mod probe;
mod wide;

pub use dense::{SymmetricEigen, symmetric_eigen};
pub use ldl::{Ldl, LdlError};
pub use pattern::Pattern;
pub use probe::{margin, random_vector};
pub use wide::{Work, widely};
