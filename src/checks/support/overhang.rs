//! What the three checks of an overhang share.

use super::super::StageContext;
use super::{beam, below, measure};
use crate::assembly::Role;
use crate::equilibrium::Tipping;
use crate::findings::{Dimension, Evidence, Motion, MovingMember, Severity};

/// Overhanging members other than sheets that lack reserve against tipping, hold-downs counted.
pub fn beams<'a>(ctx: &'a StageContext<'_>) -> impl Iterator<Item = &'a Tipping> {
    ctx.equilibrium
        .tipping
        .iter()
        .filter(|t| ctx.assembly.member(t.member).role != Role::Sheet)
        .filter(|t| below(t.factor, t.required))
        // What falls as it is, with nobody on it, is in `stage-unstable`.
        .filter(|t| !ctx.loads.no_path.contains(&t.member))
}

/// Force the clip may pass, newtons; none where it has no clip, or the clip's data is missing.
#[must_use]
pub fn clip_capacity(ctx: &StageContext<'_>, tipping: &Tipping) -> Option<f64> {
    let joint = ctx.assembly.joint(tipping.clip?);
    let part = &ctx.assembly.member(joint.clip?).part;
    ctx.assembly.library.clips.get(part).map(|c| c.uplift.si())
}

/// *Stop* where it goes by itself or under one worker; *fix first* where it takes more.
#[must_use]
pub fn severity(tipping: &Tipping) -> Severity {
    if below(tipping.factor_empty, 1.0) || below(tipping.factor_one_worker, 1.0) {
        Severity::Stop
    } else {
        Severity::FixFirst
    }
}

/// `tips by itself`, `tips with one worker on it`, `tips under the work on it`.
#[must_use]
pub fn when(tipping: &Tipping) -> &'static str {
    if below(tipping.factor_empty, 1.0) {
        "tips by itself"
    } else if below(tipping.factor_one_worker, 1.0) {
        "tips with one worker on it"
    } else if below(tipping.factor, 1.0) {
        "tips under the people and work on it"
    } else {
        "has too little reserve against tipping"
    }
}

/// How it goes: it turns about its support, the tip down.
#[must_use]
pub fn motion(ctx: &StageContext<'_>, tipping: &Tipping) -> Motion {
    let assembly = ctx.assembly;
    let member = assembly.member(tipping.member);
    let about = assembly.joint(tipping.fulcrum).member_at;
    let length = member.length();
    let outward =
        if (about - tipping.overhang).abs() < 1e-6 * length.max(1.0) { -1.0 } else { 1.0 };
    let largest = about.max(length - about).max(f64::MIN_POSITIVE);
    let up = |station: f64| [0.0, 0.0, -outward * (station - about) / largest];
    Motion {
        members: vec![MovingMember {
            name: member.name.clone(),
            first_end: up(0.0),
            second_end: up(length),
        }],
    }
}

/// Factor, limit, the working by hand, and the way it goes.
#[must_use]
pub fn evidence(ctx: &StageContext<'_>, tipping: &Tipping) -> Evidence {
    let factor =
        |what: &str, value: f64, limit| measure(what, value, Some(limit), true, Dimension::Ratio);
    let mut measures = vec![
        factor("tipping factor under the worst work on it", tipping.factor, tipping.required),
        factor("tipping factor with one worker at the tip", tipping.factor_one_worker, 1.0),
        factor("tipping factor with nobody on it", tipping.factor_empty, 1.0),
        measure("overhang", tipping.overhang, None, false, Dimension::Length),
        measure("back span", tipping.back_span, None, false, Dimension::Length),
    ];
    if tipping.hold_down > 0.0 && tipping.hold_down.is_finite() {
        measures.push(measure(
            "hold-down needed",
            tipping.hold_down,
            None,
            false,
            Dimension::Force,
        ));
    }
    measures.retain(|m| m.measured.is_finite());
    let motion =
        (ctx.assembly.member(tipping.member).role != Role::Sheet).then(|| motion(ctx, tipping));
    Evidence { measures, notes: tipping.working.clone(), motion, ..Evidence::default() }
}

/// Shared by all that is said of one overhang.
#[must_use]
pub fn cause(ctx: &StageContext<'_>, tipping: &Tipping) -> String {
    format!("overhang:{}", ctx.assembly.name(tipping.member))
}

/// `ledger L4–M4`.
#[must_use]
pub fn name(ctx: &StageContext<'_>, tipping: &Tipping) -> String {
    beam(ctx.assembly, tipping.member)
}
