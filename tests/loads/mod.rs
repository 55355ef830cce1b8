//! Tests of `loads`.

mod beams;
pub mod fixture;
mod take_down;
