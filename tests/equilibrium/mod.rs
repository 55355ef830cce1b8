//! Tests of `equilibrium`.

mod blocks;
mod edges;
mod overhangs;
mod pieces;
pub mod plain;
mod shared;
mod stage;
