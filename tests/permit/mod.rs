//! The permit: each thing that stands in its way by itself, what voids it, and the sheet.
//!
//! Known to work from outside: SHA-256 values against `sha2` over the bytes read here, and the three
//! shipped test vectors of FIPS 180-4 through `FileStamp`; the page read by an XML reader; every refusal
//! brought about by one change to a job that is issued without it.

mod fixture;
mod refusals;
mod sheet;
mod verify;
