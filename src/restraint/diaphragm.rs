//! Bays whose deck acts as a plate in plan: nailed sheets on fixed joists in locked heads.

use crate::assembly::{Assembly, JointKind, MemberId, Role};
use crate::loads::passes;
use crate::sequence::Stage;
use std::collections::BTreeMap;

/// Share of a bay that its nailed sheets must cover.
const COVERED: f64 = 0.9;

/// Bays that keep their shape, as the posts at two opposite corners and the sheets between them.
///
/// All of it must be so, or the bay counts as weight: every sheet the bay will ever have is there,
/// undamaged, nailed, of a part with a stated nailing; what the sheets lie on is fixed along itself
/// at both ends; the heads it hangs in are locked where they have a lock.
pub(super) fn bays(assembly: &Assembly, stage: &Stage) -> Vec<(MemberId, MemberId, Vec<MemberId>)> {
    if !stage.nailed.iter().any(|&n| n) {
        return Vec::new();
    }
    let mut bays: BTreeMap<(&str, &str, &str), Vec<MemberId>> = BTreeMap::new();
    for member in &assembly.members {
        if let (Role::Sheet, Some(block), Some((a, b))) = (member.role, &member.block, &member.grid)
        {
            bays.entry((block, a, b)).or_default().push(member.id);
        }
    }
    bays.into_iter()
        .filter(|(_, sheets)| sheets.iter().all(|&s| fixed_sheet(assembly, stage, s)))
        .filter_map(|((block, a, b), sheets)| {
            let post = |at: &str| assembly.find(&format!("{block}.post.{at}"));
            let (a, b) = (post(a)?, post(b)?);
            (a != b && covers(assembly, a, b, &sheets)).then_some((a, b, sheets))
        })
        .collect()
}

fn covers(assembly: &Assembly, a: MemberId, b: MemberId, sheets: &[MemberId]) -> bool {
    let axis = crate::loads::axis_of(assembly, assembly.member(a));
    let size = |p: &crate::assembly::model::Point, q: &crate::assembly::model::Point| {
        let d = q - p;
        let (u, v) = (d.x * axis[0] + d.y * axis[1], d.y * axis[0] - d.x * axis[1]);
        (u * v).abs()
    };
    let bay = size(&assembly.member(a).ends[1], &assembly.member(b).ends[1]);
    let sheets: f64 =
        sheets.iter().map(|&s| assembly.member(s)).map(|s| size(&s.ends[0], &s.ends[1])).sum();
    bay > 0.0 && sheets >= COVERED * bay
}

fn fixed_sheet(assembly: &Assembly, stage: &Stage, sheet: MemberId) -> bool {
    let member = assembly.member(sheet);
    let stated =
        assembly.library.sheets.get(&member.part).is_some_and(|s| s.diaphragm_nailing.is_some());
    if !stated || member.damaged || !stage.stands(sheet) || !stage.nailed[sheet.index()] {
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
