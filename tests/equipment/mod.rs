//! Tests of `equipment`.
