//! Tests of `equilibrium`.
