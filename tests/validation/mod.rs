//! Tests of `validation`.
