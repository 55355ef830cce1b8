//! Tests of `properties`.
