//! Tests of `loads`.
