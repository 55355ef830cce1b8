//! Tests of `mechanics`.

mod bad_frames;
mod decks;
mod frames;
mod one_way;
mod properties;
mod random_frames;
mod sequences;
mod stage;
mod strength;
mod strength_cases;
mod tree;
