//! Slabs that carry themselves, and how posts stand under them.
//!
//! A slab is *fresh* from its pour on: all of it is on the deck. Evidence lets it carry itself; from
//! then on its weight is no longer counted on as ballast, and what may still be on a post is an
//! upper bound (see [`crate::loads::slab`]). A post that was under the slab when it was let go is
//! *undisturbed*. Backed off or taken away it is *out*; snugged up again it touches, starts again with
//! next to nothing and is undisturbed no more. Contact alone holds nothing sideways: only a post that
//! somebody secured to the slab is held by it.

use super::machine::{Done, Machine};
use super::trouble::Trouble;
use crate::assembly::model::Point;
use crate::assembly::{Assembly, MemberId, Role};
use crate::concrete::Released;
use crate::scene::model::{EvidenceText, Slab};
use std::collections::BTreeSet;

/// A head this far below a soffit at most is under that slab: room for the deck on it, metres.
const UNDER: f64 = 0.8;
/// A head may lie this little above a soffit, metres.
const ABOVE: f64 = 0.02;
/// Posts within so many times the distance to the nearest one are neighbours.
const NEIGHBOURS: f64 = 1.5;

/// What a slab is at a stage.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub enum SlabNow {
    #[default]
    NotPlaced,
    /// All of it is on the deck.
    Fresh,
    /// It carries itself, as far as it has been released.
    Carries(Released),
}

/// What evidence brought in a step came to.
#[derive(Clone, Debug, PartialEq)]
pub struct Shown {
    /// Position among the scene's slabs.
    pub slab: usize,
    pub released: Released,
    pub notes: Vec<String>,
}

/// Slabs and the posts under them at a stage.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct StripState {
    /// By position among the scene's slabs.
    pub slabs: Vec<SlabNow>,
    /// Tight under their slab since before it carried itself.
    pub undisturbed: BTreeSet<MemberId>,
    /// Snugged up under a slab that carries itself.
    pub snugged: BTreeSet<MemberId>,
    /// Fixed at their head to the slab above.
    pub secured: BTreeSet<MemberId>,
    /// Once undisturbed, now backed off or taken away.
    pub out: BTreeSet<MemberId>,
    /// Neighbours that were out at the same time in this step, or still are.
    pub together: BTreeSet<(MemberId, MemberId)>,
    /// Let down, backed off or taken away in this step under concrete that carries nothing yet.
    pub early: BTreeSet<MemberId>,
    /// Sheets pulled in this step from between a tight post and the slab: (sheet, post).
    pub trapped: BTreeSet<(MemberId, MemberId)>,
    /// Evidence brought in this step.
    pub shown: Vec<Shown>,
}

impl StripState {
    /// Slabs that are there carry themselves; no other is placed.
    #[must_use]
    pub fn new(assembly: &Assembly) -> Self {
        let now = |slab: &Slab| {
            if slab.there { SlabNow::Carries(Released::Clear) } else { SlabNow::NotPlaced }
        };
        Self { slabs: assembly.scene.slabs.iter().map(now).collect(), ..Self::default() }
    }

    /// Starts a step.
    pub(super) fn begin(&mut self) {
        self.early.clear();
        self.trapped.clear();
        self.shown.clear();
        let out = &self.out;
        self.together.retain(|(a, b)| out.contains(a) && out.contains(b));
    }

    #[must_use]
    pub fn slab(&self, index: usize) -> SlabNow {
        self.slabs.get(index).copied().unwrap_or_default()
    }
    /// A post's head touches the slab above it.
    #[must_use]
    pub fn touches(&self, post: MemberId) -> bool {
        self.undisturbed.contains(&post) || self.snugged.contains(&post)
    }
}

/// The slab right over a point, by its position among the scene's slabs.
#[must_use]
pub fn slab_over(assembly: &Assembly, at: Point) -> Option<usize> {
    assembly
        .scene
        .slabs
        .iter()
        .enumerate()
        .filter(|(_, slab)| {
            let gap = slab.soffit.si() - at.z;
            (-ABOVE..=UNDER).contains(&gap) && inside(slab, at)
        })
        .min_by(|a, b| a.1.soffit.si().total_cmp(&b.1.soffit.si()))
        .map(|(index, _)| index)
}

/// The slab over a post's head, or over the middle of another member.
#[must_use]
pub fn slab_over_member(assembly: &Assembly, id: MemberId) -> Option<usize> {
    let member = assembly.member(id);
    let at = if member.is_post() { member.ends[1] } else { member.at(0.5 * member.length()) };
    slab_over(assembly, at)
}

/// Whether a plan point lies within a slab's outline (a line to the right crosses it oddly often).
fn inside(slab: &Slab, at: Point) -> bool {
    let corners = &slab.outline;
    let mut within = false;
    for (i, a) in corners.iter().enumerate() {
        let b = &corners[(i + 1) % corners.len()];
        let (ax, ay, bx, by) = (a.0.si(), a.1.si(), b.0.si(), b.1.si());
        if (ay > at.y) != (by > at.y) && at.x < ax + (bx - ax) * (at.y - ay) / (by - ay) {
            within = !within;
        }
    }
    within
}

/// Posts are neighbours: no farther apart than a diagonal of the bays around them.
#[must_use]
pub fn neighbours(assembly: &Assembly, a: MemberId, b: MemberId) -> bool {
    let head = |id: MemberId| assembly.member(id).ends[1];
    let apart = |p: MemberId, q: MemberId| {
        let d = head(p) - head(q);
        if d.z.abs() < 1.0 { d.x.hypot(d.y) } else { f64::INFINITY }
    };
    let nearest = assembly
        .members
        .iter()
        .filter(|m| m.is_post() && m.id != a)
        .map(|m| apart(a, m.id))
        .filter(|d| *d > 0.3)
        .fold(f64::INFINITY, f64::min);
    a != b && apart(a, b) <= NEIGHBOURS * nearest
}

impl Machine<'_> {
    fn slab_index(&self, name: &str) -> Option<usize> {
        self.assembly.scene.slabs.iter().position(|s| s.name == name)
    }

    /// Fresh concrete of a slab comes on the deck.
    pub(super) fn placed(&mut self, slab: &str) {
        if let Some(index) = self.slab_index(slab)
            && let Some(now) = self.strip.slabs.get_mut(index)
        {
            *now = SlabNow::Fresh;
        }
    }

    /// Evidence is held against what the drawings ask; a slab it releases carries itself.
    pub(super) fn evidence(&mut self, text: &EvidenceText) -> Done {
        let Some(index) = self.slab_index(&text.slab) else {
            return Err(Trouble::new(format!("there is no slab \"{}\"", text.slab)));
        };
        let now = self.strip.slab(index);
        if now == SlabNow::NotPlaced {
            return Err(Trouble::new(format!(
                "evidence that slab \"{}\" carries itself comes before its concrete is placed",
                text.slab
            ))
            .help("load it with a Pour in an earlier step"));
        }
        let (released, notes) = match &text.found {
            Some(found) => (found.released, found.notes.clone()),
            None => (Released::No, vec!["The evidence was not looked at.".to_owned()]),
        };
        self.strip.shown.push(Shown { slab: index, released, notes });
        let before = if let SlabNow::Carries(before) = now { before } else { Released::No };
        if released <= before {
            return Ok(());
        }
        self.strip.slabs[index] = SlabNow::Carries(released);
        if now == SlabNow::Fresh {
            let name = &text.slab;
            self.loads.retain(|l| super::placing::slab_of(&l.text.on) != Some(name.as_str()));
            let assembly = self.assembly;
            let under: Vec<MemberId> = assembly
                .members
                .iter()
                .filter(|m| m.is_post() && self.there(m.id) && !self.strip.out.contains(&m.id))
                .filter(|m| slab_over_member(assembly, m.id) == Some(index))
                .map(|m| m.id)
                .collect();
            self.strip.undisturbed.extend(under);
        }
        Ok(())
    }

    fn post_under(&self, id: MemberId) -> Result<SlabNow, Trouble> {
        if !self.assembly.member(id).is_post() {
            return Err(Trouble::new(format!("\"{}\" is no post", self.name(id))));
        }
        match slab_over_member(self.assembly, id).map(|index| self.strip.slab(index)) {
            Some(now @ (SlabNow::Fresh | SlabNow::Carries(_))) => Ok(now),
            Some(SlabNow::NotPlaced) | None => {
                Err(Trouble::new(format!("no slab is there over \"{}\"", self.name(id))).help(
                    "a slab is there once its concrete is placed, or when it says `there: true`",
                ))
            }
        }
    }

    pub(super) fn secure(&mut self, id: MemberId) -> Done {
        let now = self.post_under(id)?;
        if !matches!(now, SlabNow::Carries(_)) || !self.strip.touches(id) {
            let why = if now == SlabNow::Fresh {
                "the slab over it is fresh"
            } else {
                "it does not touch the slab over it"
            };
            return Err(Trouble::new(format!("\"{}\" cannot be secured: {why}", self.name(id)))
                .help("bring evidence that the slab carries itself, and snug the post up first"));
        }
        self.hand_at_work();
        self.strip.secured.insert(id);
        Ok(())
    }

    pub(super) fn back_off(&mut self, id: MemberId) -> Done {
        self.post_under(id)?;
        self.hand_at_work();
        self.lets_go(id);
        Ok(())
    }

    pub(super) fn snug(&mut self, id: MemberId) -> Done {
        let now = self.post_under(id)?;
        if now == SlabNow::Fresh {
            return Err(Trouble::new(format!(
                "\"{}\" is turned up under fresh concrete",
                self.name(id)
            ))
            .help("29 CFR 1926.703(b)(9): no post is adjusted to raise forms after placing"));
        }
        if self.strip.touches(id) {
            return Err(Trouble::new(format!("\"{}\" touches the slab already", self.name(id)))
                .help("only a post that was set or backed off is snugged up"));
        }
        self.hand_at_work();
        self.strip.snugged.insert(id);
        self.strip.out.remove(&id);
        Ok(())
    }

    /// A head that bears on the slab itself stays tight when its collar is let down; any other goes.
    pub(super) fn lowered_under_slab(&mut self, id: MemberId) {
        let fresh = slab_over_member(self.assembly, id)
            .is_some_and(|index| self.strip.slab(index) == SlabNow::Fresh);
        if fresh {
            self.strip.early.insert(id);
        }
        if !self.assembly.head_of(id).is_some_and(|h| h.through) {
            self.lets_go(id);
        }
    }

    /// A post stops touching its slab.
    fn lets_go(&mut self, id: MemberId) {
        self.strip.secured.remove(&id);
        self.strip.snugged.remove(&id);
        let now = slab_over_member(self.assembly, id).map(|index| self.strip.slab(index));
        let fresh = now == Some(SlabNow::Fresh);
        if fresh {
            self.strip.early.insert(id);
        }
        if self.strip.undisturbed.remove(&id) || fresh {
            let assembly = self.assembly;
            let near: Vec<MemberId> = self
                .strip
                .out
                .iter()
                .copied()
                .filter(|&other| neighbours(assembly, id, other))
                .collect();
            self.strip.together.extend(near.into_iter().map(|o| (id.min(o), id.max(o))));
            self.strip.out.insert(id);
        }
    }

    /// A member is taken away: what that means for the slab over it.
    pub(super) fn leaves_slab(&mut self, id: MemberId) {
        let member = self.assembly.member(id);
        if member.is_post() {
            self.lets_go(id);
            return;
        }
        let carries_deck = matches!(
            member.role,
            Role::Ledger | Role::Joist | Role::Filler | Role::DropBeam | Role::Sheet
        );
        let over = if carries_deck { slab_over_member(self.assembly, id) } else { None };
        match over.map(|index| self.strip.slab(index)) {
            Some(SlabNow::Fresh) => {
                self.strip.early.insert(id);
            }
            Some(SlabNow::Carries(_)) if member.role == Role::Sheet => {
                let by = self.trapping(id);
                self.strip.trapped.extend(by.into_iter().map(|post| (id, post)));
            }
            _ => {}
        }
    }

    /// Tight posts whose head lies under a sheet.
    fn trapping(&self, sheet: MemberId) -> Vec<MemberId> {
        let assembly = self.assembly;
        let outline = crate::loads::sheet_outline(assembly, assembly.member(sheet));
        let extent = |k: usize| {
            let along = outline.iter().map(move |p| p[k]);
            (along.clone().fold(f64::INFINITY, f64::min), along.fold(f64::NEG_INFINITY, f64::max))
        };
        let (x, y) = (extent(0), extent(1));
        self.strip
            .undisturbed
            .iter()
            .chain(&self.strip.snugged)
            .copied()
            .filter(|&post| {
                let Some(head) = assembly.head_of(post).filter(|h| !h.through) else {
                    return false;
                };
                let (at, half) = (assembly.member(post).ends[1], 0.5 * head.width.si());
                let level = (assembly.member(sheet).ends[0].z - at.z).abs() < UNDER;
                let over = |p: f64, (low, high): (f64, f64)| low < p + half && p - half < high;
                level && over(at.x, x) && over(at.y, y)
            })
            .collect()
    }
}

/// Parts that were there before a step and are not after it, by part name.
#[must_use]
pub fn freed<'a>(
    assembly: &'a Assembly,
    before: &super::Stage,
    after: &super::Stage,
) -> std::collections::BTreeMap<&'a str, usize> {
    let mut parts = std::collections::BTreeMap::new();
    for member in &assembly.members {
        if before.state(member.id).is_there() && !after.state(member.id).is_there() {
            *parts.entry(member.part.as_str()).or_insert(0) += 1;
        }
    }
    parts
}
