//! Overhangs that pull on one post together lift it.

use super::support::{self, list, measure, overhang};
use super::{Source, StageContext};
use crate::assembly::Role;
use crate::criteria::model::Seen;
use crate::findings::{Dimension, Observation, RemedyKind, Severity};

crate::declare_hazard! {
    /// ## What it checks
    /// Overhangs whose hold-downs pull on the same post: whether what keeps that post down is enough
    /// for all of them at once, without people and with the pack's worst on one of them.
    ///
    /// ## Why it is dangerous
    /// Each overhang was reckoned with all of the post's weight behind it. Loaded together they
    /// spend it twice; the post comes up, and both of them go.
    ///
    /// ## Example
    /// `tests/checks/post_pulled_up/fires.ron`: two bays wide, the ledgers overhang at both edges,
    /// and both are clipped down to the post between them.
    ///
    /// ## Limits
    /// What keeps the post down is what certainly stands on it at this stage. An overhang that lacks
    /// reserve by itself is `cantilever-tips` or `clip-on-light-post` and is not said again here.
    ///
    /// ## Source
    /// Equilibrium of the post and moments about the outer supports. O. Reg. 213/91, s. 87: no uplift
    /// of the system. The required reserve is the criteria pack's.
    pub static POST_PULLED_UP = {
        code: "SW407",
        name: "post-pulled-up",
        summary: "overhangs that are held down by one post together lift it",
        severity: Severity::Stop,
        follows: ["SW402", "SW403"],
        sources: [Source { title: "Ontario Regulation 213/91", locator: "s. 87", seen: Seen::Print }],
        check: check,
    }
}

fn check(ctx: &StageContext<'_>, out: &mut Vec<Observation>) {
    let assembly = ctx.assembly;
    let alone: Vec<_> = overhang::beams(ctx).map(|t| t.member).collect();
    for shared in &ctx.equilibrium.shared {
        if !support::below(shared.factor, shared.required)
            || shared.beams.iter().any(|b| alone.contains(b))
        {
            continue;
        }
        let severity =
            if support::below(shared.factor, 1.0) { Severity::Stop } else { Severity::FixFirst };
        let posts = if shared.lifted.is_empty() { &shared.posts } else { &shared.lifted };
        let mut subjects: Vec<String> =
            posts.iter().chain(&shared.beams).map(|&m| assembly.name(m).to_owned()).collect();
        subjects.dedup();
        let mut seen = Observation::new(
            severity,
            format!(
                "{} overhangs together lift post {}: reserve {:.2}, {:.2} due",
                shared.beams.len(),
                support::posts(assembly, posts),
                shared.factor,
                shared.required
            ),
            subjects,
        );
        seen.evidence.measures.push(measure(
            "factor on all that turns them",
            shared.factor,
            Some(shared.required),
            true,
            Dimension::Ratio,
        ));
        let beams: Vec<String> = shared.beams.iter().map(|&b| support::beam(assembly, b)).collect();
        seen.evidence.notes.push(format!("Both pull on it: {}.", list(&beams)));
        seen.evidence.notes.push(match shared.peopled {
            Some(member) => format!("With people on {}.", support::beam(assembly, member)),
            None => "With nobody on them.".to_owned(),
        });
        seen.evidence.motion = Some(shared.motion.clone());
        seen.others = shared
            .posts
            .iter()
            .filter(|p| !posts.contains(p) && assembly.member(**p).role == Role::Post)
            .map(|&p| assembly.name(p).to_owned())
            .collect();
        seen.sample_data = assembly.library.sample;
        seen.cure("prop the overhangs under their tips", &[RemedyKind::Prop]);
        seen.cures.push("anchor the post to the floor, or load one side only".to_owned());
        seen.sources.push(support::rule(ctx, &ctx.pack.overturning));
        out.push(seen);
    }
}
