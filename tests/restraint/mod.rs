//! Tests of `restraint`.

mod counts;
mod paths;
