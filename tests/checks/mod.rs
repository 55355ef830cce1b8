//! Tests of `checks`.
