//! The window's panels and systems.
#![allow(clippy::unwrap_used, reason = "tests fail by panicking")]
