//! Tests of `equilibrium`.

mod edges;
mod plain;
mod stage;
