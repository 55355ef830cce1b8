//! Calculations of members at stages, and the sheets they make.

mod evaluate;
mod sheets;
mod spans;
