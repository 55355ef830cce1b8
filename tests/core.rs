//! Everything but the window, in one test program: each file in `tests/` would link on its own.
#![allow(
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "tests fail by panicking and may print what they measured"
)]

mod assembly;
mod by_eye;
mod calc;
mod capacity;
mod changes;
mod checks;
mod cli;
mod concrete;
mod equilibrium;
mod equipment;
mod lessons;
mod levels;
mod loads;
mod mechanics;
mod permit;
mod properties;
mod record;
mod restraint;
mod review;
mod scene;
mod sequence;
mod validation;
mod walk;
