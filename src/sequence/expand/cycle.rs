//! One post of the normal cycle: stood up under hung ledgers, tied both ways, braced, released.

use super::grid::{Bay, BlockGrid, corners};
use crate::assembly::MemberId;
use crate::scene::lines::GridPoint;
use crate::scene::model::{Action, Axis, PersonText};
use crate::sequence::machine::Machine;
use crate::units::Length;
use std::collections::BTreeSet;

/// What the crew has done so far, and believes.
pub struct Cycle<'a, 'b> {
    pub grid: &'b BlockGrid<'a>,
    there: BTreeSet<MemberId>,
    locked: BTreeSet<MemberId>,
    /// Posts in hand.
    held: BTreeSet<GridPoint>,
    /// Bays whose diagonals are in, or taken to be in.
    braced: BTreeSet<Bay>,
    /// Members left out although their turn has come.
    pub skip: BTreeSet<MemberId>,
    /// Posts released at the end of their own step whatever holds them.
    pub release_early: BTreeSet<GridPoint>,
}

impl<'a, 'b> Cycle<'a, 'b> {
    /// From what stands.
    #[must_use]
    pub fn new(grid: &'b BlockGrid<'a>, before: &Machine<'_>) -> Self {
        let assembly = grid.assembly;
        let there: BTreeSet<MemberId> =
            assembly.members.iter().map(|m| m.id).filter(|&id| before.there(id)).collect();
        let held = grid.posts.iter().filter(|&(_, &id)| before.state(id).is_held());
        let locked = there.iter().copied().filter(|&id| before.head_is_locked(id)).collect();
        let braced = grid.braces.iter().filter(|(_, braces)| {
            braces.iter().any(|&id| before.there(id) && before.is_connected(id))
        });
        Self {
            grid,
            held: held.map(|(&p, _)| p).collect(),
            braced: braced.map(|(&bay, _)| bay).collect(),
            there,
            locked,
            skip: BTreeSet::new(),
            release_early: BTreeSet::new(),
        }
    }

    #[must_use]
    pub fn post_there(&self, p: GridPoint) -> bool {
        self.grid.posts.get(&p).is_some_and(|id| self.there.contains(id))
    }
    #[must_use]
    pub fn is_there(&self, id: MemberId) -> bool {
        self.there.contains(&id)
    }

    fn name(&self, id: MemberId) -> String {
        self.grid.assembly.name(id).to_owned()
    }

    /// Brings a member if it is not there and not left out; gives its name if it is brought.
    fn bring(&mut self, id: MemberId) -> Option<String> {
        (!self.skip.contains(&id) && self.there.insert(id)).then(|| self.name(id))
    }

    /// Sill, first ledger hung by its near end, post stood up under it, the other ledgers and
    /// joists, and their clips.
    pub fn stand_up(&mut self, p: GridPoint, actions: &mut Vec<Action>) {
        let grid = self.grid;
        if let Some(sill) = grid.sills.get(&p).and_then(|&id| self.bring(id)) {
            actions.push(Action::Set(sill));
        }
        let beams: Vec<MemberId> = (grid.neighbours(p))
            .filter(|&q| self.post_there(q))
            .filter_map(|q| grid.beams.get(&Bay::between(p, q)?).copied())
            .collect();
        let mut brought = Vec::new();
        let mut first = true;
        let mut later = Vec::new();
        for id in beams {
            let Some(name) = self.bring(id) else { continue };
            brought.push(id);
            if std::mem::take(&mut first) {
                actions.push(Action::Hang(name));
            } else {
                later.push(Action::Set(name));
            }
        }
        if let Some(post) = grid.posts.get(&p).and_then(|&id| self.bring(id)) {
            actions.push(Action::StandUp(post));
            self.held.insert(p);
        }
        actions.append(&mut later);
        for &beam in &brought {
            for clip in grid.clips.get(&beam).cloned().unwrap_or_default() {
                if let Some(clip) = self.bring(clip) {
                    actions.push(Action::Clip(clip));
                }
            }
        }
        self.lock(p, &brought, actions);
    }

    /// The new post's head, and the far ends of what was hung on it.
    fn lock(&mut self, p: GridPoint, brought: &[MemberId], actions: &mut Vec<Action>) {
        let Some(&post) = self.grid.posts.get(&p) else { return };
        if !self.grid.has_lock(post) {
            return;
        }
        actions.extend(brought.iter().map(|&id| Action::Lock(self.name(id))));
        if self.locked.insert(post) {
            actions.push(Action::Lock(self.name(post)));
        }
    }

    /// A ledger or joist between two posts that stand already.
    pub fn tie(&mut self, beam: MemberId, actions: &mut Vec<Action>) {
        let Some(name) = self.bring(beam) else { return };
        actions.push(Action::Set(name.clone()));
        let heads = self.grid.assembly.joints_of(beam).iter();
        let mut carriers = heads.filter_map(|&j| self.grid.assembly.joint(j).carrier);
        if carriers.any(|post| self.grid.has_lock(post)) {
            actions.push(Action::Lock(name));
        }
    }

    /// Pushes a head's lock home if it has one that is not.
    pub fn lock_head(&mut self, p: GridPoint, actions: &mut Vec<Action>) {
        if let Some(&post) = self.grid.posts.get(&p)
            && self.there.contains(&post)
            && self.grid.has_lock(post)
            && self.locked.insert(post)
        {
            actions.push(Action::Lock(self.name(post)));
        }
    }

    /// Bays with this post whose other post stands and whose diagonals have yet to go in.
    #[must_use]
    pub fn bays_to_brace(&self, p: GridPoint) -> Vec<Bay> {
        let mut bays: Vec<Bay> = (self.grid.neighbours(p))
            .filter(|&q| self.post_there(q))
            .filter_map(|q| Bay::between(p, q))
            .filter(|bay| self.grid.braces.contains_key(bay) && !self.braced.contains(bay))
            .collect();
        bays.sort_unstable();
        bays
    }

    /// The crew takes the bay's diagonals to be in.
    pub fn count_as_braced(&mut self, bay: Bay) {
        self.braced.insert(bay);
    }

    /// Sets and connects a bay's diagonals.
    pub fn brace(&mut self, bay: Bay, actions: &mut Vec<Action>) {
        for id in self.grid.braces.get(&bay).cloned().unwrap_or_default() {
            if let Some(name) = self.bring(id) {
                actions.push(Action::Set(name.clone()));
                actions.push(Action::Connect(name));
            }
        }
        self.braced.insert(bay);
    }

    /// Plan diagonals of the cells around a post whose four posts stand.
    pub fn brace_in_plan(&mut self, p: GridPoint, actions: &mut Vec<Action>) {
        let grid = self.grid;
        for &(a, b, id) in &grid.plan {
            let low = GridPoint { x: a.x.min(b.x), y: a.y.min(b.y) };
            let cell = corners(low);
            if cell.contains(&p)
                && cell.iter().all(|&c| self.post_there(c))
                && let Some(name) = self.bring(id)
            {
                actions.push(Action::Set(name.clone()));
                actions.push(Action::Connect(name));
            }
        }
    }

    /// Hands off every post that is held both ways once they are off, and off those released
    /// early. A post in hand holds nobody else, so posts that lean on one another come free
    /// together or not at all.
    pub fn release(
        &mut self,
        just_up: Option<GridPoint>,
        actions: &mut Vec<Action>,
    ) -> Vec<GridPoint> {
        let early = just_up.filter(|p| self.release_early.contains(p));
        let mut off = std::mem::take(&mut self.held);
        let mut kept = BTreeSet::new();
        loop {
            self.held = kept.clone();
            let loose: Vec<GridPoint> = (off.iter().copied())
                .filter(|&p| !(self.held_along(p, Axis::X) && self.held_along(p, Axis::Y)))
                .collect();
            if loose.is_empty() {
                break;
            }
            for p in loose {
                off.remove(&p);
                kept.insert(p);
            }
        }
        off.extend(early.filter(|p| self.held.remove(p)));
        for p in &off {
            if let Some(&id) = self.grid.posts.get(p) {
                actions.push(Action::Release(self.name(id)));
            }
        }
        off.into_iter().collect()
    }

    /// Whether the run of bays along this axis that the post belongs to, as far as posts stand on
    /// their own, has a braced bay.
    fn held_along(&self, p: GridPoint, axis: Axis) -> bool {
        self.run_braced(p, axis, true) || self.run_braced(p, axis, false)
    }

    fn run_braced(&self, p: GridPoint, axis: Axis, up: bool) -> bool {
        let mut at = p;
        loop {
            let step = |v: usize| if up { v.checked_add(1) } else { v.checked_sub(1) };
            let next = match axis {
                Axis::X => step(at.x).map(|x| GridPoint { x, ..at }),
                Axis::Y => step(at.y).map(|y| GridPoint { y, ..at }),
            };
            let Some(bay) = next.and_then(|q| Bay::between(at, q)) else { return false };
            let Some(q) = next.filter(|q| self.post_there(*q) && !self.held.contains(q)) else {
                return false;
            };
            let linked = self
                .grid
                .beams
                .get(&bay)
                .is_some_and(|id| self.there.contains(id) || self.skip.contains(id));
            if !linked {
                return false;
            }
            if self.braced.contains(&bay) {
                return true;
            }
            at = q;
        }
    }

    /// The person at the foot of a post, half a pace off.
    #[must_use]
    pub fn erector(&self, p: GridPoint) -> Option<PersonText> {
        let foot = self.grid.assembly.member(*self.grid.posts.get(&p)?).ends[0];
        let round = |v: f64| Length((v * 100.0).round() / 100.0);
        Some(PersonText {
            who: "erector".to_owned(),
            at: (round(foot.x - 0.4), round(foot.y - 0.4), round(foot.z)),
            tied_off: false,
        })
    }
}
