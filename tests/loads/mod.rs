//! Tests of `loads`.

mod beams;
mod blocks;
mod continuous;
pub mod fixture;
mod ranges;
mod slab;
mod speed;
mod take_down;
mod wind;
