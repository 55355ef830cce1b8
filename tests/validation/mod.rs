//! Published values, a file per example.

mod frame_files;
mod reference_frames;
