//! The program as its user meets it: run, read, exit status.

mod calc;
mod changes;
mod check;
mod expand;
mod explain;
mod grid;
mod levels;
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
