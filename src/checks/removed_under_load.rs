//! A member taken away while another hangs on it.

use super::support;
use super::{Source, StageContext};
use crate::assembly::MemberId;
use crate::criteria::model::Seen;
use crate::findings::{Observation, Severity};
use std::collections::BTreeMap;

crate::declare_hazard! {
    /// ## What it checks
    /// Whether a step takes a member away while something that is there still hangs or stands on it
    /// and has nothing else to carry it.
    ///
    /// ## Why it is dangerous
    /// What hung on it drops on whoever took it out, who stands right below.
    ///
    /// ## Example
    /// `tests/checks/removed_under_load/fires.ron`: a post taken out under a ledger that is still
    /// hooked to it.
    ///
    /// ## Limits
    /// What has another carrier left is judged as it then stands, by the other checks.
    ///
    /// ## Source
    /// 29 CFR 1926.703(e)(1): no removal before what is supported carries itself. WAC
    /// 296-155-689(5): overhead forms not released until braced or secured.
    pub static REMOVED_UNDER_LOAD = {
        code: "SW504",
        name: "removed-under-load",
        summary: "a member is taken away while another hangs on it",
        severity: Severity::Stop,
        follows: [],
        sources: [
            Source { title: "29 CFR 1926 Subpart Q", locator: "1926.703(e)(1)", seen: Seen::Memory },
            Source { title: "Washington Administrative Code", locator: "WAC 296-155-689(5)", seen: Seen::Print },
        ],
        check: check,
    }
}

fn check(ctx: &StageContext<'_>, out: &mut Vec<Observation>) {
    let assembly = ctx.assembly;
    let mut under: BTreeMap<MemberId, Vec<MemberId>> = BTreeMap::new();
    for &(removed, hanging) in &ctx.stage.removed_under {
        under.entry(removed).or_default().push(hanging);
    }
    for (removed, hanging) in under {
        let words: Vec<String> = hanging.iter().map(|&m| support::beam(assembly, m)).collect();
        let mut subjects = vec![assembly.name(removed).to_owned()];
        subjects.extend(hanging.iter().map(|&m| assembly.name(m).to_owned()));
        let mut seen = Observation::new(
            Severity::Stop,
            format!(
                "{} is taken away while {} still hangs on it",
                support::words::sentence(&support::beam(assembly, removed)),
                support::list(&words)
            ),
            subjects,
        );
        seen.cures.push(format!("take {} down first, or hold it", support::list(&words)));
        out.push(seen);
    }
}
