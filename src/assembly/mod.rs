//! The scene laid out: members with coordinates, and the joints between them.

mod beams;
pub mod block;
mod braces;
mod deck;
mod draft;
mod edits;
mod ground;
pub mod model;
pub mod names;
mod overhangs;
mod posts;

use crate::equipment::Library;
use crate::scene::{Problems, Scene, SceneSource};

pub use model::{Assembly, Joint, JointId, JointKind, Member, MemberId, Role};

/// Lays a scene out with the parts of a library.
///
/// # Errors
/// All that names something that is not there: parts, floors, lines, members.
pub fn build(scene: &Scene, library: &Library, source: &SceneSource) -> Result<Assembly, Problems> {
    let mut draft = draft::Draft::new(scene, library, source);
    for index in 0..scene.blocks.len() {
        block::lay_out(&mut draft, index);
    }
    draft.finish()
}
