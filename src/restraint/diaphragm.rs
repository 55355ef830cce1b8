//! Bays whose deck acts as a plate in plan: nailed sheets on fixed joists in locked heads.

use crate::assembly::{Assembly, DeckBay, JointKind, MemberId, Role};
use crate::equipment::model::Diaphragm;
use crate::loads::passes;
use crate::sequence::Stage;

/// Bays that keep their shape.
///
/// All of it must be so, or the bay counts as weight: every sheet the bay will ever have is there,
/// undamaged, nailed, of a part with a stated nailing and stiffness; what the sheets lie on is
/// fixed along itself at both ends; the heads it hangs in are locked where they have a lock.
pub(crate) fn bays<'a>(
    assembly: &'a Assembly,
    stage: &'a Stage,
) -> impl Iterator<Item = &'a DeckBay> {
    assembly.deck_bays.iter().filter(move |bay| keeps(assembly, stage, bay))
}

/// Whether a bay keeps its shape.
pub(crate) fn keeps(assembly: &Assembly, stage: &Stage, bay: &DeckBay) -> bool {
    bay.sheets.iter().all(|s| stage.nailed[s.index()])
        && bay.sheets.iter().all(|&s| fixed_sheet(assembly, stage, s))
}

/// Stiffness of a bay's deck in shear: the softest of its sheets'; newtons per metre.
pub(crate) fn stiffness(assembly: &Assembly, bay: &DeckBay) -> f64 {
    least(assembly, bay, |d| d.stiffness.si())
}

/// Shear per width that the nailing of a bay's weakest sheet carries, newtons per metre.
pub(crate) fn shear(assembly: &Assembly, bay: &DeckBay) -> f64 {
    least(assembly, bay, |d| d.shear.si())
}

/// The most that a bay's deck passes from corner to corner before its nails are at their stated
/// shear: that shear, times the diagonal. Newtons.
pub(crate) fn corner_force(assembly: &Assembly, bay: &DeckBay) -> f64 {
    let [a, b] = bay.corners.map(|c| assembly.member(c).ends[1]);
    shear(assembly, bay) * (b - a).norm()
}

/// The least over a bay's sheets; nothing where one states none.
fn least(assembly: &Assembly, bay: &DeckBay, of: impl Fn(&Diaphragm) -> f64) -> f64 {
    let part = |&s: &MemberId| {
        let part = assembly.library.sheets.get(&assembly.member(s).part)?;
        part.diaphragm.as_ref().map(&of)
    };
    bay.sheets.iter().map(|s| part(s).unwrap_or(0.0)).fold(f64::INFINITY, f64::min)
}

fn fixed_sheet(assembly: &Assembly, stage: &Stage, sheet: MemberId) -> bool {
    let member = assembly.member(sheet);
    let stated = assembly.library.sheets.get(&member.part).is_some_and(|s| s.diaphragm.is_some());
    if !stated || member.damaged || !stage.stands(sheet) {
        return false;
    }
    let mut rests = 0;
    for &j in assembly.joints_of(sheet) {
        let joint = assembly.joint(j);
        if joint.member != sheet || joint.kind != JointKind::Rest {
            continue;
        }
        let Some(under) = joint.carrier else { continue };
        if passes(assembly, stage, j).is_none() || !fixed_bar(assembly, stage, under) {
            return false;
        }
        rests += 1;
    }
    rests >= 2
}

/// A joist or ledger in its heads, or a filler on such ledgers, all fixed along themselves.
fn fixed_bar(assembly: &Assembly, stage: &Stage, bar: MemberId) -> bool {
    if assembly.member(bar).damaged || !stage.stands(bar) {
        return false;
    }
    let mut fixed = 0;
    for &j in assembly.joints_of(bar) {
        let joint = assembly.joint(j);
        if joint.member != bar || !matches!(joint.kind, JointKind::Head | JointKind::Rest) {
            continue;
        }
        let Some(under) = joint.carrier else { continue };
        let along = passes(assembly, stage, j).is_some_and(|p| p.along);
        let carried = match joint.kind {
            JointKind::Head => {
                let locks = assembly.head_of(under).is_some_and(|h| h.locks);
                stage.stands(under) && (!locks || stage.head_locked[under.index()])
            }
            _ => assembly.member(under).role != Role::Filler && fixed_bar(assembly, stage, under),
        };
        if !along || !carried {
            return false;
        }
        fixed += 1;
    }
    fixed >= 2
}
