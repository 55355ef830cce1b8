//! The scene laid out: members with coordinates, and the joints between them.

mod beams;
pub mod block;
mod braces;
mod deck;
mod deck_bays;
mod draft;
mod edits;
mod flat;
pub(crate) mod ground;
pub mod meet;
pub mod model;
pub mod names;
pub mod near;
mod overhangs;
mod permanent;
mod posts;
mod roles;
mod singles;
mod solids;

use crate::equipment::Library;
use crate::scene::{Problems, Scene, SceneSource};

pub use model::{Assembly, DeckBay, Joint, JointId, JointKind, Member, MemberId, Role};

/// Lays a scene out with the parts of a library.
///
/// # Errors
/// All that names something that is not there: parts, floors, lines, members. A scene whose
/// changes have not been made is refused, so that none is judged without them.
pub fn build(scene: &Scene, library: &Library, source: &SceneSource) -> Result<Assembly, Problems> {
    if !scene.changes.is_empty() {
        let message = "the changes have to be made before the scene is laid out";
        return Err(Problems(vec![source.problem_at("changes", message)]));
    }
    let mut draft = draft::Draft::new(scene, library, source);
    for index in 0..scene.blocks.len() {
        block::lay_out(&mut draft, index);
    }
    singles::lay_out(&mut draft);
    if draft.problems.is_empty() {
        let neighbours = solids::Neighbours::new(&draft);
        meet::join(&mut draft, &neighbours);
        near::find(&mut draft, &neighbours);
    }
    draft.finish()
}
