//! Tests of `scene`.

mod lines;
