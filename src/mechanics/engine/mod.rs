//! The sequence engine: stages differ by a few members, and so does the work.
//!
//! A stage's unknowns fall apart into *strands* that have nothing to do with one another, as the lines
//! of a floor in their own planes (`strands`; for proofs and second order also where posts are braced both
//! ways, `stage_tree`). Each strand is eliminated along its part of one lasting
//! tree (`dissection`, `shapes`), front by front (`eliminated`, `front`, `packed`), and kept as a whole with all
//! it was made of (`factor`). The plain way to the same answers stands beside it (`uncondensed`).

pub mod answers;
mod backwards;
pub mod dissection;
mod eliminated;
pub mod factor;
pub mod front;
mod groups;
mod growth;
mod known;
mod lately;
pub mod packed;
mod passes;
mod runs;
pub mod shapes;
pub mod stage_tree;
mod strand_list;
pub mod strands;
mod uncondensed;
