//! A head loaded before its lock is home.

use super::support;
use super::{Source, StageContext};
use crate::assembly::MemberId;
use crate::criteria::model::Seen;
use crate::findings::{Group, Observation, Severity};
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
    // By step at which it was loaded: posts still unlocked since, with what was put on them.
    let mut loaded: BTreeMap<(usize, MemberId), BTreeSet<MemberId>> = BTreeMap::new();
    let earlier = ctx.sequence.stages.iter().take(ctx.stage.index);
    for stage in earlier.chain([ctx.stage]) {
        loaded.retain(|(_, post), _| {
            !stage.head_locked[post.index()] && stage.state(*post).is_there()
        });
        for &(post, on) in &stage.loaded_unlocked {
            if !loaded.keys().any(|(at, p)| *p == post && *at < stage.index) {
                loaded.entry((stage.index, post)).or_default().insert(on);
            }
        }
    }
    let mut steps: BTreeMap<usize, Vec<(MemberId, BTreeSet<MemberId>)>> = BTreeMap::new();
    for ((at, post), mut on) in loaded {
        on.retain(|&m| ctx.stage.state(m).is_there());
        if !on.is_empty() && ctx.stage.state(post).is_there() {
            steps.entry(at).or_default().push((post, on));
        }
    }
    for (at, heads) in steps {
        let posts: Vec<MemberId> = heads.iter().map(|(post, _)| *post).collect();
        let on: BTreeSet<MemberId> = heads.iter().flat_map(|(_, on)| on.iter().copied()).collect();
        let words: Vec<String> = on.iter().map(|&m| support::beam(assembly, m)).collect();
        let who = support::posts(assembly, &posts);
        let headline = if posts.len() == 1 {
            format!("Head of post {who} is loaded and its lock is not home")
        } else {
            format!("Heads of posts {who} are loaded and their locks are not home")
        };
        let names = posts.iter().map(|&p| assembly.name(p).to_owned()).collect();
        let mut seen = Observation::new(Severity::Stop, headline, names);
        seen.group = Group::Widens(format!("loaded at {at}"));
        seen.others = on.iter().map(|&m| assembly.name(m).to_owned()).collect();
        seen.evidence.notes.push(format!(
            "{} {} put on while the lock was open.",
            support::words::sentence(&support::list(&words)),
            if words.len() == 1 { "was" } else { "were" }
        ));
        seen.cures.push("take the load off, and push the lock home before loading".to_owned());
        out.push(seen);
    }
}
