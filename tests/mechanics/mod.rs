//! Tests of `mechanics`.

mod bad_frames;
mod frames;
mod one_way;
mod stage;
mod tree;
