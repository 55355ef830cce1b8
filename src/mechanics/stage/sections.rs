//! Stiffness of the pieces of a post: tubes, their overlap, a jack's spindle.

use crate::assembly::model::{Assembly, Member};
use crate::equipment::model::{Jack, Post, Section as PartSection};
use crate::mechanics::frame::Section;

/// Share of a jack's outside diameter left under its thread. Common practice, no published source.
const SPINDLE_CORE: f64 = 0.85;
pub(super) const POISSON: f64 = 0.3;

/// Bending stiffness of the overlap of a telescoped post, N·m².
///
/// Through the overlap a moment goes over from the inner tube to the outer one by a pair of
/// contact forces at its ends: it falls from M to zero in the one and rises from zero to M in the
/// other. The strain energy is M²·l/6·(1/EIᵢ + 1/EIₒ), as in one piece of
/// 3/(1/EIᵢ + 1/EIₒ). Never more than the outer tube alone is taken, though the inner tube stiffens
/// it where its own moment is small: the tubes touch at two places only. Where the inner tube has
/// at least half the stiffness of the outer one, that is the outer tube's, and the overlap needs no
/// piece of its own. The angle the tubes may take up before they touch is the play, in the
/// second-order check. Recomputed here from statics; no published source.
#[must_use]
pub fn overlap_ei(part: &Post) -> f64 {
    let (inner, outer) = (part.inner.ei(), part.outer.ei());
    outer.min(3.0 / (1.0 / inner + 1.0 / outer))
}

/// Station at which a piece of its own begins for the overlap; none where the outer tube's
/// stiffness is taken there, or the post does not say how far its tubes overlap.
#[must_use]
pub fn overlap_from(assembly: &Assembly, post: &Member) -> Option<f64> {
    let part = assembly.library.posts.get(&post.part)?;
    if overlap_ei(part) >= part.outer.ei() {
        return None;
    }
    let jack = post.jack.as_ref().map_or(0.0, |(_, extension)| *extension);
    let outer_top = jack + part.outer_length.si();
    let upper = post.length() - outer_top;
    // What does not fit the post's own reach counts as overlapping by the least it needs.
    let overlap =
        part.telescope(post.length() - jack).map_or(part.overlap.si(), |drawn| drawn.overlap);
    (upper > 0.0).then(|| (outer_top - overlap).max(jack))
}

/// A round tube: torsion constant twice the second moment of area.
pub(super) fn tube(part: &PartSection) -> Section {
    let e = part.e.si();
    Section {
        e,
        g: e / (2.0 * (1.0 + POISSON)),
        a: part.area.si(),
        iy: part.i.si(),
        iz: part.i.si(),
        j: 2.0 * part.i.si(),
    }
}

/// A jack's spindle, or the inner tube where that is weaker or the jack is not in the equipment.
pub(super) fn spindle(assembly: &Assembly, post: &Member, inner: &PartSection) -> Section {
    let inner = tube(inner);
    let jack = post.jack.as_ref().and_then(|(name, _)| assembly.library.jacks.get(name));
    let Some(jack) = jack else { return inner };
    let core = spindle_core(jack);
    let area = std::f64::consts::PI * core * core / 4.0;
    let i = std::f64::consts::PI * core.powi(4) / 64.0;
    if i < inner.iy {
        Section { a: area.min(inner.a), iy: i, iz: i, j: 2.0 * i, ..inner }
    } else {
        inner
    }
}

/// Diameter of a spindle under its thread, metres.
pub(super) fn spindle_core(jack: &Jack) -> f64 {
    SPINDLE_CORE * jack.outside.si()
}
