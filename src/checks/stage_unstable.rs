//! A stage below its required critical load factor, or with parts other than posts adrift.

use super::support::{self, measure};
use super::{Source, StageContext};
use crate::assembly::{MemberId, Role};
use crate::criteria::model::Seen;
use crate::findings::{Dimension, Group, Observation, RemedyKind, Severity};
use crate::mechanics::Verdict;

crate::declare_hazard! {
    /// ## What it checks
    /// Whether the stage, under its own loads and the greatest of notional lateral, wind and a
    /// worker's push at the heads, stays standing up to the required multiple of those loads; and
    /// whether anything but a post moves freely or has too little to carry it. The finding begins at the step that made it so and
    /// ends at the first step that cures it.
    ///
    /// ## Why it is dangerous
    /// A frame that is held only just gives way sideways under a load that each of its posts could
    /// carry many times over: a gust, a bundle set down hard, a man leaning on a post.
    ///
    /// ## Example
    /// `tests/checks/stage_unstable/fires.ron`: a stack over tall posts that buckle at less than
    /// three times its weight.
    ///
    /// ## Limits
    /// Elastic, with feet free to turn, in the contact state stated with it. Lean, play in the tubes
    /// and bow are in `post-yields`, not here.
    ///
    /// ## Source
    /// The required factor is the criteria pack's. Timoshenko and Gere, Theory of Elastic Stability,
    /// chapter 2, for the critical load of frames.
    pub static STAGE_UNSTABLE = {
        code: "SW301",
        name: "stage-unstable",
        summary: "the stage is unstable, or below its required critical load factor",
        severity: Severity::Stop,
        follows: ["SW101", "SW501", "SW504", "SW701"],
        sources: [Source {
            title: "Timoshenko and Gere, Theory of Elastic Stability",
            locator: "chapter 2",
            seen: Seen::Memory,
        }],
        check: check,
    }
}

fn check(ctx: &StageContext<'_>, out: &mut Vec<Observation>) {
    adrift(ctx, out);
    falling(ctx, out);
    if ctx.mechanics.critical == Verdict::NotMet {
        below(ctx, out);
    }
}

/// Free motions in which no post with its hands off takes part.
fn adrift(ctx: &StageContext<'_>, out: &mut Vec<Observation>) {
    let assembly = ctx.assembly;
    for mechanism in &ctx.mechanics.mechanisms {
        let explained =
            mechanism.members.iter().any(|m| ctx.loose.iter().any(|g| g.posts.contains(m)));
        if explained {
            continue;
        }
        let names: Vec<String> =
            mechanism.members.iter().map(|&m| assembly.name(m).to_owned()).collect();
        let words: Vec<String> =
            mechanism.members.iter().map(|&m| support::beam(assembly, m)).collect();
        let mut seen = Observation::new(
            Severity::Stop,
            format!(
                "{} can move freely: nothing resists it",
                support::words::sentence(&support::list(&words))
            ),
            names,
        );
        seen.group = Group::Joins("adrift".to_owned());
        seen.evidence.motion = Some(mechanism.motion.clone());
        seen.cure("fix its joints, or keep it in hand", &[RemedyKind::Fix, RemedyKind::Hold]);
        out.push(seen);
    }
}

/// Members with their hands off that nothing carries, or that turn off what carries them. Posts
/// are in `post-on-nothing`.
fn falling(ctx: &StageContext<'_>, out: &mut Vec<Observation>) {
    let assembly = ctx.assembly;
    for &id in &ctx.loads.no_path {
        let member = assembly.member(id);
        if !ctx.stage.stands(id) || member.is_post() {
            continue;
        }
        let name = support::words::sentence(&support::beam(assembly, id));
        let loose_end =
            matches!(member.role, Role::Brace | Role::PlanBrace | Role::TieIn | Role::Clip);
        let mut seen = if loose_end {
            Observation::new(
                Severity::FixFirst,
                format!("{name} is there and not connected: it holds nothing and can fall"),
                vec![member.name.clone()],
            )
        } else {
            Observation::new(
                Severity::Stop,
                format!("{name} falls: what carries it is not enough"),
                vec![member.name.clone()],
            )
        };
        let words = if loose_end {
            "connect both its ends, or keep it in hand"
        } else {
            "put a post or bearer under its free end, or hold it"
        };
        seen.cure(words, &[RemedyKind::Fix, RemedyKind::Hold]);
        out.push(seen);
    }
}

fn below(ctx: &StageContext<'_>, out: &mut Vec<Observation>) {
    let assembly = ctx.assembly;
    let mechanics = ctx.mechanics;
    let posts: Vec<MemberId> =
        mechanics.mode_members.iter().copied().filter(|&m| assembly.member(m).is_post()).collect();
    let who = if posts.is_empty() {
        "the stage".to_owned()
    } else {
        format!("posts {}", support::posts(assembly, &posts))
    };
    let required = mechanics.required_factor;
    let (severity, headline) = match mechanics.lowest_factor {
        Some(factor) if factor < 1.0 => (
            Severity::Stop,
            format!("Unstable: {who} buckle or sway at {factor:.2} times the present load"),
        ),
        Some(factor) => (
            Severity::FixFirst,
            format!(
                "{} buckle or sway at {factor:.2} times the load; {required:.2} is required",
                support::words::sentence(&who)
            ),
        ),
        None => (
            Severity::Stop,
            format!(
                "Below the required critical load factor of {required:.2}: how far is not known"
            ),
        ),
    };
    let subjects = posts.iter().map(|&p| assembly.name(p).to_owned()).collect();
    let mut seen = Observation::new(severity, headline, subjects);
    seen.sample_data = assembly.library.sample;
    seen.group = if posts.is_empty() {
        Group::Widens("whole stage".to_owned())
    } else {
        Group::Joins("critical".to_owned())
    };
    seen.cause = cause(ctx, &mechanics.mode_members);
    if let Some(factor) = mechanics.lowest_factor {
        seen.evidence.measures.push(measure(
            "critical load factor",
            factor,
            Some(required),
            true,
            Dimension::Ratio,
        ));
    }
    seen.evidence.motion.clone_from(&mechanics.mode);
    seen.others = mechanics
        .mode_members
        .iter()
        .filter(|m| !posts.contains(m))
        .map(|&m| assembly.name(m).to_owned())
        .collect();
    seen.cure("brace a bay of the lines that sway, or use a stiffer brace", &[RemedyKind::Brace]);
    seen.cures.push("take load off until then".to_owned());
    seen.sources.push(support::rule(ctx, &ctx.pack.critical_factor));
    out.push(seen);
}

/// The cause of the loose group that the members belong to.
pub(super) fn cause(ctx: &StageContext<'_>, members: &[MemberId]) -> Option<String> {
    let overlap = |g: &&support::LooseGroup| g.posts.iter().any(|p| members.contains(p));
    ctx.loose.iter().find(overlap).map(|g| g.cause(ctx.assembly))
}
