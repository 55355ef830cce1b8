//! Tests of `scene`.

mod lines;
mod reads;
mod units;
