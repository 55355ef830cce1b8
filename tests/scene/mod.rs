//! Tests of `scene`.
