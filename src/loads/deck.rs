//! The deck as area loads find it: sheets, and past the edge line the beams that run on.

use super::area::{Plan, anticlockwise, clip, extent, size_and_centre};
use super::ledge::Ledge;
use super::sheet::{SheetLoad, outline};
use super::{BeamLoad, LoadState};
use crate::assembly::{Assembly, MemberId, Role};
use crate::sequence::Stage;
use std::sync::Arc;

/// Share of an area load that may lie on gaps between sheets and is then spread over the sheets
/// beside them; with larger gaps the rest is reported as lying on nothing.
const GAPS: f64 = 0.1;

/// Panels less than this apart in level are one deck, metres.
const ONE_DECK: f64 = 0.15;

/// Loads on sheets, beside [`LoadState::on`].
pub(super) type OnSheets = Vec<(MemberId, SheetLoad)>;

/// Floor area that a sheet, or a beam at a slab edge, takes up.
struct Panel {
    under: MemberId,
    /// Edge beams: stations of the edge post and of the tip.
    edge: Option<(f64, f64)>,
    outline: Vec<Plan>,
    x: (f64, f64),
    y: (f64, f64),
    /// Level of its top.
    z: f64,
}

/// Levels between which a deck may lie to carry a load.
#[derive(Clone, Copy, Debug)]
pub(super) struct Levels {
    pub low: f64,
    pub high: f64,
}

impl Levels {
    pub const ALL: Self = Self { low: f64::NEG_INFINITY, high: f64::INFINITY };

    /// The same with its upper end lower.
    pub fn lowered(self, by: f64) -> Self {
        Self { high: self.high - by, ..self }
    }
    fn hold(self, z: f64) -> bool {
        (self.low..=self.high).contains(&z)
    }
}

impl Panel {
    fn new(under: MemberId, edge: Option<(f64, f64)>, outline: Vec<Plan>, z: f64) -> Self {
        let (x, y) = (extent(&outline, [1.0, 0.0]), extent(&outline, [0.0, 1.0]));
        Self { under, edge, outline, x, y, z }
    }
    /// Part of a polygon over it, with its size.
    fn part(&self, area: &[Plan], x: (f64, f64), y: (f64, f64)) -> Option<(Vec<Plan>, f64)> {
        if self.x.0 >= x.1 || self.x.1 <= x.0 || self.y.0 >= y.1 || self.y.1 <= y.0 {
            return None;
        }
        let part = clip(area, &self.outline);
        let size = size_and_centre(&part).0.abs();
        (size > 1e-9).then_some((part, size))
    }
}

/// All panels of a stage.
pub(super) struct Deck<'a> {
    pub assembly: &'a Assembly,
    panels: Vec<Panel>,
}

impl<'a> Deck<'a> {
    /// The sheets that are there, and past the edge line the beams that run on, each with half a bay
    /// either side, where no sheets of their own are laid out there.
    pub fn new(assembly: &'a Assembly, stage: &Stage, ledges: &[Ledge<'_>]) -> Self {
        let mut deck: Vec<Panel> = assembly
            .members
            .iter()
            .filter(|m| m.role == Role::Sheet && stage.state(m.id).is_there())
            .map(|m| Panel::new(m.id, None, outline(assembly, m), m.ends[0].z))
            .collect();
        let sheets = deck.len();
        for ledge in ledges {
            let z = assembly.member(ledge.member).at(ledge.to).z;
            let ends = Some((ledge.from, ledge.to));
            let edge = Panel::new(ledge.member, ends, ledge.outline(assembly), z);
            let whole = size_and_centre(&edge.outline).0;
            let sheeted: f64 = deck[..sheets]
                .iter()
                .filter_map(|d| d.part(&edge.outline, edge.x, edge.y))
                .map(|p| p.1)
                .sum();
            if sheeted < GAPS * whole {
                deck.push(edge);
            }
        }
        Self { assembly, panels: deck }
    }

    /// Whether any deck at these levels lies under a polygon.
    pub fn any(&self, levels: Levels, area: &[Plan]) -> bool {
        let (x, y) = (extent(area, [1.0, 0.0]), extent(area, [0.0, 1.0]));
        self.panels.iter().any(|d| levels.hold(d.z) && d.part(area, x, y).is_some())
    }

    /// Spreads a pressure over what lies under a polygon at these levels, the highest where decks lie
    /// above one another; says what lies on nothing.
    pub fn take(
        &self,
        (name, levels): (&str, Levels),
        area: &[Plan],
        pressure: f64,
        state: &mut LoadState,
        on_sheets: &mut OnSheets,
    ) {
        let whole = size_and_centre(area).0.abs();
        if whole <= 0.0 {
            return;
        }
        let (x, y) = (extent(area, [1.0, 0.0]), extent(area, [0.0, 1.0]));
        let mut hit: Vec<(&Panel, Vec<Plan>, f64)> = self
            .panels
            .iter()
            .filter(|d| levels.hold(d.z))
            .filter_map(|d| d.part(area, x, y).map(|(part, size)| (d, part, size)))
            .collect();
        hide_lower(&mut hit);
        let covered: f64 = hit.iter().map(|h| h.2).sum();
        let more =
            if covered < whole && covered >= (1.0 - GAPS) * whole { whole / covered } else { 1.0 };
        for (under, part, size) in hit {
            let force = pressure * size * more;
            match under.edge {
                None => {
                    on_sheets.push((under.under, SheetLoad::Patch(anticlockwise(part), force)));
                    listed(state, under.under, name, force);
                }
                Some(stations) => {
                    on_edge_beam(self.assembly, under, stations, &part, (name, force), state);
                }
            }
        }
        let rest = whole - covered * more;
        if rest > 1e-6 * whole {
            let why = format!("{name}: {rest:.2} m² of it lie where no sheet is");
            state.unplaced.push((why, pressure * rest));
        }
    }
}

/// Takes from each panel's size what a higher one covers.
fn hide_lower(hit: &mut Vec<(&Panel, Vec<Plan>, f64)>) {
    let level = |z: f64| hit.iter().map(|h| h.0.z).fold(z, f64::max);
    let Some(first) = hit.first() else { return };
    let highest = level(first.0.z);
    if hit.iter().all(|h| highest - h.0.z < ONE_DECK) {
        return;
    }
    let above: Vec<(f64, Vec<Plan>)> = hit.iter().map(|h| (h.0.z, h.1.clone())).collect();
    for (panel, _, size) in &mut *hit {
        let hidden: f64 = above
            .iter()
            .filter(|(z, _)| z - panel.z >= ONE_DECK)
            .map(|(_, over)| size_and_centre(&clip(over, &panel.outline)).0.abs())
            .sum();
        *size = (*size - hidden).max(0.0);
    }
    hit.retain(|h| h.2 > 1e-9);
}

/// The stretch of an edge beam beside a polygon, with the polygon's weight.
fn on_edge_beam(
    assembly: &Assembly,
    deck: &Panel,
    (post, tip): (f64, f64),
    part: &[Plan],
    (name, force): (&str, f64),
    state: &mut LoadState,
) {
    let member = assembly.member(deck.under);
    let d = member.direction();
    let first = member.ends[0];
    let station = |s: f64| (s - first.x * d.x - first.y * d.y).clamp(post.min(tip), post.max(tip));
    let (low, high) = extent(part, [d.x, d.y]);
    let what = std::borrow::Cow::Owned(name.to_owned());
    let span = (station(low), station(high));
    let mut load = BeamLoad::spread(what, None, span, force);
    let centre = size_and_centre(part).1;
    let centre = station(centre[0] * d.x + centre[1] * d.y);
    if (centre - load.centre).abs() > 1e-9 {
        load.centre = centre;
    }
    state.put(deck.under, load);
}

/// Lists a load of a sheet as its total along the diagonal, added to what it has by that name.
fn listed(state: &mut LoadState, sheet: MemberId, name: &str, force: f64) {
    let on = Arc::make_mut(&mut state.on[sheet.index()]);
    match on.iter_mut().find(|l| l.what == name) {
        Some(l) => l.force += force,
        None => on.push(BeamLoad::point(name.to_owned().into(), None, 0.0, force)),
    }
}
