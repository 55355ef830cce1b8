//! The members of a stage as the tree takes them in: described in two words, made when they change.

use super::super::tree::{Piece, Pieces, Words};
use super::Parts;
use crate::mechanics::element::Element;
use crate::mechanics::frame::ElementForm;
use std::rc::Rc;

/// Each member's number among the elements met so far, which unknowns of its nodes are there, and
/// the numbers of its nodes.
fn words(parts: &Parts, lasting: &[[u32; 6]]) -> Vec<[u64; 2]> {
    // A node's unknowns are six in a row from its own first, each there or not.
    let nodes: Vec<(u64, u64)> = lasting
        .iter()
        .map(|numbers| {
            let (mut there, mut node) = (0, 0);
            for (dof, &n) in numbers.iter().enumerate() {
                if n != u32::MAX {
                    there |= 1 << dof;
                    node = 1 + u64::from(n / 6);
                }
            }
            (there, node)
        })
        .collect();
    (parts.elements.iter().zip(&parts.known))
        .map(|(element, &known)| {
            let [(there, i), (there_too, j)] = element.nodes.map(|node| nodes[node]);
            [u64::from(known) | there << 32 | there_too << 38, i << 32 | j]
        })
        .collect()
}

/// A stage's members with the places of their unknowns.
pub(super) struct Laid {
    pub parts: Rc<Parts>,
    /// Lasting number of each node's unknowns.
    pub lasting: Vec<[u32; 6]>,
    /// By member: what it is and which unknowns it touches, in two words.
    words: Vec<[u64; 2]>,
}

impl Laid {
    pub(super) fn new(parts: Rc<Parts>, lasting: Vec<[u32; 6]>) -> Self {
        let words = words(&parts, &lasting);
        Self { parts, lasting, words }
    }

    /// The element matrices under axial forces, the diagonal times `keep`: below one takes a share
    /// of it away.
    pub(super) fn source<'a>(&'a self, axial: Option<&'a [f64]>, keep: f64) -> Source<'a> {
        Source { laid: self, axial, keep }
    }
}

/// Element matrices, made where their description has changed.
pub(super) struct Source<'a> {
    laid: &'a Laid,
    axial: Option<&'a [f64]>,
    keep: f64,
}

impl Source<'_> {
    fn width(&self, element: &Element) -> usize {
        if element.bending[0] > 0.0 { 6 } else { 3 }
    }
}

impl Pieces for Source<'_> {
    fn describe(&self, piece: usize) -> Words {
        let [element, nodes] = self.laid.words[piece];
        [element, nodes, self.axial.map_or(0, |a| a[piece].to_bits())]
    }

    fn make(&self, piece: usize) -> Piece {
        let element = &self.laid.parts.elements[piece];
        let axial = self.axial.map_or(0.0, |a| a[piece]);
        let width = self.width(element);
        let (mut dofs, mut from) = (Vec::with_capacity(12), Vec::with_capacity(12));
        for (end, &node) in element.nodes.iter().enumerate() {
            for dof in 0..width {
                if self.laid.lasting[node][dof] != u32::MAX {
                    dofs.push(self.laid.lasting[node][dof]);
                    from.push(6 * end + dof);
                }
            }
        }
        let n = dofs.len();
        let mut values = vec![0.0; n * n];
        let Some(assembled) = element.assemble(ElementForm::Exact, axial) else {
            // Beyond counting: one negative eigenvalue is certain, and no proof is given.
            return Piece { dofs, values, condensed_negative: 1 };
        };
        for (r, &row) in from.iter().enumerate() {
            for (c, &column) in from.iter().enumerate() {
                let keep = if r == c { self.keep } else { 1.0 };
                values[r * n + c] = keep * assembled.matrix[(row, column)];
            }
        }
        Piece { dofs, values, condensed_negative: assembled.negative }
    }
}
