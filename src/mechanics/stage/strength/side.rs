//! What acts sideways in one direction, family by family.

use super::Subject;
use super::families::{self, Bows, Nodal};
use super::imperfect::Offsets;
use crate::assembly::MemberId;
use crate::mechanics::element::Element;
use crate::mechanics::stage::Heads;

/// Place of the crooked posts among the families of a direction.
pub(super) const CROOKED: usize = 2;

/// What acts sideways in one direction, without the factor.
pub(super) struct Side {
    pub axis: [f64; 2],
    /// At the heads, with the lean of all posts.
    pub lateral: Nodal,
    pub eccentric: Nodal,
    pub push: Option<Nodal>,
}

impl Side {
    pub(super) fn new(
        subject: &Subject<'_>,
        heads: &Heads,
        weighed: &[f64],
        axis: [f64; 2],
        lines: &[Vec<MemberId>],
    ) -> Self {
        let lean = subject.pack.out_of_plumb.value.si().tan();
        let mut lateral = families::sideways(heads, axis);
        lateral.extend(families::leaning(subject, weighed, axis, lean));
        let eccentric = families::eccentric(subject, weighed, axis);
        Self { axis, lateral, eccentric, push: families::pushed(subject, heads, axis, lines) }
    }

    /// Lateral with lean, eccentric heads, crooked posts, push. The compressions have the factor
    /// in them. `there`: at which nodes they are wanted, at least.
    pub(super) fn families(
        &self,
        subject: &Subject<'_>,
        elements: &[Element],
        offsets: &Offsets,
        compression: &[f64],
        factor: f64,
        bows: (&[u32], &mut Bows),
        there: &dyn Fn(usize) -> bool,
    ) -> Vec<Nodal> {
        let axis = self.axis;
        let mut out = vec![
            times(&self.lateral, factor, there),
            times(&self.eccentric, factor, there),
            families::crooked(subject, elements, offsets, compression, axis, bows, there),
        ];
        out.extend(self.push.as_ref().map(|push| times(push, factor, there)));
        out
    }
}

/// So many times what acts at some nodes.
pub(super) fn times(
    nodal: &[(usize, [f64; 6])],
    factor: f64,
    there: &dyn Fn(usize) -> bool,
) -> Nodal {
    let some = nodal.iter().filter(|(node, _)| there(*node));
    some.map(|(node, f)| (*node, f.map(|v| v * factor))).collect()
}
