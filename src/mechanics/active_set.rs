//! Forces in a frame with one-way parts, first order: which of them act, and the balance then.
//!
//! Start with all acting; solve; those with a force of the wrong sign stop acting, those that
//! would be strained the right way act again; until nothing changes. It ended well only where
//! every sign was checked at the end: acting parts with a force of their sign, resting parts
//! strained the other way. That it ends is in `super::walk`; a set that comes back is *unknown*.
//!
//! A foot that lifts loses its vertical support and keeps its horizontal ones: a post hung by its
//! head would swing otherwise, which is no fall. Whether the balance asks a foot for more than
//! friction gives (of one that lifts: for anything) is in [`Settled::sliding`]; where that is not
//! empty the balance found is none, and [`super::collapse`] has to say whether there is another.

use super::answers::{Solution, Unknown};
use super::frame::{Dof, ElementForm, Frame, LoadCase};
use super::model::Model;
use super::one_way::{OneWay, check};
use super::walk::{CameBack, Then, Walk};

/// Forces and gaps of the wrong sign, relative to the largest, that are round-off.
const ROUND_OFF: f64 = 1e-9;

/// A balance with every one-way part's sign checked.
#[derive(Clone, Debug, PartialEq)]
pub struct Settled {
    /// As of the whole frame; parts at rest have no force.
    pub solution: Solution,
    /// Which parts act.
    pub acting: Vec<bool>,
    /// Parts whose foot is asked for more horizontal reaction than friction gives.
    pub sliding: Vec<usize>,
    /// How many balances were solved.
    pub rounds: usize,
}

/// Solves one load case.
///
/// # Errors
/// What [`Frame::check`] says; [`Unknown::Singular`] where what acts is a mechanism (whether it
/// falls is for [`super::collapse`] to say); a set that comes back.
pub fn solve(
    frame: &Frame,
    form: ElementForm,
    pins: &[Dof],
    parts: &[OneWay],
    case: &LoadCase,
) -> Result<Settled, Unknown> {
    frame.check()?;
    check(frame, parts)?;
    frame.check_case(case)?;
    let mut walk = Walk::new(parts.len(), Then::OneAtATime);
    let mut rounds = 0;
    loop {
        rounds += 1;
        let reduced = Reduced::new(frame, parts, &walk.acting);
        let model = Model::new(&reduced.frame, form, pins)?;
        let solution = model.factor()?.solve(&reduced.case(case))?;
        let solution = reduced.expand(frame, solution);
        let wrong = wrong_signs(frame, parts, &walk.acting, &solution);
        match walk.step(&wrong) {
            Ok(true) => {
                let acting = walk.acting;
                let sliding = sliding(parts, &acting, &solution);
                return Ok(Settled { solution, acting, sliding, rounds });
            }
            Ok(false) => {}
            Err(CameBack) => {
                return Err(Unknown::NotConverged(format!(
                    "one-way parts come back to a set left before, after {rounds} rounds"
                )));
            }
        }
    }
}

/// The frame without the parts at rest.
struct Reduced {
    frame: Frame,
    /// Members of the whole that are left.
    members: Vec<usize>,
}

impl Reduced {
    fn new(whole: &Frame, parts: &[OneWay], acting: &[bool]) -> Self {
        let mut frame = whole.clone();
        let mut left = vec![true; whole.members.len()];
        for (part, _) in parts.iter().zip(acting).filter(|(_, acts)| !**acts) {
            match *part {
                OneWay::Pulls { member } | OneWay::Pushes { member } => left[member] = false,
                OneWay::Bears { node, .. } => {
                    for support in frame.supports.iter_mut().filter(|s| s.node == node) {
                        support.fixed[2] = false;
                    }
                }
            }
        }
        let members: Vec<usize> = (0..left.len()).filter(|m| left[*m]).collect();
        frame.members = members.iter().map(|m| whole.members[*m]).collect();
        Self { frame, members }
    }

    fn case(&self, case: &LoadCase) -> LoadCase {
        let uniform = case.uniform.iter().filter_map(|(member, load)| {
            self.members.binary_search(member).ok().map(|own| (own, *load))
        });
        LoadCase { nodal: case.nodal.clone(), uniform: uniform.collect() }
    }

    fn expand(&self, whole: &Frame, solution: Solution) -> Solution {
        let mut axial = vec![0.0; whole.members.len()];
        let mut end_forces = vec![[[0.0; 6]; 2]; whole.members.len()];
        for (own, member) in self.members.iter().enumerate() {
            axial[*member] = solution.axial[own];
            end_forces[*member] = solution.end_forces[own];
        }
        Solution { axial, end_forces, ..solution }
    }
}

/// Stretch of a member by its nodes.
fn stretch(frame: &Frame, member: usize, solution: &Solution) -> f64 {
    let moved = |end| frame.end_moved(member, end, &solution.displacement);
    frame.run(member).normalize().dot(&(moved(1) - moved(0)))
}

fn reaction(solution: &Solution, node: usize) -> [f64; 6] {
    let found = solution.reactions.binary_search_by_key(&node, |r| r.0);
    found.map_or([0.0; 6], |k| solution.reactions[k].1)
}

fn wrong_signs(
    frame: &Frame,
    parts: &[OneWay],
    acting: &[bool],
    solution: &Solution,
) -> Vec<usize> {
    let force = solution.axial.iter().fold(0.0, |m: f64, n| m.max(n.abs())) * ROUND_OFF;
    let moved = solution.displacement.iter().flat_map(|d| &d[..3]);
    let gap = moved.fold(0.0, |m: f64, u| m.max(u.abs())) * ROUND_OFF;
    let wrong = |(part, acts): (&OneWay, &bool)| match (*part, *acts) {
        (OneWay::Pulls { member }, true) => solution.axial[member] < -force,
        (OneWay::Pulls { member }, false) => stretch(frame, member, solution) > gap,
        (OneWay::Pushes { member }, true) => solution.axial[member] > force,
        (OneWay::Pushes { member }, false) => stretch(frame, member, solution) < -gap,
        (OneWay::Bears { node, .. }, true) => reaction(solution, node)[2] < -force,
        (OneWay::Bears { node, .. }, false) => solution.displacement[node][2] < -gap,
    };
    let pairs = parts.iter().zip(acting).enumerate();
    pairs.filter(|(_, pair)| wrong(*pair)).map(|(k, _)| k).collect()
}

fn sliding(parts: &[OneWay], acting: &[bool], solution: &Solution) -> Vec<usize> {
    let largest = solution.reactions.iter().flat_map(|r| &r.1[..3]);
    let round_off = largest.fold(0.0, |m: f64, f| m.max(f.abs())) * ROUND_OFF;
    let slides = |part: &OneWay, acts: bool| match *part {
        OneWay::Bears { node, friction } => {
            let r = reaction(solution, node);
            let borne = if acts { r[2].max(0.0) } else { 0.0 };
            r[0].hypot(r[1]) > friction * borne + round_off
        }
        OneWay::Pulls { .. } | OneWay::Pushes { .. } => false,
    };
    (0..parts.len()).filter(|k| slides(&parts[*k], acting[*k])).collect()
}
