//! Tests of `assembly`.
