//! Tests of `mechanics`.
mod tree;
