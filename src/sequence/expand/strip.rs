//! Bay after bay stripped under a slab that carries itself, with the posts left in.
//!
//! First every post of the part is secured to the slab, so that none is held by friction alone once
//! its ledgers are gone. Then, bay by bay: the heads are let down (the posts stay tight under the
//! slab by their caps), sheets and fillers come out, then each joist and ledger on which nothing
//! hangs any more, with its clips and the braces of its bay. No post moves.

use super::grid::{Bay, BlockGrid, Region, corners};
use crate::assembly::MemberId;
use crate::concrete::Released;
use crate::scene::lines::GridPoint;
use crate::scene::model::{Action, Axis, StepText, StrippingText};
use crate::sequence::machine::Machine;
use crate::sequence::strip::{SlabNow, slab_over_member};
use crate::sequence::trouble::Trouble;
use std::collections::BTreeSet;

/// Steps `id.secure`, then `id.A1-B2`, one a bay, and `id.rest` for what lies between no bays.
///
/// # Errors
/// When the block or region is not there, a slab over the part has not been released, a head cannot
/// be let down under a tight post, or nothing is to be stripped.
pub fn steps(text: &StrippingText, before: &Machine<'_>) -> Result<Vec<StepText>, Trouble> {
    let grid = BlockGrid::new(before.assembly, &text.block)?;
    let region = grid.region(text.posts.as_deref())?;
    let posts: Vec<(GridPoint, MemberId)> = grid
        .posts
        .iter()
        .filter(|(p, id)| region.contains(**p) && before.there(**id))
        .map(|(&p, &id)| (p, id))
        .collect();
    if posts.is_empty() {
        return Err(Trouble::new("no post stands in this part: there is nothing to strip")
            .help("put this entry after the part is erected, decked and poured"));
    }
    for &(p, id) in &posts {
        may_be_stripped(&grid, before, p, id)?;
    }
    let mut work = Work {
        grid: &grid,
        region,
        there: before
            .assembly
            .members
            .iter()
            .map(|m| m.id)
            .filter(|&id| before.there(id))
            .collect(),
        lowered: before.let_down.clone(),
    };
    let mut out = Vec::new();
    let step = |id: String, title: String, actions: Vec<Action>| StepText {
        id: format!("{}.{id}", text.id),
        title,
        actions,
        people: Vec::new(),
        crew: text.crew,
    };
    if !text.unsecured {
        let secure: Vec<Action> = posts
            .iter()
            .filter(|(_, id)| !before.strip.secured.contains(id))
            .map(|(_, id)| Action::Secure(grid.assembly.name(*id).to_owned()))
            .collect();
        if !secure.is_empty() {
            let title = format!("Secure {} posts to the slab", secure.len());
            out.push(step("secure".to_owned(), title, secure));
        }
    }
    for low in cells(region, text.toward) {
        let cell = corners(low);
        let (actions, free) = work.bay(low);
        if free > 0 {
            let label = format!("{}-{}", grid.label(cell[0]), grid.label(cell[3]));
            let title = format!("Strip bay {label}: {free} parts come free");
            out.push(step(label, title, actions));
        }
    }
    let (actions, free) = work.rest();
    if free > 0 {
        out.push(step(
            "rest".to_owned(),
            format!("Strip what is left: {free} parts come free"),
            actions,
        ));
    }
    if out.is_empty() {
        return Err(Trouble::new("nothing is left to strip here: only posts stand")
            .help("posts are taken with Remove once the slab is released to be cleared"));
    }
    Ok(out)
}

fn may_be_stripped(
    grid: &BlockGrid<'_>,
    before: &Machine<'_>,
    p: GridPoint,
    id: MemberId,
) -> Result<(), Trouble> {
    let label = grid.label(p);
    let assembly = before.assembly;
    let Some(slab) = slab_over_member(assembly, id) else {
        return Err(Trouble::new(format!("no slab is laid out over post {label}")));
    };
    let name = &assembly.scene.slabs[slab].name;
    match before.strip.slab(slab) {
        SlabNow::NotPlaced => Err(Trouble::new(format!(
            "post {label} would be stripped before slab \"{name}\" is placed"
        ))
        .help("pour the slab and bring evidence of its strength in earlier steps")),
        SlabNow::Fresh | SlabNow::Carries(Released::No) => Err(Trouble::new(format!(
            "nothing shows that slab \"{name}\" over post {label} carries itself"
        ))
        .help("bring Evidence that reaches the share of strength its drawings ask for")),
        SlabNow::Carries(_) if !assembly.head_of(id).is_some_and(|h| h.through) => {
            Err(Trouble::new(format!(
                "the head of post {label} cannot be let down while the post stays tight"
            ))
            .help("only a head whose cap stands through the deck leaves its post undisturbed; write the steps out with BackOff and Snug"))
        }
        SlabNow::Carries(_) => Ok(()),
    }
}

/// Lower corners of the cells of a region, along an axis first.
fn cells(region: Region, toward: Axis) -> Vec<GridPoint> {
    let (xs, ys) = (region.low.x..region.high.x, region.low.y..region.high.y);
    match toward {
        Axis::X => ys.flat_map(|y| xs.clone().map(move |x| GridPoint { x, y })).collect(),
        Axis::Y => xs.flat_map(|x| ys.clone().map(move |y| GridPoint { x, y })).collect(),
    }
}

struct Work<'a, 'b> {
    grid: &'b BlockGrid<'a>,
    region: Region,
    there: BTreeSet<MemberId>,
    lowered: BTreeSet<MemberId>,
}

impl Work<'_, '_> {
    fn lower(&mut self, p: GridPoint, actions: &mut Vec<Action>) {
        if let Some(&post) = self.grid.posts.get(&p)
            && self.there.contains(&post)
            && self.lowered.insert(post)
        {
            actions.push(Action::Lower(self.grid.assembly.name(post).to_owned()));
        }
    }

    /// Takes a member out if it is there.
    fn take(&mut self, id: MemberId, actions: &mut Vec<Action>) -> usize {
        if self.there.remove(&id) {
            actions.push(Action::Remove(self.grid.assembly.name(id).to_owned()));
            1
        } else {
            0
        }
    }

    /// Nothing that is there rests or hangs on it.
    fn is_bare(&self, beam: MemberId) -> bool {
        let assembly = self.grid.assembly;
        assembly
            .joints_of(beam)
            .iter()
            .map(|&j| assembly.joint(j))
            .all(|j| j.carrier != Some(beam) || !self.there.contains(&j.member))
    }

    fn bay(&mut self, low: GridPoint) -> (Vec<Action>, usize) {
        let grid = self.grid;
        let cell = corners(low);
        let (mut actions, mut free) = (Vec::new(), 0);
        for p in cell {
            self.lower(p, &mut actions);
        }
        for ids in [grid.sheets.get(&low), grid.fillers.get(&low)].into_iter().flatten() {
            for &id in ids {
                free += self.take(id, &mut actions);
            }
        }
        for &(a, b, id) in &grid.plan {
            if (GridPoint { x: a.x.min(b.x), y: a.y.min(b.y) }) == low {
                free += self.take(id, &mut actions);
            }
        }
        let sides =
            [(cell[0], cell[1]), (cell[2], cell[3]), (cell[0], cell[2]), (cell[1], cell[3])];
        for bay in sides.into_iter().filter_map(|(a, b)| Bay::between(a, b)) {
            free += self.beam(bay, &mut actions);
        }
        (actions, free)
    }

    /// A joist or ledger on which nothing hangs, with its clips and the braces of its bay.
    fn beam(&mut self, bay: Bay, actions: &mut Vec<Action>) -> usize {
        let grid = self.grid;
        let Some(&beam) = grid.beams.get(&bay).filter(|id| self.there.contains(id)) else {
            return 0;
        };
        if !self.is_bare(beam) {
            return 0;
        }
        let mut free = 0;
        for clip in grid.clips.get(&beam).cloned().unwrap_or_default() {
            free += self.take(clip, actions);
        }
        for brace in grid.braces.get(&bay).cloned().unwrap_or_default() {
            free += self.take(brace, actions);
        }
        free + self.take(beam, actions)
    }

    fn rest(&mut self) -> (Vec<Action>, usize) {
        let grid = self.grid;
        let region = self.region;
        let (mut actions, mut free) = (Vec::new(), 0);
        let bays: Vec<Bay> = grid
            .beams
            .keys()
            .copied()
            .filter(|b| region.contains(b.from) && region.contains(b.to))
            .collect();
        for bay in bays {
            let before = actions.len();
            for p in [bay.from, bay.to] {
                self.lower(p, &mut actions);
            }
            let taken = self.beam(bay, &mut actions);
            if taken == 0 {
                actions.truncate(before);
            }
            free += taken;
        }
        (actions, free)
    }
}
