//! The graphs of the stages of one assembly, each from what is kept of the one before.
//!
//! What a member joins follows from its own joints and the posts it meets; what a bay of the deck
//! joins, from its sheets and what they lie on; what a post carries, from what is above and below it.
//! Only where something of that differs is it read anew. Which lines are held is one system of
//! equations: if all that was read is the same, so is the answer.
//!
//! Holds if: over shipped scenes and random sequences each graph is that of the stage on its own
//! (`tests/review/kept.rs`).

use super::bars::{self, Gathered, Heads, Link, Plan};
use super::{Restraint, carries, diaphragm, equations, lines, paths};
use crate::assembly::{Assembly, JointKind, MemberId};
use crate::sequence::Stage;
use crate::sequence::changed::{Marks, above, below, touched};
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

/// Reads the stages of one assembly; each answer is that of the stage on its own.
pub struct Judge<'a> {
    assembly: &'a Assembly,
    blocks: Vec<Option<[Plan; 2]>>,
    /// By sheet: the bay it is part of.
    bay_of: BTreeMap<MemberId, usize>,
    kept: Option<Kept>,
}

/// What is kept of a stage.
struct Kept {
    stage: Stage,
    heads: Heads,
    /// By member, by bay of the deck, and of all together.
    of_member: Vec<Gathered>,
    keeps: Vec<bool>,
    of_bay: Vec<Option<Arc<Link>>>,
    gathered: Gathered,
    /// By member: what a post that is there carries.
    carries: Vec<Option<Arc<[MemberId]>>>,
    answer: Restraint,
}

impl<'a> Judge<'a> {
    #[must_use]
    pub fn new(assembly: &'a Assembly) -> Self {
        let sheets = |(k, bay): (usize, &'a crate::assembly::DeckBay)| {
            bay.sheets.iter().map(move |&sheet| (sheet, k))
        };
        Self {
            assembly,
            blocks: bars::block_axes(assembly),
            bay_of: assembly.deck_bays.iter().enumerate().flat_map(sheets).collect(),
            kept: None,
        }
    }

    /// The restraint graph of one stage.
    #[must_use]
    pub fn stage(&mut self, stage: &Stage) -> Restraint {
        let assembly = self.assembly;
        let off: Vec<MemberId> = match &self.kept {
            Some(kept) => touched(assembly, &kept.stage, stage),
            None => assembly.members.iter().map(|m| m.id).collect(),
        };
        // They follow from the posts, and what posts stand on, alone.
        let known = self.kept.as_ref().map(|kept| &kept.heads);
        let heads = match known.filter(|_| !off.iter().any(|&id| assembly.member(id).is_post())) {
            Some(heads) => heads.clone(),
            None => Heads::new(assembly, stage, &self.blocks),
        };
        let mut kept = self.kept.take().unwrap_or_else(|| Kept {
            stage: stage.clone(),
            heads: heads.clone(),
            of_member: vec![Gathered::default(); assembly.members.len()],
            keeps: vec![false; assembly.deck_bays.len()],
            of_bay: vec![None; assembly.deck_bays.len()],
            gathered: Gathered::default(),
            carries: vec![None; assembly.members.len()],
            answer: Restraint::default(),
        });
        let gathered = self.gather(&mut kept, stage, &heads, &off);
        let same = kept.heads == heads && kept.gathered == gathered;
        if !same || kept.answer.holds.is_empty() {
            let lines = lines::Lines::new(&heads, &gathered);
            let solved = equations::solve(&lines, &gathered.links);
            kept.answer.holds = paths::holds(&heads, &gathered, &lines, &solved);
            kept.answer.freedoms = solved.freedoms;
        }
        if !off.is_empty() {
            self.carry(&mut kept, stage, &off);
            kept.answer.piece_of = carries::pieces(assembly, stage);
        }
        kept.stage = stage.clone();
        (kept.heads, kept.gathered) = (heads, gathered);
        let answer = kept.answer.clone();
        self.kept = Some(kept);
        answer
    }

    /// All bars and conditions of a stage, in the order of members, secured posts and bays.
    fn gather(&self, kept: &mut Kept, stage: &Stage, heads: &Heads, off: &[MemberId]) -> Gathered {
        let assembly = self.assembly;
        // Where a post moves to follows from itself and what it stands on.
        let mut posts = Marks::none(assembly.members.len());
        for &id in off.iter().filter(|&&id| assembly.member(id).is_post()) {
            posts.add(id);
        }
        let tiers = |id: MemberId| {
            let joints = assembly.joints_of(id).iter().map(|&j| assembly.joint(j));
            joints
                .filter(move |j| j.kind == JointKind::Splice && j.carrier == Some(id))
                .map(|j| j.member)
        };
        posts.spread(tiers);
        let mut anew = Marks::none(assembly.members.len());
        for &id in off.iter().chain(posts.list()) {
            anew.add(id);
        }
        for &post in posts.list() {
            above(assembly, post).for_each(|id| {
                anew.add(id);
            });
        }
        if kept.heads.posts != heads.posts {
            for id in assembly.members.iter().map(|m| m.id).filter(|&id| !anew.has(id)) {
                kept.of_member[id.index()].renumbered(&kept.heads, heads);
            }
        }
        for &id in anew.list() {
            kept.of_member[id.index()] =
                bars::of_member(assembly, stage, heads, assembly.member(id));
        }
        self.bays(kept, stage, heads, (off, &posts));
        let mut out = Gathered::default();
        for own in &kept.of_member {
            out.bars.extend(&own.bars);
            out.links.extend(own.links.iter().cloned());
        }
        out.links.extend(bars::secured(assembly, stage, heads));
        out.links.extend(kept.of_bay.iter().flatten().cloned());
        out
    }

    fn bays(
        &self,
        kept: &mut Kept,
        stage: &Stage,
        heads: &Heads,
        (off, posts): (&[MemberId], &Marks),
    ) {
        let assembly = self.assembly;
        // A sheet hangs on what it lies on, and that on what it lies or hangs in, down to the heads.
        let mut shaken = Marks::none(assembly.members.len());
        off.iter().for_each(|&id| {
            shaken.add(id);
        });
        shaken.spread(|id| above(assembly, id));
        let anew: BTreeSet<usize> =
            shaken.list().iter().filter_map(|id| self.bay_of.get(id).copied()).collect();
        let other = kept.heads.posts != heads.posts;
        for (k, bay) in assembly.deck_bays.iter().enumerate() {
            let new = anew.contains(&k);
            if new {
                kept.keeps[k] = diaphragm::keeps(assembly, stage, bay);
            }
            if new || other || bay.corners.iter().any(|&c| posts.has(c)) {
                kept.of_bay[k] =
                    kept.keeps[k].then(|| bars::of_bay(assembly, heads, bay)).flatten();
            }
        }
    }

    /// What each post carries.
    fn carry(&self, kept: &mut Kept, stage: &Stage, off: &[MemberId]) {
        let assembly = self.assembly;
        let (mut down, mut up) =
            (Marks::none(assembly.members.len()), Marks::none(assembly.members.len()));
        for &id in off {
            down.add(id);
            up.add(id);
        }
        down.spread(|id| below(assembly, id));
        up.spread(|id| above(assembly, id));
        let there = |id: &MemberId| stage.state(*id).is_there();
        let posts: BTreeSet<MemberId> = down
            .list()
            .iter()
            .chain(up.list())
            .copied()
            .filter(|&id| assembly.member(id).is_post())
            .collect();
        for post in &posts {
            kept.carries[post.index()] = None;
        }
        for (post, members) in carries::carries(assembly, stage, posts.into_iter().filter(there)) {
            kept.carries[post.index()] = Some(members);
        }
        let all = assembly.members.iter().zip(&kept.carries);
        kept.answer.carries =
            all.filter_map(|(m, carries)| Some((m.id, Arc::clone(carries.as_ref()?)))).collect();
    }
}
