//! The permit to load, and the permit to strike.
//!
//! The program drafts it: which stages it covers, what the review found there, which hold points
//! were released by whom on what evidence, which parts were looked at. A named person issues it, and
//! that person answers for it. The program refuses to write an issued permit over a *stop*, an open
//! *fix first*, anything *unknown*, sample data, a part nobody inspected, or a hold point nobody
//! released.
//!
//! An issued permit is bound to the SHA-256 of every file it rests on and to the program's version.
//! To verify it the files are hashed and the whole draft is made again: any change voids it, that of
//! a comment included. The seal over the permit's own text shows that it was altered; it is no
//! signature, since anybody who can run the program can compute it.

mod beside;
mod draft;
mod issue;
mod model;
mod plan;
mod refusal;
mod sheet;
mod text;
mod verify;
mod void_sheet;
mod window;

pub use beside::{Lying, json, lying_beside, new_file, path_beside, write_beside, write_void};
pub use draft::{Basis, Picture, draft};
pub use issue::{Issuer, NotIssued, issue, seal};
pub use model::{
    Accepted, FileBound, Issue, Look, PERMIT_VERSION, PartCount, Permit, StageNamed, Standing,
};
pub use plan::{Ring, plan, role_words};
pub use refusal::{Refusal, refusals};
pub use sheet::html;
pub use text::text;
pub use verify::{Void, at_a_glance, files_not_as_they_were, verify};
pub use void_sheet::void_html;
pub use window::{Asked, Window, window};
