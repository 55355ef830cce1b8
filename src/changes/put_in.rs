//! The actions that put a member in and fix it.

use crate::assembly::{Assembly, JointKind, MemberId, Role};
use crate::scene::lines::{Grid, GridPoint};
use crate::scene::model::{Action, Block};
use crate::sequence::machine::{Machine, bears};
use crate::sequence::trouble::Trouble;

/// Puts a member in and fixes it, as one does it by hand.
pub(super) fn actions(assembly: &Assembly, id: MemberId) -> Vec<Action> {
    let name = || assembly.name(id).to_owned();
    match assembly.member(id).role {
        Role::Brace | Role::PlanBrace => vec![Action::Set(name()), Action::Connect(name())],
        Role::TieIn => vec![Action::Set(name()), Action::TieIn(name())],
        Role::Clip => vec![Action::Clip(name())],
        Role::Ledger | Role::Joist | Role::DropBeam | Role::Filler => {
            let locks = carriers(assembly, id)
                .into_iter()
                .any(|post| assembly.head_of(post).is_some_and(|h| h.locks || h.hung != h.locked));
            let mut all = vec![Action::Set(name())];
            all.extend(locks.then(|| Action::Lock(name())));
            all
        }
        Role::Post | Role::Prop | Role::Sill | Role::Sheet => vec![Action::Set(name())],
    }
}

/// What a member is carried by or fixed to; for a clip, the beam and the post it is between.
pub(super) fn carriers(assembly: &Assembly, id: MemberId) -> Vec<MemberId> {
    let joints = || assembly.joints.iter();
    if assembly.member(id).role == Role::Clip {
        return joints()
            .filter(|j| j.clip == Some(id))
            .flat_map(|j| std::iter::once(j.member).chain(j.carrier))
            .collect();
    }
    let own = assembly.joints_of(id).iter().map(|&j| assembly.joint(j));
    own.filter(|j| j.member == id && j.kind != JointKind::Clip).filter_map(|j| j.carrier).collect()
}

/// Whether what a member meets is there; else what is missing.
pub(super) fn meets(
    machine: &Machine<'_>,
    assembly: &Assembly,
    id: MemberId,
) -> Result<(), Trouble> {
    let needed = carriers(assembly, id);
    let has_ground = assembly.joints_of(id).iter().any(|&j| {
        let joint = assembly.joint(j);
        joint.member == id && bears(joint.kind) && joint.carrier.is_none()
    });
    let name = assembly.name(id);
    if needed.is_empty() && !has_ground {
        return Err(Trouble::new(format!("\"{name}\" meets nothing that could carry it"))
            .help("its ends must lie where they meet another member, within the tolerance"));
    }
    match needed.into_iter().find(|&c| !machine.there(c)) {
        None => Ok(()),
        Some(missing) => Err(Trouble::new(format!(
            "\"{name}\" cannot be put in there: {} is not there yet",
            assembly.name(missing)
        ))
        .help("name a later step")),
    }
}

/// The bays of a run as pairs of neighbouring grid points.
pub(super) fn bays(block: &Block, run: &str) -> Result<Vec<(String, String)>, Trouble> {
    let wrong = |e: crate::scene::LinesError| Trouble::new(e.to_string());
    let grid = Grid::of(block).map_err(wrong)?;
    let (a, b) = grid.straight(run).map_err(wrong)?;
    let name = |x: usize, y: usize| grid.name(GridPoint { x, y }).unwrap_or_default();
    Ok(if a.y == b.y {
        (a.x..b.x).map(|x| (name(x, a.y), name(x + 1, a.y))).collect()
    } else {
        (a.y..b.y).map(|y| (name(a.x, y), name(a.x, y + 1))).collect()
    })
}
