//! Part of the layout that could not be made.

use super::support;
use super::{Source, StageContext};
use crate::criteria::model::Seen;
use crate::findings::{Group, Observation, Severity};

crate::declare_hazard! {
    /// ## What it checks
    /// What the scene asks for and could not be laid out: a bay for which no ledger fits, a post
    /// outside its reach, an overhang longer than its part allows.
    ///
    /// ## Why it is dangerous
    /// What is not laid out is not judged. On site something will be put there all the same.
    ///
    /// ## Example
    /// `tests/checks/layout_problem/fires.ron`: a bay an inch wider than its ledger.
    ///
    /// ## Limits
    /// Says what could not be made, and not what would happen with the part that is then used.
    ///
    /// ## Source
    /// 29 CFR 1926.703(a)(2): drawings of the layout at the jobsite. What is not on them has not been
    /// designed.
    pub static LAYOUT_PROBLEM = {
        code: "SW509",
        name: "layout-problem",
        summary: "part of the layout could not be made and is not judged",
        severity: Severity::FixFirst,
        follows: [],
        sources: [Source { title: "29 CFR 1926 Subpart Q", locator: "1926.703(a)(2)", seen: Seen::Memory }],
        check: check,
    }
}

fn check(ctx: &StageContext<'_>, out: &mut Vec<Observation>) {
    let assembly = ctx.assembly;
    for problem in &assembly.problems {
        let there = problem.members.is_empty()
            || problem.members.iter().any(|&m| ctx.stage.state(m).is_there());
        if !there {
            continue;
        }
        let mut seen = Observation::unknown(
            support::words::sentence(&problem.what),
            problem.members.iter().map(|&m| assembly.name(m).to_owned()).collect(),
        );
        if problem.members.is_empty() {
            seen.group = Group::Widens(problem.what.clone());
        }
        seen.cures.push("change the layout, or name a part that fits".to_owned());
        out.push(seen);
    }
}
