//! Tests of `scene`.

mod bad_names;
mod bad_text;
mod book;
mod equipment_files;
mod files_on_disk;
mod keeps;
mod lines;
mod mutilated;
mod options;
mod reads;
mod tree;
mod units;
mod writes;
