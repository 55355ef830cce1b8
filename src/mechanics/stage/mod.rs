//! A stage judged as a frame: mechanisms, forces, critical factor, lateral cases, least push.

pub mod cases;
pub mod contact;
pub mod idealise;
pub mod motions;
pub mod push;

use super::answers::{Mechanisms, Solution, Unknown};
use super::frame::{ElementForm, LoadCase};
use super::mechanisms;
use super::model::Model;
use super::stage_model::{AxialRange, Overturned, StageMechanics, Verdict};
use crate::assembly::Assembly;
use crate::criteria::Pack;
use crate::loads::LoadState;
use crate::sequence::Stage;
use contact::Settled;
use idealise::StageFrame;
use std::collections::BTreeSet;

/// Halvings towards the share of a lateral case at which something goes over.
const HALVINGS: usize = 10;

/// Judges one stage.
///
/// Mechanisms are found first and pinned, one degree of freedom each, so that one loose post does
/// not blind the rest; what the pins must hold back belongs to the mechanism's own finding. The
/// proof of the critical factor takes the largest compression any case brings to each member and
/// leaves tension out: more compression never makes these members stiffer.
#[must_use]
pub fn judge_stage(assembly: &Assembly, pack: &Pack, stage: &Stage, loads: &LoadState) -> StageMechanics {
    let frame = idealise::idealise(assembly, stage);
    let required_push = pack.worker_push.value.si();
    let required = pack.critical_factor.value;
    let mut out = StageMechanics::unknown("not judged", assembly.members.len(), required, required_push);
    out.not_modelled.clone_from(&frame.unknown);
    if frame.posts.is_empty() {
        // Nothing stands on its own.
        for verdict in [&mut out.mechanisms_certain, &mut out.critical, &mut out.lateral, &mut out.push] {
            *verdict = Verdict::Met;
        }
        return out;
    }
    let mechanisms = match mechanisms::find(&frame.frame).and_then(|m| m.count.clone().map(|_| m)) {
        Ok(mechanisms) => mechanisms,
        Err(unknown) => {
            let why = Verdict::Unknown(unknown.to_string());
            out.mechanisms_certain = why.clone();
            out.critical = why.clone();
            out.lateral = why.clone();
            out.push = why;
            return out;
        }
    };
    out.mechanisms_certain = if mechanisms.motions.is_empty() { Verdict::Met } else { Verdict::NotMet };
    out.mechanisms =
        mechanisms.motions.iter().map(|m| motions::name_mechanism(assembly, stage, &frame, m)).collect();
    if let Err(unknown) = judge_pinned(assembly, pack, stage, loads, &frame, &mechanisms, &mut out) {
        let why = Verdict::Unknown(unknown.to_string());
        for verdict in [&mut out.critical, &mut out.lateral, &mut out.push] {
            if matches!(verdict, Verdict::Unknown(_)) {
                *verdict = why.clone();
            }
        }
    }
    out
}

/// Everything that needs the frame to be regular: forces, proof, lateral cases, push test.
fn judge_pinned(
    assembly: &Assembly,
    pack: &Pack,
    stage: &Stage,
    loads: &LoadState,
    frame: &StageFrame,
    mechanisms: &Mechanisms,
    out: &mut StageMechanics,
) -> Result<(), Unknown> {
    let pins = mechanisms.all_pins();
    let weight = cases::weight(assembly, loads, frame);
    let model = Model::new(&frame.frame, ElementForm::Exact, &pins)?;
    let factored = model.factor()?;
    let at_rest = factored.solve(&weight)?;
    out.residual = at_rest.residual;
    let mut envelope = Envelope::new(frame);
    envelope.take_weights(assembly, loads, frame);
    envelope.take(&at_rest);
    let mut contact_states: BTreeSet<Vec<usize>> = BTreeSet::new();
    lateral_cases(assembly, pack, stage, loads, frame, &pins, &weight, &mut envelope, &mut contact_states, out)?;
    envelope.write(frame, &mut out.axial);

    out.critical = prove(&model, &envelope.compression, out.required_factor)?;
    if out.critical == Verdict::Met {
        // The contact states in which feet have lifted are judged too.
        for lifted in &contact_states {
            let released = contact::without_feet(frame, &lifted.iter().copied().collect());
            let found = mechanisms::find(&released)?;
            found.count.clone()?;
            let lifted_model = Model::new(&released, ElementForm::Exact, &found.all_pins())?;
            let verdict = prove(&lifted_model, &envelope.compression, out.required_factor)?;
            if verdict != Verdict::Met {
                out.critical = verdict;
                break;
            }
        }
    }
    if out.critical == Verdict::NotMet {
        lowest_mode(assembly, stage, frame, &model, &envelope.compression, out)?;
    }

    let weight_at_feet = contact::foot_reactions(frame, &at_rest);
    let subject = push::Subject {
        assembly,
        stage,
        frame,
        mechanisms,
        weight: &weight,
        weight_at_feet: &weight_at_feet,
    };
    let test = push::test(subject, &factored, out.required_push);
    out.push = match (&test.unknown, test.failing.is_empty()) {
        (_, false) => Verdict::NotMet,
        (Some(why), true) => Verdict::Unknown(why.clone()),
        (None, true) => Verdict::Met,
    };
    out.least_push = test.least;
    out.failing_pushes = test.failing;
    Ok(())
}

/// The least critical factor with its mode, where the required one is not reached.
fn lowest_mode(
    assembly: &Assembly,
    stage: &Stage,
    frame: &StageFrame,
    model: &Model<'_>,
    compression: &[f64],
    out: &mut StageMechanics,
) -> Result<(), Unknown> {
    let Some(mode) = model.lowest(compression, 1)?.into_iter().next() else { return Ok(()) };
    out.lowest_factor = Some(mode.factor);
    let (mut members, motion) = motions::name_motion(assembly, stage, frame, &mode.mode);
    members.extend(mode.bowing.iter().map(|&k| frame.of[k]));
    members.sort_unstable();
    members.dedup();
    out.mode_members = members;
    out.mode = Some(motion);
    Ok(())
}

/// Whether no critical factor lies between zero and the required one.
fn prove(model: &Model<'_>, compression: &[f64], required: f64) -> Result<Verdict, Unknown> {
    let inertia = model.inertia(compression, required)?;
    Ok(if inertia.margin <= 1.0 {
        Verdict::Unknown("round-off could change the count of critical factors".to_owned())
    } else if inertia.negative == 0 {
        Verdict::Met
    } else {
        Verdict::NotMet
    })
}

/// The lateral cases: forces for the envelope, feet that lift, and what goes over.
#[expect(clippy::too_many_arguments, reason = "one stage's judgment split in two for reading")]
fn lateral_cases(
    assembly: &Assembly,
    pack: &Pack,
    stage: &Stage,
    loads: &LoadState,
    frame: &StageFrame,
    pins: &[super::frame::Dof],
    weight: &LoadCase,
    envelope: &mut Envelope,
    contact_states: &mut BTreeSet<Vec<usize>>,
    out: &mut StageMechanics,
) -> Result<(), Unknown> {
    let heads = lateral_at_heads(assembly, pack, stage, loads, frame);
    for axis in cases::axes(assembly) {
        for sense in [1.0, -1.0] {
            let direction = [axis[0] * sense, axis[1] * sense];
            let words = format!("notional lateral and wind, {}", cases::direction_words(direction));
            let case_at = |share: f64| {
                let mut case = weight.clone();
                case.nodal
                    .extend(heads.iter().map(|&(node, force)| cases::sideways(node, direction, share * force)));
                case
            };
            match contact::settle(frame, pins, &case_at(1.0))? {
                Settled::Stands { solution, lifted } => {
                    out.residual = out.residual.max(solution.residual);
                    envelope.take(&solution);
                    for &foot in &lifted {
                        out.lifting_feet.push((frame.feet[foot].1, words.clone()));
                    }
                    if !lifted.is_empty() {
                        contact_states.insert(lifted);
                    }
                }
                Settled::GoesOver { mut motion, .. } => {
                    let (mut low, mut high) = (0.0, 1.0);
                    for _ in 0..HALVINGS {
                        let middle = 0.5 * (low + high);
                        match contact::settle(frame, pins, &case_at(middle))? {
                            Settled::Stands { .. } => low = middle,
                            Settled::GoesOver { motion: at, .. } => {
                                high = middle;
                                motion = at;
                            }
                        }
                    }
                    let (members, motion) = motions::name_motion(assembly, stage, frame, &motion);
                    out.overturned.push(Overturned { case: words, direction, factor: low, members, motion });
                }
            }
        }
    }
    out.lateral = if out.overturned.is_empty() { Verdict::Met } else { Verdict::NotMet };
    Ok(())
}

/// Lateral force at each head's node: the greater of notional share and wind. Newtons.
fn lateral_at_heads(
    assembly: &Assembly,
    pack: &Pack,
    stage: &Stage,
    loads: &LoadState,
    frame: &StageFrame,
) -> Vec<(usize, f64)> {
    frame
        .posts
        .keys()
        .filter_map(|&post| {
            let lateral = crate::loads::head_lateral_parts(assembly, pack, stage, loads, post);
            Some((frame.head(post)?, lateral.notional.max(lateral.wind)))
        })
        .collect()
}

/// Range of axial force in each frame member over the cases.
struct Envelope {
    least: Vec<f64>,
    greatest: Vec<f64>,
    /// Largest compression, negative; zero where none.
    compression: Vec<f64>,
}

impl Envelope {
    fn new(frame: &StageFrame) -> Self {
        let n = frame.frame.members.len();
        Self { least: vec![f64::INFINITY; n], greatest: vec![f64::NEG_INFINITY; n], compression: vec![0.0; n] }
    }

    fn take(&mut self, solution: &Solution) {
        for (k, &n) in solution.axial.iter().enumerate() {
            self.least[k] = self.least[k].min(n);
            self.greatest[k] = self.greatest[k].max(n);
            self.compression[k] = self.compression[k].min(n);
        }
    }

    /// A post carries at least what the take-down brings to it, whatever the braces share.
    fn take_weights(&mut self, assembly: &Assembly, loads: &LoadState, frame: &StageFrame) {
        for (k, &member) in frame.of.iter().enumerate() {
            if assembly.member(member).is_post() {
                self.compression[k] = self.compression[k].min(-loads.at_foot[member.index()]);
            }
        }
    }

    fn write(&self, frame: &StageFrame, axial: &mut [AxialRange]) {
        let mut seen = BTreeSet::new();
        for (k, &member) in frame.of.iter().enumerate() {
            let range = &mut axial[member.index()];
            if seen.insert(member) {
                *range = AxialRange { least: self.least[k], greatest: self.greatest[k] };
            } else {
                range.least = range.least.min(self.least[k]);
                range.greatest = range.greatest.max(self.greatest[k]);
            }
        }
    }
}
