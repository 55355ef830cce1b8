//! Strength by age, maturity, logs, times and evidence.

mod evidence;
mod gain;
mod logs;
mod times;
