//! Tests of `loads`.

mod beams;
mod blocks;
pub mod fixture;
mod speed;
mod take_down;
