//! Taking down the stages of one assembly, each from what is kept of the one before.
//!
//! What a member hands on follows from what lies on it, its own joints and whether hands keep it up.
//! So only members about which something differs, and what is below them, are worked out anew; the
//! rest has on it what it had, in the same order. That order, which counts for the last digit of a
//! sum, is the one in which members are come to from the top: of two that rest on a third it is told
//! by what is above those two, and so does not change where nothing differs there.
//!
//! Holds if: over shipped scenes and random sequences the loads are those of [`take_down`], number
//! for number (`tests/review/kept.rs`).

use super::carriers::{Carriers, Links};
use super::deck::OnSheets;
use super::hand_on::{Handed, Step};
use super::live::Live;
use super::placing::place;
use super::take_down::{finish, own, take_down};
use super::{BeamLoad, LoadState};
use crate::assembly::{Assembly, JointId, MemberId};
use crate::chunks::Chunks;
use crate::criteria::Pack;
use crate::scene::model::LoadPlace;
use crate::sequence::Stage;
use crate::sequence::changed::{Marks, above, below, touched};
use crate::sequence::model::StageLoad;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

/// Takes down the stages of one assembly; each answer is that of [`take_down`], whatever was taken
/// down before it.
pub struct Judge<'a> {
    assembly: &'a Assembly,
    pack: &'a Pack,
    links: Links,
    /// By clip: posts that may carry it. By post: clips.
    posts_of: BTreeMap<MemberId, Vec<MemberId>>,
    clips_of: BTreeMap<MemberId, Vec<MemberId>>,
    /// Members whose own weight is not known, and why.
    weightless: Vec<(MemberId, String)>,
    kept: Option<Kept>,
}

/// What is kept of a stage.
struct Kept {
    stage: Stage,
    live: Live,
    on_sheets: OnSheets,
    /// By member: its own weight, and with what was put on it.
    own: Chunks<Arc<Vec<BeamLoad>>>,
    placed: Chunks<Arc<Vec<BeamLoad>>>,
    handed: Vec<Handed>,
    /// All that lies on members and is passed at joints and feet, before what `finish` adds.
    state: LoadState,
    no_path: BTreeSet<MemberId>,
    lifting: BTreeSet<JointId>,
    may_lift: BTreeSet<JointId>,
}

impl Kept {
    /// Of an empty stage.
    fn nothing(assembly: &Assembly, stage: &Stage, live: &Live) -> Self {
        let state = LoadState::nothing(assembly);
        Self {
            stage: stage.clone(),
            live: live.clone(),
            on_sheets: OnSheets::new(),
            own: state.on.clone(),
            placed: state.on.clone(),
            handed: vec![Handed::default(); assembly.members.len()],
            state,
            no_path: BTreeSet::new(),
            lifting: BTreeSet::new(),
            may_lift: BTreeSet::new(),
        }
    }
}

impl<'a> Judge<'a> {
    #[must_use]
    pub fn new(assembly: &'a Assembly, pack: &'a Pack) -> Self {
        let mut posts_of: BTreeMap<MemberId, Vec<MemberId>> = BTreeMap::new();
        let mut clips_of: BTreeMap<MemberId, Vec<MemberId>> = BTreeMap::new();
        for joint in &assembly.joints {
            if let (Some(clip), Some(post)) = (joint.clip, joint.carrier) {
                posts_of.entry(clip).or_default().push(post);
                clips_of.entry(post).or_default().push(clip);
            }
        }
        let weightless =
            assembly.members.iter().filter_map(|m| Some((m.id, own(m).err()?))).collect();
        let links = Links::new(assembly);
        Self { assembly, pack, links, posts_of, clips_of, weightless, kept: None }
    }

    /// Takes down one stage.
    #[must_use]
    pub fn stage(&mut self, stage: &Stage) -> LoadState {
        let (assembly, pack) = (self.assembly, self.pack);
        if stage.loads.iter().any(|l| matches!(l.text.on, LoadPlace::Along { .. })) {
            // What moves is asked at each place of its way.
            self.kept = None;
            return take_down(assembly, pack, stage);
        }
        let carriers = Carriers::new(&self.links, stage);
        if !carriers.circle.is_empty() {
            self.kept = None;
            return take_down(assembly, pack, stage);
        }
        let live = Live::new(assembly, pack, stage);
        let (mut kept, mut off) = match self.kept.take() {
            Some(kept) if kept.live == live => {
                let off = touched(assembly, &kept.stage, stage);
                (kept, off)
            }
            _ => {
                let all = assembly.members.iter().map(|m| m.id).collect();
                (Kept::nothing(assembly, stage, &live), all)
            }
        };
        for &id in &off {
            let there = stage.state(id).is_there();
            let own = own(assembly.member(id)).ok().filter(|_| there);
            if kept.own[id.index()].first() != own.as_ref() {
                kept.own[id.index()] = Arc::new(own.into_iter().collect());
            }
        }
        let loads: Vec<&StageLoad> = stage.loads.iter().collect();
        let mut put = LoadState { on: kept.own.clone(), ..LoadState::default() };
        let mut on_sheets = place(assembly, pack, stage, &loads, &loads, &live, &mut put);
        on_sheets.sort_by_key(|(sheet, _)| *sheet);
        off.extend(put.on.differences(&kept.placed).map(|m| assembly.members[m].id));
        off.extend(differing(&on_sheets, &kept.on_sheets));
        kept.placed = put.on;
        kept.on_sheets = on_sheets;
        kept.stage = stage.clone();
        self.renew(&mut kept, &carriers, &off);
        let mut state = LoadState {
            sails: put.sails,
            assumed: put.assumed,
            unplaced: put.unplaced,
            no_path: kept.no_path.iter().copied().collect(),
            lifting: kept.lifting.iter().copied().collect(),
            may_lift: kept.may_lift.iter().copied().collect(),
            unknown: put.unknown,
            ..kept.state.clone()
        };
        let weightless = self.weightless.iter().filter(|(id, _)| stage.state(*id).is_there());
        state.unknown.splice(0..0, weightless.cloned());
        finish(assembly, pack, stage, (&loads, &carriers), &mut state);
        self.kept = Some(kept);
        state
    }

    /// Works out anew what these members and all below them carry and hand on.
    fn renew(&self, kept: &mut Kept, carriers: &Carriers, off: &[MemberId]) {
        let assembly = self.assembly;
        let mut marks = Marks::none(assembly.members.len());
        for &id in off {
            marks.add(id);
            // A clip hangs on its post and has no joint of its own.
            self.clips_of.get(&id).into_iter().flatten().for_each(|&clip| {
                marks.add(clip);
            });
        }
        marks.spread(|id| {
            below(assembly, id).chain(self.posts_of.get(&id).into_iter().flatten().copied())
        });
        let mut place = vec![usize::MAX; assembly.members.len()];
        carriers.order.iter().enumerate().for_each(|(k, id)| place[id.index()] = k);
        for &id in marks.list() {
            let old = std::mem::take(&mut kept.handed[id.index()]);
            kept.no_path.remove(&id);
            old.lifting.iter().for_each(|j| {
                kept.lifting.remove(j);
            });
            old.may_lift.iter().for_each(|j| {
                kept.may_lift.remove(j);
            });
            Handed {
                passed: old.passed.iter().map(|&(joint, _)| (joint, 0.0)).collect(),
                foot: old.foot.map(|_| [0.0; 3]),
                ..Handed::default()
            }
            .mark(id, &mut kept.state);
            if place[id.index()] == usize::MAX {
                kept.state.on[id.index()] = Arc::default();
            }
        }
        let step = Step { assembly, stage: &kept.stage, carriers, live: &kept.live };
        for &id in carriers.order.iter().filter(|&&id| marks.has(id)) {
            let mut on = kept.placed[id.index()].to_vec();
            let mut above: Vec<MemberId> = above(assembly, id).collect();
            above.extend(self.clips_of.get(&id).into_iter().flatten());
            above.sort_unstable_by_key(|m| place[m.index()]);
            above.dedup();
            for from in above {
                let to = &kept.handed[from.index()].to;
                on.extend(to.iter().filter(|(carrier, _)| *carrier == id).map(|(_, l)| l.clone()));
            }
            let handed = step.hand_on(id, &on, &kept.on_sheets);
            handed.mark(id, &mut kept.state);
            kept.lifting.extend(&handed.lifting);
            kept.may_lift.extend(&handed.may_lift);
            if handed.no_path {
                kept.no_path.insert(id);
            }
            kept.handed[id.index()] = handed;
            if *kept.state.on[id.index()] != on {
                // It is kept as long as the stage is.
                on.shrink_to_fit();
                kept.state.on[id.index()] = Arc::new(on);
            }
        }
    }
}

/// Sheets whose loads differ between two lists, both sorted by sheet.
fn differing(now: &OnSheets, before: &OnSheets) -> BTreeSet<MemberId> {
    let of = |list: &OnSheets, sheet: MemberId| {
        let first = list.partition_point(|(s, _)| *s < sheet);
        let count = list[first..].partition_point(|(s, _)| *s == sheet);
        first..first + count
    };
    let sheets: BTreeSet<MemberId> = now.iter().chain(before).map(|(sheet, _)| *sheet).collect();
    sheets.into_iter().filter(|&sheet| now[of(now, sheet)] != before[of(before, sheet)]).collect()
}
