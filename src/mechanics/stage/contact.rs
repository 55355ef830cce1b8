//! Feet push, they never pull: what lifts under a load is released, and the frame judged again.
//!
//! For frictionless one-way supports the elastic solution exists exactly where equilibrium is
//! possible at all, so a frame that runs out of supports on the way has no equilibrium: it goes
//! over. A foot that has lifted is held in no direction.

use super::WORST_RESIDUAL;
use super::idealise::StageFrame;
use super::limit::pin_down;
use super::swing::{self, Forces};
use crate::mechanics::answers::{Solution, Unknown};
use crate::mechanics::engine::stage_tree::{OnTree, TreeSolution};
use crate::mechanics::frame::{Dof, ElementForm, Frame, LoadCase, Support};
use crate::mechanics::mechanisms;
use crate::mechanics::model::Model;
use crate::mechanics::walk::{CameBack, Then, Walk};
use std::collections::BTreeSet;

/// Upward pull on a foot counts as lifting above this share of the largest reaction.
const LIFTS: f64 = 1e-9;

/// A load case in its contact state.
#[derive(Clone, Debug)]
pub enum Settled {
    /// Every foot that is counted on pushes.
    Stands {
        /// Axial force per frame member, tension positive.
        axial: Vec<f64>,
        /// Per node, global axes.
        displacement: Vec<[f64; 6]>,
        /// Out-of-balance force over the largest force at hand.
        residual: f64,
        /// Indices into [`StageFrame::feet`] of those that lifted.
        lifted: Vec<usize>,
    },
    /// With these feet lifted, nothing is left that stops it.
    GoesOver {
        lifted: Vec<usize>,
        /// Movement of the nodes, largest 1.
        motion: Vec<[f64; 6]>,
    },
}

/// Whether a foot's reaction is a pull, among reactions up to `largest`.
#[must_use]
pub fn lifts(reaction: f64, largest: f64) -> bool {
    reaction < -LIFTS * largest.max(1.0)
}

/// The frame with some feet lifted off.
#[must_use]
pub fn without_feet(frame: &StageFrame, lifted: &BTreeSet<usize>) -> Frame {
    let supports = supports_without(frame, lifted);
    Frame { supports, ..frame.frame.clone() }
}

/// Its supports then.
pub(super) fn supports_without(frame: &StageFrame, lifted: &BTreeSet<usize>) -> Vec<Support> {
    let up: BTreeSet<usize> = lifted.iter().map(|&foot| frame.feet[foot].0).collect();
    let mut supports = frame.frame.supports.clone();
    for support in supports.iter_mut().filter(|s| up.contains(&s.node)) {
        support.fixed = [false, false, false, false, false, true];
    }
    supports
}

/// Force by which the ground pushes up on each foot, newtons.
pub(super) fn foot_reactions(frame: &StageFrame, solution: &Solution) -> Vec<f64> {
    frame
        .feet
        .iter()
        .map(|&(node, _)| {
            solution
                .reactions
                .binary_search_by(|r| r.0.cmp(&node))
                .map_or(0.0, |k| solution.reactions[k].1[2])
        })
        .collect()
}

/// A case with a fixed set of feet lifted.
pub(super) enum State {
    /// Nothing is left that stops a motion on which the load does work.
    Moves(Vec<[f64; 6]>),
    Rests(Rest),
}

/// At rest with some feet lifted.
pub(super) struct Rest {
    pub axial: Vec<f64>,
    pub displacement: Vec<[f64; 6]>,
    pub residual: f64,
    /// Force by which the ground pushes up on each foot.
    pub reactions: Vec<f64>,
}

/// Releases what lifts under a case until every foot counted on pushes.
///
/// `pins` stop the mechanisms the frame has with all feet down; a motion they do not stop is new.
///
/// A foot holds sideways only while it pushes, so a foot may lift because of what it holds
/// sideways, and come down again for want of it: no contact state is then right. Such feet are
/// left up for good. If the rest stands without them, it stands: a foot that gives nothing is a
/// foot that pushes with nothing (lower bound). If not, the question is left open. That it ends is
/// in `crate::mechanics::walk`.
///
/// # Errors
/// What could not be solved, or contact that did not settle.
pub fn settle(frame: &StageFrame, pins: &[Dof], case: &LoadCase) -> Result<Settled, Unknown> {
    walk(frame, &mut |lifted| afresh(frame, pins, case, lifted))
}

/// The same on the tree of the stages. `down` is the answer with all feet down, where it is known.
///
/// # Errors
/// As [`settle`].
pub(super) fn settle_on(
    tree: &mut OnTree<'_>,
    frame: &StageFrame,
    pins: &[Dof],
    case: &LoadCase,
    mut down: Option<Rest>,
) -> Result<Settled, Unknown> {
    walk(frame, &mut |lifted| {
        if lifted.is_empty()
            && let Some(down) = down.take()
        {
            return Ok(State::Rests(down));
        }
        match kept(tree, frame, pins, case, lifted)? {
            Some(state) => Ok(state),
            None => afresh(frame, pins, case, lifted),
        }
    })
}

/// From one set of lifted feet to the next.
fn walk(
    frame: &StageFrame,
    ask: &mut dyn FnMut(&BTreeSet<usize>) -> Result<State, Unknown>,
) -> Result<Settled, Unknown> {
    let mut walk = Walk::new(frame.feet.len(), Then::OnlyToRest);
    loop {
        let lifted: BTreeSet<usize> =
            (0..frame.feet.len()).filter(|&foot| !walk.acting[foot]).collect();
        let Rest { axial, displacement, residual, reactions } = match ask(&lifted)? {
            State::Moves(_) if walk.careful => {
                return Err(Unknown::NotConverged(
                    "which feet lift and which push does not settle".into(),
                ));
            }
            State::Moves(motion) => {
                return Ok(Settled::GoesOver { lifted: lifted.into_iter().collect(), motion });
            }
            State::Rests(rest) => rest,
        };
        let largest = reactions.iter().map(|r| r.abs()).fold(0.0, f64::max);
        let wrong = |&k: &usize| {
            if walk.acting[k] {
                lifts(reactions[k], largest)
            } else {
                // Came down again: it bears.
                displacement[frame.feet[k].0][2] < 0.0
            }
        };
        let wrong: Vec<usize> = (0..reactions.len()).filter(wrong).collect();
        let settled = walk.step(&wrong).map_err(|CameBack| {
            Unknown::NotConverged("which feet lift and which push does not settle".into())
        })?;
        if settled {
            let lifted = lifted.into_iter().collect();
            return Ok(Settled::Stands { axial, displacement, residual, lifted });
        }
    }
}

/// On a matrix of its own.
fn afresh(
    frame: &StageFrame,
    pins: &[Dof],
    case: &LoadCase,
    lifted: &BTreeSet<usize>,
) -> Result<State, Unknown> {
    let released = without_feet(frame, lifted);
    let mut all_pins = pins.to_vec();
    if !lifted.is_empty() {
        match new_motion(&released, pins, case)? {
            NewMotion::Loaded(motion) => return Ok(State::Moves(motion)),
            NewMotion::Unloaded(more) => all_pins = more,
            NewMotion::None => {}
        }
    }
    let model = Model::new(&released, ElementForm::Exact, &all_pins)?;
    let solution = model.factor()?.solve(case)?;
    let reactions = foot_reactions(frame, &solution);
    let Solution { axial, displacement, residual, .. } = solution;
    Ok(State::Rests(Rest { axial, displacement, residual, reactions }))
}

/// The pins with which a frame with lifted feet may be rigid: the given ones, and those of posts
/// that swing with nothing driving them. To be proven on the tree: the swings strain nothing, so
/// that if it is rigid then, there are no other motions. None where there is more to it.
pub(super) fn pins_of_swings(
    frame: &StageFrame,
    lifted: &BTreeSet<usize>,
    pins: &[Dof],
    forces: Option<&Forces>,
) -> Option<Vec<Dof>> {
    let swings = swing::swings(frame, lifted)?;
    if forces.is_some_and(|forces| swings.iter().any(|s| s.is_moved_by(forces))) {
        return None;
    }
    let mut all = pins.to_vec();
    all.extend(swings.iter().map(|s| s.pin).filter(|pin| !pins.contains(pin)));
    (all.len() == pins.len() + swings.len()).then_some(all)
}

/// The pins with which a frame with lifted feet is rigid, proven on the tree: the given ones, those of posts
/// that swing, and those of what else is free with nothing driving it, as a whole line of posts whose
/// feet have all lifted. None where there is more to it.
///
/// # Errors
/// Where no support is left.
pub(super) fn pins_on(
    tree: &mut OnTree<'_>,
    frame: &StageFrame,
    (lifted, supports): (&BTreeSet<usize>, &[Support]),
    pins: &[Dof],
    forces: Option<&Forces>,
) -> Result<Option<Vec<Dof>>, Unknown> {
    let Some(mut pins) = pins_of_swings(frame, lifted, pins, forces) else { return Ok(None) };
    let mut on = tree.on_supports(supports, &pins)?;
    if on.is_rigid() {
        return Ok(Some(pins));
    }
    let Some(loose) = on.loose() else { return Ok(None) };
    if forces.is_some_and(|forces| loose.iter().any(|loose| forces.move_it(&loose.moved))) {
        return Ok(None);
    }
    pins.extend(loose.iter().map(|loose| loose.pin));
    let rigid = tree.on_supports(supports, &pins)?.is_rigid();
    Ok(rigid.then_some(pins))
}

/// On the tree; none where it leaves a doubt.
fn kept(
    tree: &mut OnTree<'_>,
    frame: &StageFrame,
    pins: &[Dof],
    case: &LoadCase,
    lifted: &BTreeSet<usize>,
) -> Result<Option<State>, Unknown> {
    let supports = supports_without(frame, lifted);
    let forces = Forces::new(frame, case);
    let Some(pins) = pins_on(tree, frame, (lifted, &supports), pins, Some(&forces))? else {
        return Ok(None);
    };
    let mut on = tree.on_supports(&supports, &pins)?;
    if on.factor().is_err() {
        return Ok(None);
    }
    let solution = on.solve(case)?;
    let residual = on.imbalance(&solution, case);
    if !(residual <= WORST_RESIDUAL) {
        return Ok(None);
    }
    let mut reactions = on.foot_reactions(&solution, case);
    for &foot in lifted {
        reactions[foot] = 0.0;
    }
    let TreeSolution { axial, displacement, .. } = solution;
    Ok(Some(State::Rests(Rest { axial, displacement, residual, reactions })))
}

pub(super) enum NewMotion {
    None,
    /// A motion on which the load does work: it goes that way.
    Loaded(Vec<[f64; 6]>),
    /// Motions on which the load does none, with the pins that stop all motions.
    Unloaded(Vec<Dof>),
}

/// Motions that appear once feet have lifted, beyond those the pins already stop.
pub(super) fn new_motion(
    released: &Frame,
    pins: &[Dof],
    case: &LoadCase,
) -> Result<NewMotion, Unknown> {
    let pinned = pin_down(released, pins);
    let found = mechanisms::find(&pinned)?;
    if found.count.clone()? == 0 && found.spins == 0 {
        return Ok(NewMotion::None);
    }
    let largest = case.nodal.iter().flat_map(|(_, f)| f.iter()).fold(0.0f64, |a, f| a.max(f.abs()));
    for motion in &found.motions {
        let work: f64 = case
            .nodal
            .iter()
            .map(|(node, f)| (0..6).map(|d| f[d] * motion[*node][d]).sum::<f64>())
            .sum();
        if work.abs() > 1e-6 * largest {
            let sense = work.signum();
            let motion = motion.iter().map(|n| n.map(|v| v * sense)).collect();
            return Ok(NewMotion::Loaded(motion));
        }
    }
    let mut all = pins.to_vec();
    all.extend(found.all_pins());
    Ok(NewMotion::Unloaded(all))
}
