//! The program as its user meets it: run, read, exit status.

mod grid;
mod readme;
mod run;
mod usage;
mod words;
