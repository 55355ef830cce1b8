//! Sheets that end past their last joist: one worker at the edge.

use super::bars::factor;
use super::tipping::balance;
use super::{Context, LEAST_OVERHANG, StageEquilibrium, Tipping};
use crate::assembly::Member;
use crate::loads::beam::Piece;
use crate::loads::sheet_supports;

/// Nothing but the sheet's own weight counts on either side: loads that lie on the sheet come and
/// go, and nails are not relied on against lifting. True where it ends at its supports: then there is
/// nothing to say of it, whatever lies on it.
pub(super) fn judge(ctx: &Context<'_>, sheet: &Member, out: &mut StageEquilibrium) -> bool {
    let Some(across) = sheet_supports(ctx.assembly, ctx.stage, sheet.id) else {
        out.unknown.push((sheet.id, format!("{} rests on nothing", sheet.name)));
        return false;
    };
    let (Some((first, _)), Some((last, _))) = (across.lines.first(), across.lines.last()) else {
        return false;
    };
    let (low, high) = across.edges;
    let ends = [(*first, -1.0, first - low, 0), (*last, 1.0, high - last, across.lines.len() - 1)];
    let mut found: Vec<Tipping> = Vec::new();
    let mut covered = true;
    for (at, outward, overhang, line) in ends {
        let Some(&fulcrum) = across.lines[line].1.first() else { continue };
        if overhang < LEAST_OVERHANG {
            continue;
        }
        covered = false;
        if let Some(why) = ctx.unknown_weight(sheet.id) {
            out.unknown.push((sheet.id, why));
            return false;
        }
        let own = Piece { from: low, to: high, force: sheet.weight, centre: 0.5 * (low + high) };
        let empty = balance(&[own], at, outward);
        let worker = ctx.pack.worker_weight.value.si();
        let one = empty.with(worker * overhang, 0.0);
        let required = ctx.pack.overturning.value;
        let back_span = last - first;
        let unit = ctx.assembly.scene.units;
        found.push(Tipping {
            member: sheet.id,
            fulcrum,
            overhang,
            back_span,
            overturning: one.overturning,
            stabilising: one.stabilising,
            factor_empty: empty.factor(),
            factor_one_worker: one.factor(),
            factor: one.factor(),
            factor_unheld: one.factor(),
            required,
            clip: None,
            hold_down: one.hold_down(back_span, required),
            hold_down_to_balance: one.hold_down(back_span, 1.0),
            held_by: 0.0,
            clip_post: None,
            post_weight: 0.0,
            joined_in_tension: false,
            people: vec![(overhang, worker)],
            access: None,
            couple: 0.0,
            working: vec![
                format!("It ends {} past its last support.", unit.length(overhang)),
                format!(
                    "Its own weight holds with {}; with one worker of {} at its edge {} turn it.",
                    unit.moment(one.stabilising),
                    unit.force(worker),
                    unit.moment(one.overturning)
                ),
                format!(
                    "With nobody on it {}, one worker {} (required {}).",
                    factor(unit, empty.factor()),
                    factor(unit, one.factor()),
                    unit.ratio(required)
                ),
            ],
        });
    }
    if across.lines.len() == 1 && found.len() == 2 {
        found.sort_by(|a, b| a.factor.total_cmp(&b.factor));
        found.truncate(1);
    }
    out.tipping.append(&mut found);
    covered
}
