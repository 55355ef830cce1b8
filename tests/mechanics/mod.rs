//! Tests of `mechanics`.
mod stage;
mod tree;
