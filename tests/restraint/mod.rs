//! Tests of `restraint`.
