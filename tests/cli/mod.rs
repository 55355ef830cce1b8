//! The program as its user meets it: run, read, exit status.

mod expand;
mod grid;
mod readme;
mod report;
mod run;
mod sample_review;
mod schema;
mod usage;
mod words;
