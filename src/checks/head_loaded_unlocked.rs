//! A head loaded before its lock is home.

use super::support;
use super::{Source, StageContext};
use crate::assembly::MemberId;
use crate::criteria::model::Seen;
use crate::findings::{Observation, Severity};
use std::collections::{BTreeMap, BTreeSet};

crate::declare_hazard! {
    /// ## What it checks
    /// Whether load is put on a head whose lock is not home. It stays a finding until the lock is
    /// home or the load is off again.
    ///
    /// ## Why it is dangerous
    /// A drop head that is not locked is held up by friction in its wedge. It lets go under load,
    /// all at once, and drops what lies on it by the height of the head.
    ///
    /// ## Example
    /// `tests/checks/head_loaded_unlocked/fires.ron`: fillers laid on ledgers whose heads are not
    /// locked.
    ///
    /// ## Limits
    /// Ledgers and joists that hang in the head as part of erecting it do not count as load.
    ///
    /// ## Source
    /// 29 CFR 1926.703(b)(6): shore heads and extension devices secured when necessary.
    pub static HEAD_LOADED_UNLOCKED = {
        code: "SW507",
        name: "head-loaded-unlocked",
        summary: "load is put on a head whose lock is not home",
        severity: Severity::Stop,
        follows: [],
        sources: [Source { title: "29 CFR 1926 Subpart Q", locator: "1926.703(b)(6)", seen: Seen::Memory }],
        check: check,
    }
}

fn check(ctx: &StageContext<'_>, out: &mut Vec<Observation>) {
    let assembly = ctx.assembly;
    let mut loaded: BTreeMap<MemberId, BTreeSet<MemberId>> = BTreeMap::new();
    let now = ctx.stage.index;
    for stage in ctx.sequence.stages.iter().take(now).chain([ctx.stage]) {
        for &(post, on) in &stage.loaded_unlocked {
            loaded.entry(post).or_default().insert(on);
        }
        loaded.retain(|post, _| {
            stage.index == now
                || (!stage.head_locked[post.index()] && stage.state(*post).is_there())
        });
    }
    for (post, on) in loaded {
        let there: Vec<MemberId> =
            on.into_iter().filter(|&m| ctx.stage.state(m).is_there()).collect();
        let locked_since = ctx.stage.head_locked[post.index()]
            && !ctx.stage.loaded_unlocked.iter().any(|(p, _)| *p == post);
        if there.is_empty() || locked_since || !ctx.stage.state(post).is_there() {
            continue;
        }
        let mut seen = Observation::new(
            Severity::Stop,
            format!(
                "Head of post {} is loaded and its lock is not home",
                support::short(assembly, post)
            ),
            vec![assembly.name(post).to_owned()],
        );
        seen.others = there.iter().map(|&m| assembly.name(m).to_owned()).collect();
        let words: Vec<String> = there.iter().map(|&m| support::beam(assembly, m)).collect();
        seen.evidence
            .notes
            .push(format!("{} was put on it.", support::words::sentence(&support::list(&words))));
        seen.cures.push("take the load off, and push the lock home before loading".to_owned());
        out.push(seen);
    }
}
