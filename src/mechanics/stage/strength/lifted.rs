//! The check in a direction in which feet lift: they are released, and the rest is asked.
//!
//! Only lines in which something is otherwise than with all feet down are asked: what has nothing to
//! do with them is as it was there. It begins with the feet that pull when all are down, whatever the signs of
//! what is free, and again with those of each choice (`super::pulling`). Feet that lift stay up for good, so the
//! set only grows and this ends. A foot that gives nothing is a foot that pushes with nothing: what stands
//! without it stands.

use super::of_frame::OfFrame;
use super::pulling::{CHOICES, Choice, Step, Up, Way, leaves, pulling};
use super::recover::{self, Data, Family, Places, State, Worst};
use super::rounds::{ROUNDS, band, grow};
use super::side::{CROOKED, Side, times};
use super::{Subject, case_words, fall};
use crate::assembly::MemberId;
use crate::mechanics::answers::Unknown;
use crate::mechanics::engine::stage_tree::{Beside, OnTree, Stiffened, TreeSolution};
use crate::mechanics::frame::{Dof, LoadCase, Support};
use crate::mechanics::stage::contact::{self, NewMotion};
use crate::mechanics::stage::swing::Forces;
use crate::mechanics::strength_model::LeanFall;
use std::collections::BTreeSet;

/// One direction and sense.
pub(super) struct Ask<'a> {
    pub data: &'a Data<'a>,
    pub which: usize,
    pub side: &'a Side,
    pub sense: f64,
    pub factor: f64,
    /// With all feet down: compressions at the loads themselves, positive, what they stiffen, and the
    /// answers: to the weight with the lateral forces, to heads loaded off their axis, and so on.
    pub compression: &'a [f64],
    pub stiffened: &'a Stiffened,
    pub known: &'a [TreeSolution],
    /// By which the ground pushes up on each foot then.
    pub up: Up<'a>,
}

/// How it came out.
pub(super) enum Answer {
    /// The worst places of the posts that are concerned, and those that could not be worked out. Others are
    /// as with all feet down.
    Stands(Vec<Worst>, Vec<(MemberId, String)>),
    Falls(LeanFall),
    Unstable,
    Unknown(String),
}

/// With all feet up that may pull, and with those of each other choice where that is another set.
pub(super) fn judge(ask: &Ask<'_>, tree: &mut OnTree<'_>, places: &mut Places) -> Vec<Answer> {
    let (mut out, mut ways) = (Vec::new(), Vec::new());
    for (place, choice) in (0..).zip(CHOICES) {
        let lifted = pulling(ask.up, choice);
        if lifted.is_empty() {
            continue;
        }
        let first = Step { lifted, compression: ask.compression.to_vec() };
        let Some(from) = leaves(&ways, first, ask.up.at_rest, choice) else { continue };
        let mut way = Way::default();
        let answer = match attempt(ask, (place, choice), from, &mut way, tree, places) {
            Ok(answer) => answer,
            Err(Unknown::Unstable { .. }) => Answer::Unstable,
            Err(unknown) => Answer::Unknown(unknown.to_string()),
        };
        ways.push(way);
        let stands = matches!(answer, Answer::Stands(..));
        out.push(answer);
        if !stands {
            break;
        }
    }
    out
}

fn attempt(
    ask: &Ask<'_>,
    (place, choice): (u8, Choice),
    Step { mut lifted, mut compression }: Step,
    way: &mut Way,
    tree: &mut OnTree<'_>,
    places: &mut Places,
) -> Result<Answer, Unknown> {
    let subject = ask.data.subject;
    let frame = subject.frame;
    let falls = |motion: &[[f64; 6]]| {
        let words = case_words(ask.side.axis, ask.sense);
        Ok(Answer::Falls(fall(subject, words, motion)))
    };
    let everywhere = |_: usize| true;
    let mut case = LoadCase::default();
    case.nodal.extend(times(&subject.weight.nodal, ask.factor, &everywhere));
    case.nodal.extend(times(&ask.side.lateral, ask.factor * ask.sense, &everywhere));
    let mut answers = Beside::new(ask.known);
    let forces = Forces::new(frame, &case);
    // Of the round before.
    let mut last: Option<Stiffened> = None;
    // Whether all is rigid then is proven of the feet that it ends with; before, only where the factor leaves
    // a doubt.
    let mut sure = false;
    let most = ROUNDS + frame.feet.len() + 1;
    for _ in 0..most {
        band(&mut compression);
        let factored: Vec<f64> = compression.iter().map(|c| c * ask.factor).collect();
        let supports = contact::supports_without(frame, &lifted);
        let swings = || contact::pins_of_swings(frame, &lifted, subject.pins, Some(&forces));
        let pins = match (!sure).then(swings).flatten() {
            Some(pins) => pins,
            None => {
                sure = true;
                match hold(ask, tree, (&lifted, &supports), (&case, &forces))? {
                    Held::By(pins) => pins,
                    Held::Falls(motion) => return falls(&motion),
                }
            }
        };
        let mut on = tree.on_supports(&supports, &pins)?;
        let negative: Vec<f64> = factored.iter().map(|c| -c).collect();
        if !on.stiffen_like(&negative, Some(last.as_ref().unwrap_or(ask.stiffened))) {
            if sure {
                return Ok(Answer::Unstable);
            }
            sure = true;
            continue;
        }
        // The same cases but for what is unlike: its lateral forces and its compressions.
        let unlike =
            on.unlike(ask.stiffened).ok_or(Unknown::NotConverged("not stiffened".into()))?;
        last = on.stiffened().cloned();
        let there = |node: usize| unlike.nodes[node];
        let OfFrame { numbers, offsets, .. } = ask.data.of_frame;
        let (elements, bows) = (ask.data.elements, (&numbers[..], &mut places.bows));
        let mut families =
            ask.side.families(subject, elements, offsets, &factored, ask.factor, bows, &there);
        families[0] = times(&case.nodal, 1.0, &there);
        on.solve_unlike(&families, &unlike, &mut answers)?;
        let solved = answers.answers();
        let up: Vec<Vec<f64>> = (solved.iter().zip(&families).zip(ask.up.by))
            .map(|((solution, nodal), known)| {
                on.reactions_at(&unlike.nodes, &solution.axial, nodal, known)
            })
            .collect();
        way.push(Step { lifted: lifted.clone(), compression: compression.clone() }, &up);
        let before = lifted.len();
        lifted.extend(pulling(Up { by: &up, ..ask.up }, choice));
        let more = lifted.len() > before;
        let members = unlike.members.iter().copied();
        if grow(&mut compression, solved, &[1, solved.len()], ask.factor, members) || more {
            continue;
        }
        if !sure {
            sure = true;
            match hold(ask, tree, (&lifted, &supports), (&case, &forces))? {
                Held::By(same) if same == pins => {}
                Held::By(_) => continue,
                Held::Falls(motion) => return falls(&motion),
            }
        }
        let family = |(i, of)| Family { of, bow: i == CROOKED };
        let state = State {
            which: u8::try_from(ask.which).unwrap_or(u8::MAX),
            sense: 2 * place + if ask.sense > 0.0 { 1 } else { 2 },
            axis: ask.side.axis,
            families: solved.iter().enumerate().map(family).collect(),
        };
        let concerned: BTreeSet<MemberId> = unlike.members.iter().map(|&k| frame.of[k]).collect();
        let left_out = |post| (ask.data.left_out)(post) || !concerned.contains(&post);
        let data = Data { compression: &factored, left_out: &left_out, ..*ask.data };
        let (worst, unknown) = recover::some_posts(&data, state, places);
        return Ok(Answer::Stands(worst, unknown));
    }
    Ok(Answer::Unknown("which feet lift and how much they carry did not settle".to_owned()))
}

/// What holds a state with feet up.
enum Held {
    /// These pins, proven to leave nothing free.
    By(Vec<Dof>),
    /// Nothing: the loads move it this way.
    Falls(Vec<[f64; 6]>),
}

fn hold(
    ask: &Ask<'_>,
    tree: &mut OnTree<'_>,
    (lifted, supports): (&BTreeSet<usize>, &[Support]),
    (case, forces): (&LoadCase, &Forces),
) -> Result<Held, Unknown> {
    let Subject { frame, pins, .. } = *ask.data.subject;
    if let Some(pins) = contact::pins_on(tree, frame, (lifted, supports), pins, Some(forces))? {
        return Ok(Held::By(pins));
    }
    let released = contact::without_feet(frame, lifted);
    Ok(match contact::new_motion(&released, pins, case)? {
        NewMotion::None => Held::By(pins.to_vec()),
        NewMotion::Unloaded(pins) => Held::By(pins),
        NewMotion::Loaded(motion) => Held::Falls(motion),
    })
}
