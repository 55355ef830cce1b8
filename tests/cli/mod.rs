//! The program as its user meets it: run, read, exit status.

mod check;
mod expand;
mod explain;
mod grid;
mod loads;
mod permit;
mod readme;
mod report;
mod run;
mod sample_review;
mod schema;
mod usage;
mod walk;
mod words;
