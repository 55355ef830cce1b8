//! What a piece of a post stands before its outermost fibre yields.

use super::Subject;
use super::recover::Unanswered;
use crate::assembly::model::{Assembly, Member};
use crate::equipment::model::{Post, Section};
use crate::mechanics::stage::idealise::PieceOf;
use crate::mechanics::stage::sections::spindle_core;

/// Yield of a section, newtons and newton metres.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Resistance {
    /// A·fy.
    pub axial: f64,
    /// W·fy, W = I over half the outside.
    pub moment: f64,
}

impl Resistance {
    fn of(section: &Section) -> Self {
        let fy = section.fy.si();
        Self {
            axial: section.area.si() * fy,
            moment: section.i.si() / (0.5 * section.outside.si()) * fy,
        }
    }

    fn least(self, other: Self) -> Self {
        Self { axial: self.axial.min(other.axial), moment: self.moment.min(other.moment) }
    }
}

/// The resistance of a piece.
///
/// In an overlap with a piece of its own both tubes must stand the whole; elsewhere the outer tube
/// alone is counted on.
///
/// # Errors
/// What the equipment does not say.
pub(super) fn of_piece(
    assembly: &Assembly,
    post: &Member,
    part: &Post,
    piece: PieceOf,
) -> Result<Resistance, String> {
    let (outer, inner) = (Resistance::of(&part.outer), Resistance::of(&part.inner));
    match piece {
        PieceOf::Outer => Ok(outer),
        PieceOf::Inner => Ok(inner),
        PieceOf::Overlap => Ok(outer.least(inner)),
        PieceOf::Jack => {
            let jack = post
                .jack
                .as_ref()
                .and_then(|(name, _)| assembly.library.jacks.get(name).map(|jack| (name, jack)));
            let (name, jack) = jack.ok_or("its jack is not in the equipment")?;
            let fy = jack
                .fy
                .ok_or_else(|| format!("jack \"{name}\" does not state its yield stress"))?
                .si();
            let core = spindle_core(jack);
            Ok(Resistance {
                axial: std::f64::consts::PI * core * core / 4.0 * fy,
                moment: std::f64::consts::PI * core.powi(3) / 32.0 * fy,
            })
        }
        PieceOf::Bar => Err("not a piece of a post".to_owned()),
    }
}

/// Resistance of each piece of each post, and posts of which it is not known.
pub(super) fn resistances(subject: &Subject<'_>) -> (Vec<Option<Resistance>>, Unanswered) {
    let frame = subject.frame;
    let mut resist = vec![None; frame.frame.members.len()];
    let mut unknown = Vec::new();
    for (&id, members) in &frame.of_post {
        let post = subject.assembly.member(id);
        let Some(part) = subject.assembly.library.posts.get(&post.part) else {
            unknown.push((id, format!("no post part \"{}\" in the equipment", post.part)));
            continue;
        };
        for k in members.clone() {
            match of_piece(subject.assembly, post, part, frame.pieces[k]) {
                Ok(found) => resist[k] = Some(found),
                Err(why) => {
                    unknown.push((id, why));
                    break;
                }
            }
        }
    }
    (resist, unknown)
}
