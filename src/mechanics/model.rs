//! A frame made ready for solving: unknowns, places in the matrix, order of elimination.
//!
//! Unknowns are scaled by powers of two so that the first-order stiffness has a diagonal near one:
//! forces and moments, stiff bars and slender posts are then of one size, and round-off can be
//! held against eigenvalues. Scaling of this kind changes no inertia and costs no digit.

use std::sync::OnceLock;

use super::answers::Unknown;
use super::element::{Element, MOST};
use super::frame::{Dof, ElementForm, Frame};
use super::frame_check;
use super::linalg::{Ldl, LdlError, Pattern, margin};
use super::numbering::{NONE, Numbering};

/// Condition above which an answer is not trusted.
pub(super) const WORST_CONDITION: f64 = 1e12;

/// A frame with its numbering, pattern and elimination order; made once, used for many loads,
/// axial forces and factors.
#[derive(Debug)]
pub struct Model<'f> {
    pub(super) frame: &'f Frame,
    pub(super) form: ElementForm,
    pub(super) pins: Vec<Dof>,
    pub(super) elements: Vec<Element>,
    pub(super) numbering: Numbering,
    /// Unknowns of each member: twelve of its nodes, then its own rotations.
    unknowns: Vec<Vec<usize>>,
    /// Per member: place in its matrix, and place in the values.
    slots: Vec<Vec<(u8, u8, u32)>>,
    pub(super) pattern: Pattern,
    pub(super) scale: Vec<f64>,
    /// Whether the first-order stiffness is positive definite, once it was asked.
    pub(super) regular: OnceLock<Result<f64, Unknown>>,
}

/// A stiffness under axial forces, scaled, and what was counted inside members.
pub(super) struct Stiffness {
    pub values: Vec<f64>,
    pub negative: usize,
    pub weakest: f64,
    /// Of the members: how many of `negative` are theirs.
    pub inside: Vec<usize>,
}

/// A factorised positive definite stiffness.
#[derive(Debug)]
pub(super) struct Definite<'m> {
    pub ldl: Ldl<&'m Pattern>,
    /// Of the scaled matrix.
    pub condition: f64,
}

impl From<LdlError> for Unknown {
    fn from(error: LdlError) -> Self {
        match error {
            LdlError::Memory => Self::Memory,
            LdlError::ZeroPivot => Self::IllConditioned("a pivot of zero".into()),
        }
    }
}

impl<'f> Model<'f> {
    /// Numbers the frame. `pins` are held at zero besides the supports: one per mechanism.
    ///
    /// # Errors
    /// What [`Frame::check`] says, or a pin that does not exist.
    pub fn new(frame: &'f Frame, form: ElementForm, pins: &[Dof]) -> Result<Self, Unknown> {
        frame.check()?;
        frame_check::check_pins(frame, pins)?;
        let elements: Vec<Element> =
            (0..frame.members.len()).map(|m| Element::new(frame, m)).collect();
        let numbering = Numbering::new(frame, &elements, pins);
        let mut count = numbering.dofs.len();
        let mut unknowns = Vec::with_capacity(elements.len());
        for element in &elements {
            let mut own = numbering.of(element).to_vec();
            if form == ElementForm::Cubic {
                for _ in element.own_rotations() {
                    own.push(count);
                    count += 1;
                }
            }
            unknowns.push(own);
        }
        let (pattern, slots) = places(&elements, &unknowns, count)?;
        let mut model = Self {
            frame,
            form,
            pins: pins.to_vec(),
            elements,
            numbering,
            unknowns,
            slots,
            pattern,
            scale: vec![1.0; count],
            regular: OnceLock::new(),
        };
        model.set_scale()?;
        Ok(model)
    }

    /// Number of unknowns.
    #[must_use]
    pub fn size(&self) -> usize {
        self.scale.len()
    }

    /// Mean length of the members.
    pub(super) fn mean_length(&self) -> f64 {
        let sum: f64 = self.elements.iter().map(|e| e.length).sum();
        sum / self.elements.len().max(1) as f64
    }

    /// Number of stored values of the matrix's upper triangle, and of its factor.
    #[must_use]
    pub fn stored(&self) -> (usize, usize) {
        (self.pattern.len(), self.pattern.factor_len())
    }

    fn set_scale(&mut self) -> Result<(), Unknown> {
        let plain = self.stiffness(None)?;
        for (scale, d) in self.scale.iter_mut().zip(self.pattern.diagonal(&plain.values)) {
            if d > 0.0 && d.is_finite() {
                *scale = (-0.5 * d.log2()).round().exp2();
            }
        }
        Ok(())
    }

    /// The scaled stiffness, under `factor · axial` where given.
    pub(super) fn stiffness(&self, axial: Option<(&[f64], f64)>) -> Result<Stiffness, Unknown> {
        let mut values = vec![0.0; self.pattern.len()];
        let (mut negative, mut weakest) = (0, f64::INFINITY);
        let mut inside = vec![0; self.elements.len()];
        for (member, element) in self.elements.iter().enumerate() {
            let force = axial.map_or(0.0, |(axial, factor)| axial[member] * factor);
            let Some(assembled) = element.assemble(self.form, force) else {
                return Err(Unknown::IllConditioned(format!(
                    "member {member}: an axial force of {force:e} is far beyond its buckling load"
                )));
            };
            negative += assembled.negative;
            inside[member] = assembled.negative;
            weakest = assembled.weakest.min(weakest);
            for &(a, b, slot) in &self.slots[member] {
                values[slot as usize] += assembled.matrix[(a as usize, b as usize)];
            }
        }
        for spring in &self.frame.springs {
            for (dof, k) in spring.k.iter().enumerate() {
                let number = self.numbering.equation[spring.node][dof];
                if number != NONE
                    && *k > 0.0
                    && let Some(slot) = self.pattern.slot(number, number)
                {
                    values[slot] += k;
                }
            }
        }
        for ((i, j), value) in self.pattern.places().zip(&mut values) {
            *value *= self.scale[i] * self.scale[j];
        }
        Ok(Stiffness { values, negative, weakest, inside })
    }

    /// Factorises the first-order stiffness and says whether it is positive definite for sure.
    pub(super) fn factor_first_order(&self) -> Result<(Vec<f64>, Definite<'_>), Unknown> {
        let stiffness = self.stiffness(None)?;
        let outcome = self.factor_definite(&stiffness.values);
        let verdict = outcome.as_ref().map(|definite| definite.condition).map_err(Clone::clone);
        // A second factorisation gives the same verdict; the first one stays.
        let _ = self.regular.set(verdict);
        Ok((stiffness.values, outcome?))
    }

    /// Factorises a matrix that has to be positive definite, surely and with digits to spare.
    pub(super) fn factor_definite(&self, values: &[f64]) -> Result<Definite<'_>, Unknown> {
        let ldl = match Ldl::new(&self.pattern, values) {
            Ok(ldl) => ldl,
            Err(LdlError::Memory) => return Err(Unknown::Memory),
            Err(LdlError::ZeroPivot) => return Err(self.singular_at(values)),
        };
        let margin = margin(&self.pattern, values, &ldl)?;
        if ldl.negative() > 0 || !(margin.times() > 1.0) {
            let row = ldl.weakest().map_or(0, |w| w.0);
            let (node, dof) = self.dof_of(row);
            return Err(Unknown::Singular { node, dof });
        }
        let condition = self.pattern.norm(values) / margin.nearest;
        if !(condition < WORST_CONDITION) {
            return Err(Unknown::IllConditioned(format!("condition {condition:e}")));
        }
        Ok(Definite { ldl, condition })
    }

    /// Says that the first-order stiffness is positive definite, asking once, and gives its condition.
    pub(super) fn is_regular(&self) -> Result<f64, Unknown> {
        if let Some(verdict) = self.regular.get() {
            return verdict.clone();
        }
        self.factor_first_order().map(|(_, definite)| definite.condition)
    }

    fn singular_at(&self, values: &[f64]) -> Unknown {
        let diagonal = self.pattern.diagonal(values);
        let row = diagonal.iter().position(|d| !(*d > 0.0)).unwrap_or(0);
        let (node, dof) = self.dof_of(row);
        Unknown::Singular { node, dof }
    }

    /// Node and degree of freedom of an unknown; of a member's own rotation, its node.
    pub(super) fn dof_of(&self, row: usize) -> Dof {
        if let Some(dof) = self.numbering.dofs.get(row) {
            return *dof;
        }
        for (element, unknowns) in self.elements.iter().zip(&self.unknowns) {
            if let Some(extra) = unknowns.iter().skip(12).position(|u| *u == row) {
                let (plane, end) = element.own_rotations()[extra];
                return (element.nodes[end], 5 - plane);
            }
        }
        (0, 0)
    }

    /// Displacements of a member's nodes and own rotations, unscaled, from the scaled unknowns.
    pub(super) fn gather(&self, member: usize, scaled: &[f64]) -> [f64; MOST] {
        let mut d = [0.0; MOST];
        for (value, number) in d.iter_mut().zip(&self.unknowns[member]) {
            if *number != NONE {
                *value = scaled[*number] * self.scale[*number];
            }
        }
        d
    }

    /// Adds a member's loads to the scaled right-hand side.
    pub(super) fn scatter(&self, member: usize, load: &[f64; MOST], scaled: &mut [f64]) {
        for (value, number) in load.iter().zip(&self.unknowns[member]) {
            if *number != NONE {
                scaled[*number] += value * self.scale[*number];
            }
        }
    }

    /// Displacements of the nodes from the scaled unknowns.
    pub(super) fn displacements(&self, scaled: &[f64]) -> Vec<[f64; 6]> {
        let mut all = vec![[0.0; 6]; self.frame.nodes.len()];
        for (number, (node, dof)) in self.numbering.dofs.iter().enumerate() {
            all[*node][*dof] = scaled[number] * self.scale[number];
        }
        all
    }
}

type Slots = Vec<Vec<(u8, u8, u32)>>;

fn places(
    elements: &[Element],
    unknowns: &[Vec<usize>],
    count: usize,
) -> Result<(Pattern, Slots), Unknown> {
    let mut pairs: Vec<Vec<(u8, u8)>> = Vec::with_capacity(elements.len());
    let mut entries = Vec::new();
    for (element, numbers) in elements.iter().zip(unknowns) {
        let live: Vec<u8> = (0..numbers.len())
            .filter(|a| numbers[*a] != NONE)
            .filter(|a| *a >= 12 || a % 6 < 3 || element.joins_turning(a / 6))
            .map(|a| a as u8)
            .collect();
        let mut own = Vec::new();
        for (k, a) in live.iter().enumerate() {
            for b in &live[k..] {
                own.push((*a, *b));
                entries.push((numbers[*a as usize], numbers[*b as usize]));
            }
        }
        pairs.push(own);
    }
    let pattern = Pattern::new(count, &entries).ok_or(Unknown::Memory)?;
    let mut slots = Vec::with_capacity(pairs.len());
    for (own, numbers) in pairs.into_iter().zip(unknowns) {
        let mut placed = Vec::with_capacity(own.len());
        for (a, b) in own {
            let slot = pattern.slot(numbers[a as usize], numbers[b as usize]);
            let slot = slot.and_then(|s| u32::try_from(s).ok()).ok_or(Unknown::Memory)?;
            placed.push((a, b, slot));
        }
        slots.push(placed);
    }
    Ok((pattern, slots))
}
