//! Tests of `mechanics`.

mod bad_frames;
mod bars;
mod carried;
mod decks;
mod frames;
mod loose;
mod one_way;
mod plainly;
mod planes;
mod properties;
mod random_frames;
pub mod random_sequences;
mod reckoned;
mod renaming;
pub mod sequences;
mod stage;
mod statics;
mod strength;
mod strength_cases;
mod tree;
mod whole_frame;
