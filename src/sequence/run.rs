//! Goes through the sequence and keeps a stage at the end of each step.

use super::expand::steps_of;
use super::machine::Machine;
use super::model::{JointState, MemberState, Person, Placing, Sequence, Stage};
use super::trouble::{At, Trouble};
use crate::assembly::model::{Member, Point};
use crate::assembly::{Assembly, JointKind};
use crate::chunks::Chunks;
use crate::scene::model::{SequenceItem, StepText};
use crate::scene::{Problems, Scene, SceneSource};
use std::collections::BTreeMap;
use std::ops::Range;

/// More steps than this are not gone through.
pub const MOST_STEPS: usize = 50_000;

/// Stages of the assembly's own scene: one for each step, expanded ones included.
///
/// A scene without a sequence gets one stage in which everything stands, every lock, coupler, clip
/// and tie is home, and sheets and fillers merely lie; the result says that it is the only one.
///
/// # Errors
/// All that is wrong with the sequence, each with its place in the file: unknown names, members
/// set twice or missing, steps with one id, loads that are not there.
pub fn run(assembly: &Assembly, source: &SceneSource) -> Result<Sequence, Problems> {
    if assembly.scene.sequence.is_empty() {
        let mut stages = vec![finished(assembly)];
        assign_levels(&assembly.scene, &mut stages);
        return Ok(Sequence { stages, finished_only: true });
    }
    let mut stages: Vec<Stage> = Vec::new();
    let mut places: (usize, Range<usize>) = (usize::MAX, 0..0);
    go_through(&assembly.scene, assembly, |machine, step, item| {
        if places.0 != item {
            places = (item, At::item(item).bytes(source));
        }
        let mut next = stage(machine, step, places.1.clone());
        if let Some(last) = stages.last() {
            next.share(last);
        }
        stages.push(next);
    })
    .map_err(|found| {
        Problems(found.into_iter().map(|(at, trouble)| at.problem(source, trouble)).collect())
    })?;
    assign_levels(&assembly.scene, &mut stages);
    Ok(Sequence { stages, finished_only: false })
}

/// Says of each stage which steps of the levels stand at it.
fn assign_levels(scene: &Scene, stages: &mut [Stage]) {
    let Some(levels) = &scene.levels else { return };
    // A step that names none belongs where the one before it does.
    let mut at = 0;
    let places: Vec<usize> = levels
        .steps
        .iter()
        .map(|step| {
            if let Some(name) = &step.at {
                at = stages.iter().position(|s| s.step == *name).unwrap_or(0);
            }
            at
        })
        .collect();
    for (index, stage) in stages.iter_mut().enumerate() {
        let own = |k: &usize| places[*k] == index;
        let first = (0..places.len()).find(own);
        let last = (0..places.len()).rev().find(own);
        stage.level_steps = match (first, last) {
            (Some(first), Some(last)) => first..last + 1,
            _ => {
                let before = (0..places.len()).rev().find(|&k| places[k] < index);
                before.map_or(0..0, |k| k..k + 1)
            }
        };
    }
}

/// The sequence with its short lines written out as steps.
///
/// # Errors
/// As [`run`]; without the text of the scene, places are given by path alone.
pub fn expand(scene: &Scene, assembly: &Assembly) -> Result<Vec<StepText>, Problems> {
    let steps = expand_entries(scene, assembly, &SceneSource::default())?;
    Ok(steps.into_iter().map(|(_, step)| step).collect())
}

/// As [`expand`], each step with the position of its entry in the scene's `sequence`.
///
/// # Errors
/// As [`run`].
pub fn expand_entries(
    scene: &Scene,
    assembly: &Assembly,
    source: &SceneSource,
) -> Result<Vec<(usize, StepText)>, Problems> {
    let mut steps = Vec::new();
    go_through(scene, assembly, |_, step, entry| steps.push((entry, step.clone()))).map_err(
        |found| {
            Problems(found.into_iter().map(|(at, trouble)| at.problem(source, trouble)).collect())
        },
    )?;
    Ok(steps)
}

/// Does every step and shows the state after each, with the step and its entry's position.
fn go_through(
    scene: &Scene,
    assembly: &Assembly,
    mut after: impl FnMut(&Machine<'_>, &StepText, usize),
) -> Result<(), Vec<(At, Trouble)>> {
    let mut machine = Machine::new(assembly);
    let mut wrong = Vec::new();
    let mut ids: BTreeMap<String, usize> = BTreeMap::new();
    let mut count = 0;
    for (item, entry) in scene.sequence.iter().enumerate() {
        let written = matches!(entry, SequenceItem::Step(_));
        let steps = match steps_of(entry, &machine) {
            Ok(steps) => steps,
            Err(trouble) => {
                wrong.push((At::item(item), trouble));
                continue;
            }
        };
        for step in steps.iter() {
            if count == MOST_STEPS {
                let message = format!("more than {MOST_STEPS} steps are not gone through");
                wrong.push((At::item(item), Trouble::new(message)));
                return Err(wrong);
            }
            if let Err(trouble) = new_id(&mut ids, &step.id, item) {
                wrong.push((At::item(item), trouble));
            }
            machine.begin(count);
            for (i, action) in step.actions.iter().enumerate() {
                if let Err(trouble) = machine.apply(action) {
                    wrong.push((At { item, action: written.then_some(i) }, trouble));
                }
            }
            count += 1;
            after(&machine, step, item);
        }
    }
    if wrong.is_empty() { Ok(()) } else { Err(wrong) }
}

fn new_id(ids: &mut BTreeMap<String, usize>, id: &str, item: usize) -> Result<(), Trouble> {
    if id.trim().is_empty() {
        return Err(Trouble::new("a step's id is empty"));
    }
    match ids.insert(id.to_owned(), item) {
        None => Ok(()),
        Some(first) => Err(Trouble::new(format!("the step id \"{id}\" is there twice"))
            .help(format!("entry {} of the sequence has it already", first + 1))),
    }
}

fn stage(machine: &Machine<'_>, step: &StepText, written_at: Range<usize>) -> Stage {
    let record = &machine.record;
    let people = step.people.iter().map(|p| Person {
        who: p.who.clone(),
        at: Point::new(p.at.0.si(), p.at.1.si(), p.at.2.si()),
        tied_off: p.tied_off,
    });
    Stage {
        index: record.step,
        step: step.id.clone(),
        title: step.title.clone(),
        members: machine.members.as_slice().into(),
        joints: machine.joints.as_slice().into(),
        head_locked: machine.head_locked.as_slice().into(),
        nailed: machine.nailed.as_slice().into(),
        loads: machine.loads.clone(),
        placing: Placing {
            holds: machine.holds.clone(),
            watch: record.watch.clone(),
            keep_out: record.keep_out.clone(),
            jacked: record.jacked.iter().copied().collect(),
        },
        people: people.collect(),
        touched: record.touched.iter().copied().collect(),
        released: record.released.iter().copied().collect(),
        removed: record.removed.iter().copied().collect(),
        hands_needed: record.hands_needed,
        crew: step.crew.unwrap_or(machine.assembly.scene.crew.size),
        removed_under: record.removed_under.iter().copied().collect(),
        loaded_unlocked: record.loaded_unlocked.iter().copied().collect(),
        strip: machine.strip.clone(),
        level_steps: 0..0,
        written_at,
    }
}

/// Everything stands and is fixed; nothing is known of the way there.
fn finished(assembly: &Assembly) -> Stage {
    let posts = assembly.members.iter().map(Member::is_post);
    let joints = assembly.joints.iter().map(|j| match j.kind {
        JointKind::Head | JointKind::Coupler | JointKind::Clip | JointKind::Tie => {
            JointState::Locked
        }
        // They bear and have nothing to lock; nobody has stated that sheets are nailed.
        JointKind::Rest | JointKind::Foot | JointKind::Ground | JointKind::Splice => {
            JointState::Hung
        }
    });
    Stage {
        index: 0,
        step: "finished".to_owned(),
        title: "Everything stands".to_owned(),
        members: Chunks::filled(MemberState::Standing, assembly.members.len()),
        joints: joints.collect(),
        head_locked: posts.collect(),
        nailed: Chunks::filled(false, assembly.members.len()),
        loads: Vec::new(),
        placing: Placing::default(),
        people: Vec::new(),
        touched: Vec::new(),
        released: Vec::new(),
        removed: Vec::new(),
        hands_needed: 0,
        crew: assembly.scene.crew.size,
        removed_under: Vec::new(),
        loaded_unlocked: Vec::new(),
        strip: super::strip::StripState::new(assembly),
        level_steps: 0..0,
        written_at: 0..0,
    }
}
