//! Whether concrete is strong enough for what is about to be done: strength by age, maturity from
//! a temperature log, and the evidence on which somebody lets a slab carry itself.
//!
//! Nothing is assumed: no evidence is no strength, a log with a gap is an error, and a strength
//! outside the mix's own curve is not known. Temperatures are degrees Celsius, times hours unless a
//! name says days, strengths pascals.
//!
//! How it is known to work: `tests/concrete` holds each formula against the hand values of the
//! documents named there, and every kind of bad log against its own error.

pub mod evidence;
pub mod gain;
pub mod log;
pub mod maturity;
pub mod times;

pub use evidence::{Determination, Released, determine};
pub use gain::Gain;
pub use log::{Log, LogError};
