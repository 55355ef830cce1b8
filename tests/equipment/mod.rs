//! Equipment and criteria: the shipped data, and what is read from it.

mod criteria;
mod disagreements;
mod posts;
mod sample;
