//! Finds the actual critical load factor of the stage on screen, where the review only proved that
//! it is large enough: one stage at a time, on a thread of its own.

use crate::review::{Known, critical_factor};
use crate::viewer::loading::Bell;
use crate::viewer::state::ViewerState;
use bevy::prelude::*;
use std::sync::Mutex;
use std::sync::mpsc::{Receiver, TryRecvError, channel};

/// The stage being looked at: revision and position; and where the answer comes.
#[derive(Resource, Default)]
pub struct Seeking(Option<(u64, usize, Mutex<Receiver<Known>>)>);

/// Takes an answer in, and asks for the stage on screen once it stays.
pub fn seek(
    mut state: ResMut<'_, ViewerState>,
    mut seeking: ResMut<'_, Seeking>,
    bell: Res<'_, Bell>,
    mut wake: ResMut<'_, crate::viewer::idle::Wake>,
) {
    if let Some((revision, stage, answer)) = &seeking.0 {
        let answer = answer.lock().map_or(Err(TryRecvError::Disconnected), |a| a.try_recv());
        match answer {
            Err(TryRecvError::Empty) => return,
            Ok(known) if *revision == state.revision => {
                let stage = *stage;
                state.factors.insert(stage, known);
                wake.ask();
            }
            Err(TryRecvError::Disconnected) if *revision == state.revision => {
                let stage = *stage;
                let why = "working it out failed inside the program".to_owned();
                state.factors.insert(stage, Known::Unknown(why));
            }
            _ => {}
        }
        seeking.0 = None;
    }
    let stage = state.stage;
    if state.playing || state.loading.is_some() || state.factors.contains_key(&stage) {
        return;
    }
    let Some(review) = state.review.clone() else { return };
    let summary = review.summaries.get(stage);
    // Only where it is worth it: the review has a proof and no number.
    if !summary.is_some_and(|s| matches!(s.reserves.critical.known, Known::AtLeast(_))) {
        return;
    }
    let (send, receive) = channel();
    let bell = bell.clone();
    let work = move || {
        if let Some(at) = review.sequence.stages.get(stage) {
            // The window may have closed meanwhile.
            let _ = send.send(critical_factor(&review.assembly, &review.pack, at));
        }
        drop(send);
        bell.ring();
    };
    if std::thread::Builder::new().name("factor".into()).spawn(work).is_ok() {
        seeking.0 = Some((state.revision, stage, Mutex::new(receive)));
    }
}
