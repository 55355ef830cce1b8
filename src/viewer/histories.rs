//! What is in reserve of the chosen member at every stage, worked out on a thread of its own: a stage takes
//! little, thousands of them too long for a frame.

use crate::assembly::MemberId;
use crate::calc::reserve;
use crate::review::{Known, Review};
use crate::viewer::idle::Wake;
use crate::viewer::loading::Bell;
use crate::viewer::state::ViewerState;
use crate::viewer::vocab::Item;
use bevy::prelude::*;
use std::sync::mpsc::{Receiver, TryRecvError, channel};
use std::sync::{Arc, Mutex};

/// A member's reserve at every stage of a review: capacity over demand of all that is calculated of it,
/// and what holds over what tips it.
#[derive(Clone, Debug, PartialEq)]
pub struct History {
    pub revision: u64,
    pub member: MemberId,
    pub at: Arc<Vec<Known>>,
}

/// Which member of which revision is being worked out, and where the answer comes.
#[derive(Resource, Default)]
pub struct Working(Option<(u64, MemberId, Answer)>);

type Answer = Mutex<Receiver<Vec<Known>>>;

/// The history of a member, stage by stage.
#[must_use]
pub fn of_member(review: &Review, id: MemberId) -> Vec<Known> {
    review
        .stages
        .iter()
        .enumerate()
        .map(|(stage, judged)| {
            let Some(at) = review.at(stage) else { return Known::Nothing };
            let tips = judged.equilibrium.tipping.iter().filter(|t| t.member == id);
            let tips = tips.map(|t| t.factor / t.required).min_by(f64::total_cmp);
            match (reserve(&at, id), tips) {
                // Past a limit it is, whatever is not known.
                (Some(Err(_)), Some(tips)) if tips < 1.0 => Known::Exactly(tips),
                (Some(Err(missing)), _) => Known::Unknown(missing.to_string()),
                (Some(Ok(r)), tips) => Known::Exactly(tips.map_or(r, |t| r.min(t))),
                (None, Some(tips)) => Known::Exactly(tips),
                (None, None) => Known::Nothing,
            }
        })
        .collect()
}

/// Takes an answer in, and asks for the member that is chosen.
pub fn follow(
    mut state: ResMut<'_, ViewerState>,
    mut working: ResMut<'_, Working>,
    bell: Res<'_, Bell>,
    mut wake: ResMut<'_, Wake>,
) {
    if let Some((revision, member, answer)) = &working.0 {
        let answer = answer.lock().map_or(Err(TryRecvError::Disconnected), |a| a.try_recv());
        let at = match answer {
            Err(TryRecvError::Empty) => return,
            Ok(at) => at,
            // It failed inside the program: unknown, which is not safe.
            Err(TryRecvError::Disconnected) => {
                let why = "working it out failed inside the program";
                vec![Known::Unknown(why.to_owned()); state.last_stage() + 1]
            }
        };
        if *revision == state.revision {
            state.history =
                Some(History { revision: *revision, member: *member, at: Arc::new(at) });
            wake.ask();
        }
        working.0 = None;
    }
    let Some(Item::Member(member)) = state.selection.chosen else { return };
    let (revision, Some(review)) = (state.revision, state.review.clone()) else { return };
    let there =
        state.history.as_ref().is_some_and(|h| (h.revision, h.member) == (revision, member));
    if there || review.assembly.members.get(member.index()).is_none() {
        return;
    }
    let (send, receive) = channel();
    let bell = bell.clone();
    let work = move || {
        // The window may have closed meanwhile.
        let _ = send.send(of_member(&review, member));
        drop(send);
        bell.ring();
    };
    if std::thread::Builder::new().name("history".into()).spawn(work).is_ok() {
        working.0 = Some((revision, member, Mutex::new(receive)));
    }
}
