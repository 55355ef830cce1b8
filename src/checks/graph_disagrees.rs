//! The restraint graph and the mechanics say different things of a post.

use super::support::{self, standing_posts};
use super::{Source, StageContext};
use crate::assembly::MemberId;
use crate::criteria::model::Seen;
use crate::findings::{Group, Observation, RemedyKind, Severity};
use crate::mechanics::Verdict;
use std::collections::BTreeSet;

crate::declare_hazard! {
    /// ## What it checks
    /// Whether the two ways of asking who holds a post agree. The graph follows parts from a post
    /// to a diagonal, a tie or a floor plate; the mechanics asks whether anything resists the
    /// motion. A post held by one and not by the other is named. If the mechanics could not decide,
    /// a post without a path is unknown.
    ///
    /// ## Why it is dangerous
    /// Counting parts is how bracing is judged by eye, and it misleads: a corner of a floor can have
    /// as many ledgers as any other and still turn as a whole. Where a rule of thumb and the
    /// mechanics part ways, somebody should look before trusting either.
    ///
    /// ## Example
    /// `tests/checks/graph_disagrees/fires.ron`: a bay with both diagonals and no ledger.
    ///
    /// ## Limits
    /// A note where the mechanics finds the post held: the mechanics decides. Posts it finds loose
    /// are reported by `post-not-held`.
    ///
    /// ## Source
    /// No published source: it compares two methods of this program.
    pub static GRAPH_DISAGREES = {
        code: "SW102",
        name: "graph-disagrees",
        summary: "the path of parts and the mechanics say different things of a post",
        severity: Severity::FixFirst,
        follows: ["SW101"],
        sources: [Source {
            title: "Standwell, design",
            locator: "the graph explains, the mechanics decides",
            seen: Seen::Practice,
        }],
        check: check,
    }
}

fn check(ctx: &StageContext<'_>, out: &mut Vec<Observation>) {
    let assembly = ctx.assembly;
    let loose: BTreeSet<MemberId> = ctx.loose.iter().flat_map(|g| g.posts.clone()).collect();
    let mut no_path: Vec<MemberId> = standing_posts(assembly, ctx.stage)
        .map(|m| m.id)
        .filter(|&id| !loose.contains(&id))
        .filter(|&id| ctx.restraint.holds_of(id).any(|h| h.path.is_empty()))
        .collect();
    no_path.sort_unstable();
    if !no_path.is_empty() {
        let who = support::posts(assembly, &no_path);
        let names = no_path.iter().map(|&p| assembly.name(p).to_owned()).collect();
        let mut seen = if let Verdict::Unknown(why) = &ctx.mechanics.mechanisms_certain {
            let mut seen = Observation::unknown(
                format!("Whether {who} is held is unknown: no path of parts is found"),
                names,
            );
            seen.evidence.notes.push(why.clone());
            seen.group = Group::Widens("unknown".to_owned());
            seen
        } else {
            let mut seen = Observation::new(
                Severity::Note,
                format!("{who}: held by the mechanics, though no straight path of parts is found"),
                names,
            );
            seen.group = Group::Widens("held without path".to_owned());
            seen
        };
        seen.cure(
            "look how it is held, and add a diagonal or tie if in doubt",
            &[RemedyKind::Brace, RemedyKind::Tie],
        );
        out.push(seen);
    }
    for group in ctx.loose.iter().filter(|g| !g.graph_holds.is_empty()) {
        let mut seen = Observation::new(
            Severity::Note,
            format!(
                "{}: a path of parts is there, yet all of it moves",
                support::posts(assembly, &group.graph_holds)
            ),
            group.graph_holds.iter().map(|&p| assembly.name(p).to_owned()).collect(),
        );
        seen.cause = Some(group.cause(assembly));
        seen.group = Group::Joins(group.axes());
        seen.evidence.motion = Some(ctx.mechanics.mechanisms[group.mechanism].motion.clone());
        out.push(seen);
    }
}
