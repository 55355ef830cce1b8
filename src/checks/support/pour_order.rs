//! Orders of a slab's strips, and what tips or lifts on the way.
//!
//! A set of strips that are on is judged by taking its loads down and asking what tips, what lifts
//! and what falls that did not before any concrete. Orders are looked for among these sets: from none
//! to all, strip by strip, through sets in which nothing does. The order found is then judged as a
//! frame at each of its stages.

use crate::assembly::{Assembly, MemberId, Role};
use crate::criteria::Pack;
use crate::equilibrium::{self, StageEquilibrium};
use crate::loads::{self, LoadState};
use crate::mechanics::{self, Verdict};
use crate::scene::model::LoadPlace;
use crate::sequence::model::StageLoad;
use crate::sequence::placing::slab_of;
use crate::sequence::{Sequence, Stage};
use std::collections::{BTreeMap, BTreeSet};

use super::below;
use super::placing::{meet, rect};

/// More strips than this are not put into other orders one by one.
pub const MOST_STRIPS: usize = 10;
/// More members than this are not judged as a frame for every stage of an order that is looked for.
const MOST_MEMBERS: usize = 3_000;

/// Something that tips, lifts or falls under the concrete that is on.
#[derive(Clone, Debug, PartialEq)]
pub struct Fault {
    pub member: MemberId,
    /// Tipping factor under the concrete alone, and with people on it; 0 for what falls or lifts.
    pub factor_empty: f64,
    pub factor: f64,
    /// The posts it turns about and is held down at.
    pub posts: Vec<MemberId>,
    /// Over more than two supports it lifts off one, as one continuous beam.
    pub springs: bool,
    /// Behind its last support it lifts, or nothing carries it.
    pub lifts: bool,
}

/// One strip: the loads that go on one after the other, layers of its beams and the slab over them.
#[derive(Clone, Debug)]
pub struct Unit {
    pub name: String,
    pub loads: Vec<StageLoad>,
}

/// Strips of a slab in the order of the sequence, however far the stage has come.
#[must_use]
pub fn units(sequence: &Sequence, slab: &str) -> Vec<Unit> {
    let of_slab = |l: &&StageLoad| slab_of(&l.text.on) == Some(slab);
    let fullest = sequence
        .stages
        .iter()
        .max_by_key(|s| (s.loads.iter().filter(of_slab).count(), std::cmp::Reverse(s.index)));
    let mut units: Vec<Unit> = Vec::new();
    for load in fullest.into_iter().flat_map(|s| s.loads.iter().filter(of_slab)) {
        let here = rect(&load.text.on);
        // Layers belong to the strip that is placed over them next.
        let same = units.last_mut().filter(|u| {
            u.loads.last().is_some_and(|l| {
                matches!(l.text.on, LoadPlace::Layer { .. })
                    && rect(&l.text.on).zip(here).is_some_and(|(a, b)| meet(&a, &b))
            })
        });
        match same {
            Some(unit) => {
                unit.name.clone_from(&load.text.name);
                unit.loads.push(load.clone());
            }
            None => units.push(Unit { name: load.text.name.clone(), loads: vec![load.clone()] }),
        }
    }
    units
}

/// The stage with these strips of the slab on and no others.
#[must_use]
pub fn with(stage: &Stage, slab: &str, on: &[&Unit]) -> Stage {
    let mut stage = stage.clone();
    stage.loads.retain(|l| slab_of(&l.text.on) != Some(slab));
    let index = stage.index;
    for (k, unit) in on.iter().enumerate() {
        // The last one is being placed: people are on it.
        let since_step = if k + 1 == on.len() { index } else { usize::MAX };
        stage
            .loads
            .extend(unit.loads.iter().map(|l| StageLoad { text: l.text.clone(), since_step }));
    }
    stage
}

/// Who tips, lifts or falls, by member.
#[must_use]
pub fn troubles(
    assembly: &Assembly,
    pack: &Pack,
    stage: &Stage,
    loads: &LoadState,
) -> BTreeMap<MemberId, Fault> {
    let judged = equilibrium::judge_stage(assembly, pack, stage, loads);
    among(assembly, &judged, loads)
}

/// The same among what was judged already.
#[must_use]
pub fn among(
    assembly: &Assembly,
    judged: &StageEquilibrium,
    loads: &LoadState,
) -> BTreeMap<MemberId, Fault> {
    let mut out: BTreeMap<MemberId, Fault> = BTreeMap::new();
    for tipping in &judged.tipping {
        if assembly.member(tipping.member).role == Role::Sheet
            || !below(tipping.factor, tipping.required)
        {
            continue;
        }
        let fault = Fault {
            member: tipping.member,
            factor_empty: tipping.factor_empty,
            factor: tipping.factor,
            posts: [assembly.joint(tipping.fulcrum).carrier, tipping.clip_post]
                .into_iter()
                .flatten()
                .collect(),
            springs: false,
            lifts: false,
        };
        let worse = out.get(&tipping.member).is_none_or(|f| fault.factor < f.factor);
        if worse {
            out.insert(tipping.member, fault);
        }
    }
    let other = |member, factor: f64, lifts: bool| Fault {
        member,
        factor_empty: factor,
        factor,
        posts: Vec::new(),
        springs: !lifts,
        lifts,
    };
    for &joint in &loads.may_lift {
        let member = assembly.joint(joint).member;
        out.entry(member).or_insert_with(|| other(member, f64::INFINITY, false)).springs = true;
    }
    for &joint in &loads.lifting {
        let member = assembly.joint(joint).member;
        out.entry(member).or_insert_with(|| other(member, 0.0, true)).lifts = true;
    }
    for &member in &loads.no_path {
        out.entry(member).or_insert_with(|| other(member, 0.0, true)).lifts = true;
    }
    out
}

/// Judges sets of strips, each once.
pub struct Search<'a> {
    assembly: &'a Assembly,
    pack: &'a Pack,
    stage: &'a Stage,
    slab: &'a str,
    pub units: Vec<Unit>,
    before: BTreeSet<MemberId>,
    known: BTreeMap<u32, bool>,
}

/// An order that was found.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Order {
    pub names: Vec<String>,
    /// Each of its stages was judged as a frame too, and met what is required.
    pub as_frame: Result<(), String>,
}

impl<'a> Search<'a> {
    #[must_use]
    pub fn new(
        assembly: &'a Assembly,
        pack: &'a Pack,
        sequence: &Sequence,
        stage: &'a Stage,
        slab: &'a str,
    ) -> Self {
        let bare = with(stage, slab, &[]);
        let before = troubles(assembly, pack, &bare, &loads::take_down(assembly, pack, &bare));
        Self {
            assembly,
            pack,
            stage,
            slab,
            units: units(sequence, slab),
            before: before.into_keys().collect(),
            known: BTreeMap::new(),
        }
    }

    /// Those of what was found at the stage that the concrete brings about: without it, it would not
    /// be so.
    #[must_use]
    pub fn now(&self, mut found: BTreeMap<MemberId, Fault>) -> Vec<Fault> {
        found.retain(|member, _| !self.before.contains(member));
        found.into_values().collect()
    }

    /// Whether nothing comes to tip or lift with a set of strips on, `last` being placed.
    fn calm(&mut self, set: u32, last: usize) -> bool {
        let key = set | u32::try_from(last).unwrap_or(0) << 16;
        if let Some(&known) = self.known.get(&key) {
            return known;
        }
        let stage = self.stage_of(set, last);
        let loads = loads::take_down(self.assembly, self.pack, &stage);
        let found = troubles(self.assembly, self.pack, &stage, &loads);
        let calm = found.keys().all(|m| self.before.contains(m));
        self.known.insert(key, calm);
        calm
    }

    fn stage_of(&self, set: u32, last: usize) -> Stage {
        let mut on: Vec<&Unit> = (0..self.units.len())
            .filter(|&k| k != last && set & (1 << k) != 0)
            .map(|k| &self.units[k])
            .collect();
        on.push(&self.units[last]);
        with(self.stage, self.slab, &on)
    }

    /// Whether the slab as a whole, whatever the order, leaves nothing tipping.
    pub fn whole_is_calm(&mut self) -> bool {
        let n = self.units.len();
        if n == 0 || n > MOST_STRIPS {
            let all: Vec<&Unit> = self.units.iter().collect();
            let stage = with(self.stage, self.slab, &all);
            let loads = loads::take_down(self.assembly, self.pack, &stage);
            let found = troubles(self.assembly, self.pack, &stage, &loads);
            return found.keys().all(|m| self.before.contains(m));
        }
        (0..n).any(|last| self.calm((1 << n) - 1, last))
    }

    /// The order nearest to the one written in which nothing tips or lifts at any stage.
    pub fn order(&mut self) -> Option<Order> {
        let n = self.units.len();
        let found = if n <= MOST_STRIPS {
            let mut dead = BTreeSet::new();
            self.go_on(0, &mut dead)?
        } else {
            self.overhangs_last()?
        };
        let as_frame = self.as_frame(&found);
        let names = found.iter().map(|&k| self.units[k].name.clone()).collect();
        Some(Order { names, as_frame })
    }

    fn go_on(&mut self, set: u32, dead: &mut BTreeSet<u32>) -> Option<Vec<usize>> {
        let n = self.units.len();
        if set.count_ones() as usize == n {
            return Some(Vec::new());
        }
        if dead.contains(&set) {
            return None;
        }
        for k in (0..n).filter(|k| set & (1 << k) == 0) {
            let next = set | 1 << k;
            if self.calm(next, k)
                && let Some(mut rest) = self.go_on(next, dead)
            {
                rest.insert(0, k);
                return Some(rest);
            }
        }
        dead.insert(set);
        None
    }

    /// Many strips: those that cannot be first go last, otherwise as written.
    fn overhangs_last(&mut self) -> Option<Vec<usize>> {
        let alone = |this: &Self, on: &[usize]| {
            let units: Vec<&Unit> = on.iter().map(|&k| &this.units[k]).collect();
            let stage = with(this.stage, this.slab, &units);
            let loads = loads::take_down(this.assembly, this.pack, &stage);
            troubles(this.assembly, this.pack, &stage, &loads)
                .keys()
                .all(|m| this.before.contains(m))
        };
        let (first, last): (Vec<usize>, Vec<usize>) =
            (0..self.units.len()).partition(|&k| alone(self, &[k]));
        let order: Vec<usize> = first.into_iter().chain(last).collect();
        (1..=order.len()).all(|k| alone(self, &order[..k])).then_some(order)
    }

    /// Each stage of an order as a frame.
    fn as_frame(&self, order: &[usize]) -> Result<(), String> {
        if self.assembly.members.len() > MOST_MEMBERS {
            return Err("too many members to judge every stage of it as a frame".to_owned());
        }
        let mut judge = mechanics::stage::Judge::new(self.assembly, self.pack);
        for k in 1..=order.len() {
            let on: Vec<&Unit> = order[..k].iter().map(|&k| &self.units[k]).collect();
            let stage = with(self.stage, self.slab, &on);
            let loads = loads::take_down(self.assembly, self.pack, &stage);
            let found = judge.stage(&stage, &loads);
            for (what, verdict) in
                [("the critical load factor", &found.critical), ("lateral force", &found.lateral)]
            {
                if *verdict != Verdict::Met {
                    let name = &self.units[order[k - 1]].name;
                    return Err(format!("with {name} on, {what} is not met or not known"));
                }
            }
        }
        Ok(())
    }
}
