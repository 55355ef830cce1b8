//! The program as its user meets it: run, read, exit status.

mod grid;
mod run;
mod usage;
mod words;
