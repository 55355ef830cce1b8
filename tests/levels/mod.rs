//! Shoring through several floors.

mod bad;
mod capacity;
mod finite;
mod job;
mod posts;
mod properties;
mod schemes;
mod steps;
