//! Motions that strain no member.

use super::answers::{Mechanisms, Unknown};
use super::frame::Frame;

/// Finds the motions of a frame that strain no member, whatever its stiffnesses.
///
/// # Errors
/// What [`Frame::check`] says. A count that cannot be told is in [`Mechanisms::count`].
pub fn find(frame: &Frame) -> Result<Mechanisms, Unknown> {
    frame.check()?;
    Err(Unknown::NotConverged("not written yet".into()))
}
