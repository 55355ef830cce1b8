//! Tests of `loads`.

mod beams;
pub mod fixture;
mod speed;
mod take_down;
