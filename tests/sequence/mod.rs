//! Tests of `sequence`.
