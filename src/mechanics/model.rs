//! A frame made ready for solving.

use super::answers::{CriticalMode, Inertia, Solution, Unknown};
use super::frame::{Dof, ElementForm, Frame, LoadCase};
use super::frame_check;

/// A frame with its numbering, pattern and elimination order; made once, used for many loads,
/// axial forces and factors.
#[derive(Debug)]
pub struct Model<'f> {
    frame: &'f Frame,
    form: ElementForm,
    pins: Vec<Dof>,
}

/// The factorised first-order stiffness: one factorisation, many right-hand sides.
#[derive(Debug)]
pub struct Factored<'m> {
    model: &'m Model<'m>,
}

impl<'f> Model<'f> {
    /// Numbers the frame. `pins` are held at zero besides the supports: one per mechanism.
    ///
    /// # Errors
    /// What [`Frame::check`] says, or a pin that does not exist.
    pub fn new(frame: &'f Frame, form: ElementForm, pins: &[Dof]) -> Result<Self, Unknown> {
        frame.check()?;
        frame_check::check_pins(frame, pins)?;
        Ok(Self { frame, form, pins: pins.to_vec() })
    }

    /// Factorises the stiffness without axial forces.
    ///
    /// # Errors
    /// [`Unknown::Singular`] where a mechanism is left, [`Unknown::IllConditioned`].
    pub fn factor(&self) -> Result<Factored<'_>, Unknown> {
        let _ = (self.form, &self.pins);
        Ok(Factored { model: self })
    }

    /// Counts the critical load factors between zero and `factor`, all axial forces growing
    /// together from zero. Zero is the proof that the lowest is at least `factor`.
    ///
    /// # Errors
    /// Where round-off could change the count.
    pub fn inertia(&self, axial: &[f64], factor: f64) -> Result<Inertia, Unknown> {
        let _ = factor;
        frame_check::check_axial(self.frame, axial)?;
        Err(Unknown::NotConverged("not written yet".into()))
    }

    /// The `k` lowest critical load factors, ascending, with their modes.
    ///
    /// # Errors
    /// Where an iteration does not end or round-off could change the answer.
    pub fn lowest(&self, axial: &[f64], k: usize) -> Result<Vec<CriticalMode>, Unknown> {
        let _ = (axial, k);
        Err(Unknown::NotConverged("not written yet".into()))
    }

    /// Solves with the axial forces `factor · axial` acting on the sway: second order.
    ///
    /// # Errors
    /// Where `factor` is at or above the lowest critical one, or as for [`Factored::solve`].
    pub fn second_order(
        &self,
        case: &LoadCase,
        axial: &[f64],
        factor: f64,
    ) -> Result<Solution, Unknown> {
        let _ = (case, axial, factor);
        Err(Unknown::NotConverged("not written yet".into()))
    }
}

impl Factored<'_> {
    /// Solves one load case, first order.
    ///
    /// # Errors
    /// A case that does not fit the frame, or a residual that is too large.
    pub fn solve(&self, case: &LoadCase) -> Result<Solution, Unknown> {
        self.model.frame.check_case(case)?;
        Err(Unknown::NotConverged("not written yet".into()))
    }
}
