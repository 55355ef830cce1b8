//! A bundle set down on a bay whose deck is not whole.

use super::support::plan::{Plan, corners};
use super::support::{self, list};
use super::{Source, StageContext};
use crate::assembly::{Member, Role};
use crate::criteria::model::Seen;
use crate::findings::{Observation, Severity};
use crate::scene::model::{LoadKind, LoadPlace};

crate::declare_hazard! {
    /// ## What it checks
    /// Bundles and equipment set down on sheets: whether every other sheet of the same bay lies
    /// there too.
    ///
    /// ## Why it is dangerous
    /// On half a deck the load is on one side of the ledgers, the sheets end on joists that nothing
    /// holds upright, and the edge beside the bundle is open. The bundle slides or tips into the
    /// hole.
    ///
    /// ## Example
    /// `tests/checks/bundle_on_half_deck/fires.ron`: one of a bay's three sheets is laid when the
    /// bundle comes.
    ///
    /// ## Limits
    /// It knows the sheets of blocks, which belong to a bay; sheets placed by hand belong to none. What
    /// the bundle weighs is judged elsewhere.
    ///
    /// ## Source
    /// Common practice, no published source: materials go on finished bays. ACI 347 on unbalanced
    /// loading (from memory).
    pub static BUNDLE_ON_HALF_DECK = {
        code: "SW413",
        name: "bundle-on-half-deck",
        summary: "a bundle is set down on a bay whose deck is not whole",
        severity: Severity::FixFirst,
        follows: [],
        sources: [
            Source { title: "Common practice", locator: "materials on finished bays", seen: Seen::Practice },
            Source { title: "ACI 347", locator: "unbalanced loading", seen: Seen::Memory },
        ],
        check: check,
    }
}

fn check(ctx: &StageContext<'_>, out: &mut Vec<Observation>) {
    let assembly = ctx.assembly;
    for load in &ctx.stage.loads {
        if !matches!(load.text.kind, LoadKind::Bundle | LoadKind::Equipment) {
            continue;
        }
        let under = |sheet: &Member| match &load.text.on {
            LoadPlace::Area { from, to, .. } => overlaps(extent(sheet), corners(*from, *to)),
            LoadPlace::Point { member, .. }
            | LoadPlace::Lump { member, .. }
            | LoadPlace::Line { member, .. } => sheet.name == *member,
            // Fresh concrete and what rolls over the deck are judged as placing.
            LoadPlace::Pour { .. }
            | LoadPlace::Layer { .. }
            | LoadPlace::Heap { .. }
            | LoadPlace::Along { .. } => false,
        };
        let is_sheet = |m: &&Member| m.role == Role::Sheet;
        let below = assembly
            .members
            .iter()
            .filter(is_sheet)
            .filter(|m| ctx.stage.state(m.id).is_there() && under(m));
        let mut bays: Vec<(&Option<String>, &(String, String))> =
            below.filter_map(|m| Some((&m.block, m.grid.as_ref()?))).collect();
        bays.sort();
        bays.dedup();
        for (block, grid) in bays {
            let missing: Vec<String> = assembly
                .members
                .iter()
                .filter(is_sheet)
                .filter(|m| &m.block == block && m.grid.as_ref() == Some(grid))
                .filter(|m| !ctx.stage.state(m.id).is_there())
                .map(|m| m.name.clone())
                .collect();
            if missing.is_empty() {
                continue;
            }
            let mut seen = Observation::new(
                Severity::FixFirst,
                format!(
                    "{} lies on bay {}–{}, whose deck is not whole",
                    support::words::sentence(&load.text.name),
                    grid.0,
                    grid.1
                ),
                missing.clone(),
            );
            seen.evidence.notes.push(format!("Not there: {}.", list(&missing)));
            seen.cures.push("lay the rest of the bay's sheets first".to_owned());
            seen.cures.push("set it down on a finished bay".to_owned());
            out.push(seen);
        }
    }
}

fn extent(sheet: &Member) -> [Plan; 2] {
    let (a, b) = (sheet.ends[0], sheet.ends[1]);
    [[a.x.min(b.x), a.y.min(b.y)], [a.x.max(b.x), a.y.max(b.y)]]
}

fn overlaps(a: [Plan; 2], b: [Plan; 2]) -> bool {
    (0..2).all(|d| a[0][d] < b[1][d] - 1e-6 && b[0][d] < a[1][d] - 1e-6)
}
