//! Tests of `loads`.

mod beams;
mod blocks;
mod continuous;
pub mod fixture;
mod ranges;
mod speed;
mod take_down;
