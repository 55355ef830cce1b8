//! Shoring through several floors: what each slab and each level of props carries at every casting
//! and stripping step.
//!
//! *Shores* carry forms and fresh concrete. *Undisturbed* shores stay when the forms come away and
//! keep what they carry. *Reshores* are set snug after the slab above has taken its own weight, and
//! start with nothing. [`chain`] holds the state and solves it; [`scheme`] goes through the usual
//! cycle of m levels of shores and n of reshores; [`job`] goes through the steps a scene writes;
//! [`capacity`] is what a slab carries at its age.
//!
//! Two answers are given. *Equal sharing* (Grundy and Kabaila 1963; ACI 347.2R, the simplified
//! method): props do not shorten, the ground does not give, slabs are equally stiff. *Finite
//! stiffness*: props shorten and slabs stiffen with age. Props push and never pull in either;
//! what lifts off is solved again without it. Equal sharing sends more down the building than real
//! props do: in the full-scale building at Cardington about 70 % of a new load stayed in the top
//! supporting slab above one level of backprops, where equal sharing says half (from memory).
//!
//! How it is known to work: `tests/levels` holds the ratios of all usual schemes as fractions, two
//! step tables row by row, and the sums of forces at every step of schemes made at random.

pub mod capacity;
pub mod chain;
pub mod job;
pub mod scheme;
mod solve;

pub use chain::{Amount, Chain, ChainError, Contact, PropKind};
pub use scheme::{Order, Row, Scheme};
