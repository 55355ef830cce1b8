//! Tests of `scene`.

mod bad_names;
mod bad_text;
mod equipment_files;
mod files_on_disk;
mod lines;
mod mutilated;
mod options;
mod reads;
mod tree;
mod units;
mod writes;
