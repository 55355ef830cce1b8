//! The push test: the least horizontal force at a head that topples something.
//!
//! A state in which every foot pushes and everything is in equilibrium is proof that the push is
//! withstood (static theorem of limit analysis). The elastic state gives one for most heads: by
//! superposition the push may grow until the first foot has lost its load. Where that is not
//! enough, feet are released and the frame judged again, and the least push that topples is found
//! by limit analysis with feet that only push.

use super::cases::{self, sideways};
use super::contact::{self, Settled};
use super::idealise::StageFrame;
use super::limit::{Ask, Goes};
use super::lines::Lines;
use super::motions::name_motion;
use crate::assembly::model::{Assembly, MemberId};
use crate::mechanics::answers::{Mechanisms, Unknown};
use crate::mechanics::frame::LoadCase;
use crate::mechanics::stage_model::Push;
use crate::sequence::Stage;
use std::sync::Arc;

/// Failing pushes worked out exactly and listed; beyond them the stage has failed anyway.
const LISTED: usize = 8;
/// Contact and limit analysis may differ by this share and still agree.
const AGREE: f64 = 1e-3;

/// All that the push test says of a stage.
#[derive(Clone, Debug, Default)]
pub struct PushTest {
    /// The least push: exact where something topples below the required push, otherwise the least
    /// of the proven lower bounds.
    pub least: Option<Push>,
    pub failing: Vec<Push>,
    /// Why some head could not be judged.
    pub unknown: Option<String>,
}

/// A head and a way to push it, with the push the elastic state withstands.
struct Trial {
    post: MemberId,
    node: usize,
    direction: [f64; 2],
    withstands: f64,
}

/// The stage as the push test needs it.
#[derive(Clone, Copy)]
pub struct Subject<'a> {
    pub assembly: &'a Assembly,
    pub stage: &'a Stage,
    pub frame: &'a Arc<StageFrame>,
    pub mechanisms: &'a Mechanisms,
    /// Weight of the stage, and what it brings to each foot.
    pub weight: &'a LoadCase,
    pub weight_at_feet: &'a [f64],
}

/// What a case brings to each foot in the elastic state with all feet down.
pub type Influence<'a> = &'a dyn Fn(&LoadCase) -> Result<Vec<f64>, Unknown>;

/// Pushes every head of the frame that is not part of a mechanism, each way along each axis.
#[must_use]
pub fn test(
    subject: Subject<'_>,
    lines: &mut Lines,
    influence: Influence<'_>,
    goes: Ask<'_>,
    required: f64,
) -> PushTest {
    let Subject { assembly, stage, frame, mechanisms, weight, .. } = subject;
    let mut out = PushTest::default();
    let trials = match trials(subject, lines, influence, required) {
        Ok(trials) => trials,
        Err(unknown) => {
            out.unknown = Some(unknown.to_string());
            return out;
        }
    };
    let order =
        |a: &Trial, b: &Trial| a.withstands.total_cmp(&b.withstands).then(a.post.cmp(&b.post));
    // Of those that stand it only the least is told.
    let (stands, mut doubtful): (Vec<Trial>, Vec<Trial>) =
        trials.into_iter().partition(|trial| trial.withstands >= required);
    doubtful.sort_by(order);
    let pins = mechanisms.all_pins();
    let mut bound: Option<Push> = None;
    for trial in &doubtful {
        if out.failing.len() >= LISTED {
            keep_least(&mut bound, trial, trial.withstands);
            continue;
        }
        let mut case = weight.clone();
        case.nodal.push(sideways(trial.node, trial.direction, required));
        let contact = contact::settle(frame, &pins, &case);
        if matches!(contact, Ok(Settled::Stands { .. })) {
            keep_least(&mut bound, trial, required);
            continue;
        }
        let unit = LoadCase {
            nodal: vec![sideways(trial.node, trial.direction, 1.0)],
            uniform: Vec::new(),
        };
        let (force, motion) = match (contact, goes(&unit)) {
            (contact, Ok(Goes::At(force, motion))) if force < required * (1.0 + AGREE) => {
                if force >= required && contact.is_err() {
                    keep_least(&mut bound, trial, required);
                    continue;
                }
                (Some(force), motion)
            }
            // The elastic state gives a lower bound, and the way it goes is known.
            (Ok(Settled::GoesOver { motion, .. }), Err(_)) => (None, motion),
            (Err(_), Ok(_)) => {
                keep_least(&mut bound, trial, required);
                continue;
            }
            (Ok(_), _) => {
                out.unknown = Some("contact and limit analysis say different things".to_owned());
                continue;
            }
            (Err(unknown), Err(_)) => {
                out.unknown = Some(unknown.to_string());
                continue;
            }
        };
        let (members, motion) = name_motion(assembly, stage, frame, &motion);
        out.failing.push(Push {
            post: trial.post,
            direction: trial.direction,
            force: force.unwrap_or(trial.withstands.max(0.0)),
            exact: force.is_some(),
            members,
            motion,
        });
    }
    if let Some(least) = stands.iter().min_by(|a, b| order(a, b)) {
        keep_least(&mut bound, least, least.withstands);
    }
    out.failing.sort_by(|a, b| a.force.total_cmp(&b.force).then(a.post.cmp(&b.post)));
    out.least = out.failing.first().cloned().or(bound);
    out
}

fn keep_least(bound: &mut Option<Push>, trial: &Trial, force: f64) {
    if bound.as_ref().is_none_or(|b| force < b.force) {
        *bound = Some(Push {
            post: trial.post,
            direction: trial.direction,
            force,
            exact: false,
            members: Vec::new(),
            motion: crate::findings::Motion::default(),
        });
    }
}

/// The push each head is proven to withstand: by its line alone, or where that is not enough by
/// the elastic state of the whole stage with all feet down.
fn trials(
    subject: Subject<'_>,
    lines: &mut Lines,
    influence: Influence<'_>,
    required: f64,
) -> Result<Vec<Trial>, Unknown> {
    let Subject { assembly, frame, mechanisms, weight_at_feet, .. } = subject;
    let mut trials = Vec::new();
    for (which, axis) in cases::axes(assembly).into_iter().enumerate() {
        let by_line = lines.withstood(frame, which, axis, weight_at_feet);
        for (&post, chain) in frame.posts.iter() {
            let Some(&(_, node)) = chain.last() else { continue };
            let free = mechanisms
                .motions
                .iter()
                .any(|m| (m[node][0] * axis[0] + m[node][1] * axis[1]).abs() > 1e-6);
            if free {
                // Nothing to push against: the mechanism itself is the finding.
                continue;
            }
            let mut withstands = by_line[post.index()];
            if withstands.iter().any(|w| *w < required) {
                let case = LoadCase { nodal: vec![sideways(node, axis, 1.0)], uniform: Vec::new() };
                let reactions = influence(&case)?;
                for (k, sense) in [1.0, -1.0].into_iter().enumerate() {
                    withstands[k] = withstands[k].max(elastic(&reactions, weight_at_feet, sense));
                }
            }
            for (withstands, sense) in withstands.into_iter().zip([1.0, -1.0]) {
                trials.push(Trial {
                    post,
                    node,
                    direction: [axis[0] * sense, axis[1] * sense],
                    withstands,
                });
            }
        }
    }
    Ok(trials)
}

/// How far a push may grow until the first foot has lost its load.
fn elastic(reactions: &[f64], weight_at_feet: &[f64], sense: f64) -> f64 {
    reactions
        .iter()
        .zip(weight_at_feet)
        .filter(|(r, _)| *r * sense < -1e-9)
        .map(|(r, weight)| weight.max(0.0) / -(r * sense))
        .fold(f64::INFINITY, f64::min)
}
