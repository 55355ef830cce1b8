//! Where the load of a post comes from: each piece of it with the members it comes down through.
//!
//! Each source, a member's own weight or a load of the stage, is followed from member to member by
//! the same statics as the take-down. The pieces add up to the load at the post's foot; what does not
//! (a member that lifts off a support shares its load in no fixed parts) is said as a rest.

use super::beam::{Piece, reactions};
use super::carriers::{Carriers, Links};
use super::live::Live;
use super::placing::place;
use super::sheet::{SheetLoad, hand_down};
use super::{BeamLoad, LoadState, OWN};
use crate::assembly::{Assembly, JointId, Member, MemberId, Role};
use crate::chunks::Chunks;
use crate::criteria::Pack;
use crate::sequence::Stage;
use std::collections::BTreeMap;
use std::sync::Arc;

/// One piece of a post's load.
#[derive(Clone, Debug, PartialEq)]
pub struct Share {
    /// `self-weight`, `edge form`, or the name of a load of the stage.
    pub what: String,
    /// From the member it lies on, or whose weight it is, down to the post.
    pub path: Vec<MemberId>,
    /// Newtons, downwards positive.
    pub force: f64,
}

/// A post's load and where it comes from.
#[derive(Clone, Debug, PartialEq)]
pub struct LoadReport {
    pub post: MemberId,
    /// At the foot, newtons: as it is, and the least and greatest it can be at the stage.
    pub force: f64,
    pub least: f64,
    pub greatest: f64,
    /// Greatest first.
    pub shares: Vec<Share>,
    /// What of the force no share explains.
    pub rest: f64,
}

/// Follows the load of a post at a stage; `state` is the stage's [`super::take_down`].
#[must_use]
pub fn report(
    assembly: &Assembly,
    pack: &Pack,
    stage: &Stage,
    state: &LoadState,
    post: MemberId,
) -> LoadReport {
    let tracer = Tracer::new(assembly, pack, stage, state);
    let mut by_path: BTreeMap<(Vec<MemberId>, String), f64> = BTreeMap::new();
    for found in tracer.onto(post, MOST_DEEP) {
        *by_path.entry((found.path, found.what)).or_default() += found.piece.force;
    }
    let mut shares: Vec<Share> = by_path
        .into_iter()
        .filter(|(_, force)| force.abs() > 1e-9)
        .map(|((path, what), force)| Share { what, path, force })
        .collect();
    shares.sort_by(|a, b| b.force.total_cmp(&a.force));
    let force = state.at_foot[post.index()];
    let known: f64 = shares.iter().map(|s| s.force).sum();
    LoadReport {
        post,
        force,
        least: state.foot_least[post.index()],
        greatest: state.foot_greatest[post.index()],
        shares,
        rest: force - known,
    }
}

/// Members on top of one another beyond this are not followed: nothing is built so.
const MOST_DEEP: usize = 16;

struct Found {
    what: String,
    path: Vec<MemberId>,
    piece: Piece,
}

struct Tracer<'a> {
    assembly: &'a Assembly,
    stage: &'a Stage,
    state: &'a LoadState,
    carriers: Carriers,
    /// By sheet: loads of the stage on it, with their names.
    on_sheets: BTreeMap<MemberId, Vec<(String, SheetLoad)>>,
}

impl<'a> Tracer<'a> {
    fn new(assembly: &'a Assembly, pack: &Pack, stage: &'a Stage, state: &'a LoadState) -> Self {
        let live = Live::new(assembly, pack, stage);
        let mut on_sheets: BTreeMap<MemberId, Vec<(String, SheetLoad)>> = BTreeMap::new();
        let count = assembly.members.len();
        for load in &stage.loads {
            let mut alone =
                LoadState { on: Chunks::filled(Arc::default(), count), ..LoadState::default() };
            let all: Vec<_> = stage.loads.iter().collect();
            let found = place(assembly, pack, stage, &[load], &all, &live, &mut alone);
            for (sheet, piece) in found {
                on_sheets.entry(sheet).or_default().push((load.text.name.clone(), piece));
            }
        }
        let carriers = Carriers::new(&Links::new(assembly), stage);
        Self { assembly, stage, state, carriers, on_sheets }
    }

    /// Everything that acts on a member, as pieces along it.
    fn onto(&self, member: MemberId, deep: usize) -> Vec<Found> {
        let mut out: Vec<Found> = self.state.on[member.index()]
            .iter()
            .filter(|l| l.by.is_none() && l.force != 0.0)
            .map(|l| Found { what: l.what.to_string(), path: vec![member], piece: piece(l) })
            .collect();
        if deep == 0 {
            return out;
        }
        for &j in self.assembly.joints_of(member) {
            let joint = self.assembly.joint(j);
            if joint.carrier != Some(member) || !self.carriers.of(joint.member).contains(&j) {
                continue;
            }
            let above = self.assembly.member(joint.member);
            if above.role == Role::Sheet {
                self.of_sheet(above, j, member, &mut out);
                continue;
            }
            for found in self.onto(above.id, deep - 1) {
                let force = self.through(above, &found.piece, j);
                let mut path = found.path;
                path.push(member);
                let at = joint.carrier_at;
                let piece = Piece { from: at, to: at, force, centre: at };
                out.push(Found { what: found.what, path, piece });
            }
        }
        for load in self.state.on[member.index()].iter() {
            if let Some(clip) = load.by.filter(|&c| self.assembly.member(c).role == Role::Clip) {
                let path = vec![clip, member];
                out.push(Found { what: OWN.to_owned(), path, piece: piece(load) });
            }
        }
        out
    }

    /// Part of a piece on a member that goes down through one of its joints.
    fn through(&self, member: &Member, piece: &Piece, joint: JointId) -> f64 {
        let supports = self.carriers.of(member.id);
        if member.is_post() || member.role == Role::Sill {
            return piece.force / supports.len().max(1) as f64;
        }
        let live: Vec<JointId> = supports
            .iter()
            .copied()
            .filter(|j| self.state.lifting.binary_search(j).is_err())
            .collect();
        let Some(place) = live.iter().position(|&j| j == joint) else { return 0.0 };
        let mut stations: Vec<f64> =
            live.iter().map(|&j| self.assembly.joint(j).member_at).collect();
        if let ([only], true) = (&stations[..], self.stage.state(member.id).is_held()) {
            // Hands at the far end take their part.
            let far = if *only < 0.5 * member.length() { member.length() } else { 0.0 };
            let here = *only;
            stations.push(far);
            stations.sort_by(f64::total_cmp);
            let at = stations.iter().position(|s| *s == here).unwrap_or(0);
            return reactions(&stations, &[*piece])[at];
        }
        reactions(&stations, &[*piece]).get(place).copied().unwrap_or(0.0)
    }

    /// What a sheet hands to one carrier, source by source.
    fn of_sheet(&self, sheet: &Member, joint: JointId, to: MemberId, out: &mut Vec<Found>) {
        let supports = self.carriers.of(sheet.id);
        let mut add = |what: &str, sheet: &Member, loads: &[&SheetLoad]| {
            let down = hand_down(self.assembly, self.stage, sheet, supports, loads, 0.0);
            for (_, load) in down.to.iter().filter(|(j, l)| *j == joint && l.force != 0.0) {
                let path = vec![sheet.id, to];
                out.push(Found { what: what.to_owned(), path, piece: piece(load) });
            }
        };
        add(OWN, sheet, &[]);
        let bare = Member { weight: 0.0, ..sheet.clone() };
        for (what, load) in self.on_sheets.get(&sheet.id).into_iter().flatten() {
            add(what, &bare, &[load]);
        }
    }
}

fn piece(load: &BeamLoad) -> Piece {
    Piece { from: load.from, to: load.to, force: load.force, centre: load.centre }
}
