//! A post that yields once lean, play and sway are counted in.

use super::support::{self, below, measure, units, words};
use super::{Source, StageContext};
use crate::assembly::MemberId;
use crate::criteria::model::Seen;
use crate::findings::{Dimension, Group, Observation, RemedyKind, Severity};
use crate::mechanics::{PostStrength, Strength};
use std::collections::BTreeMap;

crate::declare_hazard! {
    /// ## What it checks
    /// Each standing post in each direction, second order: out of plumb, tubes askew by their play,
    /// bowed, loaded off the axis of its head, with the notional share or wind at the heads and a
    /// worker's push on every line, all multiplied by the pack's factor on yield. Its outermost
    /// fibre must not yield: N/(A·fy) + M/(W·fy) at most 1.
    ///
    /// ## Why it is dangerous
    /// A post that leans bends, what bends leans more, and a post that begins to yield has no
    /// stiffness left to stop at. A stage may stand well below its elastic critical load and still
    /// have no strength for how it really stands.
    ///
    /// ## Example
    /// `tests/checks/post_yields/fires.ron`: a bundle over one post, whose tubes come near yield at
    /// its lean.
    ///
    /// ## Limits
    /// Elastic up to first yield; welds, dents, pins and the tubes' ends are not in it. A foot turns
    /// freely and bears on its axis. Use close to 1 is a *watch*, above it *fix first*, what yields at
    /// the load itself a *stop*. What stands the lateral load upright and goes over once every post
    /// leans that way is a *watch*: no code seen asks for both in full. A post whose data do not state
    /// what is needed is unknown.
    ///
    /// ## Source
    /// The pack's out-of-plumb, head eccentricity, play, bow and factor. EN 1993-1-1 6.2.1(7), linear
    /// sum of utilisations. Timoshenko and Gere, Theory of Elastic Stability, chapter 1.
    pub static POST_YIELDS = {
        code: "SW221",
        name: "post-yields",
        summary: "a post yields once lean, play and sway are counted in",
        severity: Severity::Stop,
        follows: ["SW202", "SW301", "SW302"],
        sources: [
            Source { title: "EN 1993-1-1", locator: "6.2.1(7)", seen: Seen::Memory },
            Source {
                title: "Timoshenko and Gere, Theory of Elastic Stability",
                locator: "chapter 1",
                seen: Seen::Memory,
            },
        ],
        check: check,
    }
}

/// How near to yield.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Level {
    Near,
    Over,
    AtOnce,
}

fn check(ctx: &StageContext<'_>, out: &mut Vec<Observation>) {
    let strength = &ctx.mechanics.strength;
    let posts = strength.posts.whole();
    let mut groups: BTreeMap<(Level, &str), Vec<&PostStrength>> = BTreeMap::new();
    for of_post in posts.chunk_by(|a, b| a.post == b.post) {
        let Some(worst) = of_post.iter().max_by(|a, b| a.usage.total_cmp(&b.usage)) else {
            continue;
        };
        // What is not a number is never good enough.
        let level = if worst.usage < ctx.pack.use_of_capacity.value {
            continue;
        } else if worst.usage <= 1.0 + 1e-9 {
            Level::Near
        } else if below(worst.usage, strength.factor) {
            Level::Over
        } else {
            Level::AtOnce
        };
        let part = ctx.assembly.member(worst.post).part.as_str();
        groups.entry((level, part)).or_default().push(worst);
    }
    for ((level, part), posts) in groups {
        out.extend(yields(ctx, strength, level, part, &posts));
    }
    sways_out(ctx, strength, out);
    let mut why: BTreeMap<&str, Vec<MemberId>> = BTreeMap::new();
    for (post, reason) in &strength.unknown {
        why.entry(reason).or_default().push(*post);
    }
    for (reason, posts) in why {
        let mut seen = Observation::unknown(
            format!(
                "Strength with lean and sway unknown: {}",
                support::posts(ctx.assembly, &posts)
            ),
            posts.iter().map(|&p| ctx.assembly.name(p).to_owned()).collect(),
        );
        seen.group = Group::Widens(format!("unknown: {reason}"));
        seen.evidence.notes.push(words::sentence(reason));
        seen.cures.push("state what is missing in the equipment file".to_owned());
        seen.cures.push("have it judged another way before going on".to_owned());
        out.push(seen);
    }
}

fn yields(
    ctx: &StageContext<'_>,
    strength: &Strength,
    level: Level,
    part: &str,
    posts: &[&PostStrength],
) -> Option<Observation> {
    let assembly = ctx.assembly;
    let unit = units(ctx);
    let worst = posts.iter().max_by(|a, b| a.usage.total_cmp(&b.usage))?;
    let who = support::short(assembly, worst.post);
    let more = if posts.len() > 1 { format!(" ({} posts)", posts.len()) } else { String::new() };
    let factor = strength.factor;
    let (severity, key, headline) = match level {
        Level::Near => (
            Severity::Watch,
            "near",
            format!(
                "Post {who} comes near yield with its lean at {factor:.2} times the load{more}"
            ),
        ),
        Level::Over => (
            Severity::FixFirst,
            "over",
            format!("Post {who} yields with its lean at {factor:.2} times the load{more}"),
        ),
        Level::AtOnce => (
            Severity::Stop,
            "at once",
            format!("Post {who} may yield with its lean under the load there is{more}"),
        ),
    };
    let names = posts.iter().map(|p| assembly.name(p.post).to_owned()).collect();
    let mut seen = Observation::new(severity, headline, names);
    seen.group = Group::Widens(format!("{key}:{part}"));
    seen.sample_data = assembly.library.is_sample(part);
    let measures = &mut seen.evidence.measures;
    let mut add = |what: &str, value: f64, limit: Option<f64>, dimension| {
        measures.push(measure(what, value, limit, false, dimension));
    };
    add("share of yield, second order", worst.usage, Some(1.0), Dimension::Ratio);
    add("compression, factor included", worst.compression, None, Dimension::Force);
    add("second-order moment", worst.moment, None, Dimension::Moment);
    add("sway of the head, second order", worst.sway, None, Dimension::Length);
    let required = ctx.mechanics.required_factor;
    let (least, governs) = worst.governing(required);
    seen.evidence.notes.push(format!(
        "At {} above the foot of {who}, {}; {} governs, reserve {least:.2}.",
        unit.length(worst.at),
        axis_words(strength, worst),
        governs.words(),
    ));
    if worst.critical > 0.0 {
        seen.evidence.notes.push(format!(
            "It would buckle or sway at {} or more; effective length {}.",
            unit.force(worst.critical),
            unit.length(worst.effective_length),
        ));
    }
    seen.cures.push("take load off, or set a post beside it".to_owned());
    seen.cures.push("use a stronger post, or one drawn out less".to_owned());
    seen.cure("brace more bays, so that braced posts take less", &[RemedyKind::Brace]);
    let pack = ctx.pack;
    seen.sources.push(support::rule(ctx, &pack.out_of_plumb));
    seen.sources.push(support::rule(ctx, &pack.head_eccentricity));
    seen.sources.push(support::rule(ctx, &pack.yield_factor));
    Some(seen)
}

fn axis_words(strength: &Strength, post: &PostStrength) -> String {
    let Some(axis) = strength.axes.get(usize::from(post.axis)) else {
        return "in some direction".to_owned();
    };
    format!("swaying along {}", crate::mechanics::stage::cases::direction_words(*axis))
}

/// No state of balance at all: lean brings it down, or it sways out before the factor is reached.
fn sways_out(ctx: &StageContext<'_>, strength: &Strength, out: &mut Vec<Observation>) {
    let assembly = ctx.assembly;
    for fall in &strength.falls {
        let posts: Vec<MemberId> =
            fall.members.iter().copied().filter(|&m| assembly.member(m).is_post()).collect();
        let mut seen = Observation::new(
            Severity::Watch,
            format!("Would go over with its lean: {}", support::posts(assembly, &posts)),
            posts.iter().map(|&p| assembly.name(p).to_owned()).collect(),
        );
        seen.group = Group::Joins("falls".to_owned());
        seen.evidence.motion = Some(fall.motion.clone());
        seen.evidence.notes.push(format!(
            "Under {}, every post out of plumb that way, feet lift until nothing holds it. Whether \
             it stands the lateral load upright is in toppled-by-push.",
            fall.case
        ));
        seen.cure(
            "plumb it, and brace or tie it to what stands",
            &[RemedyKind::Brace, RemedyKind::Tie],
        );
        seen.sources.push(support::rule(ctx, &ctx.pack.out_of_plumb));
        out.push(seen);
    }
    if strength.unstable {
        let mut seen = Observation::new(
            Severity::FixFirst,
            format!(
                "With its lean the stage sways out before {:.2} times its load",
                strength.factor
            ),
            Vec::new(),
        );
        seen.group = Group::Widens("unstable".to_owned());
        seen.cure("brace more bays, or take load off", &[RemedyKind::Brace]);
        seen.sources.push(support::rule(ctx, &ctx.pack.yield_factor));
        out.push(seen);
    }
}
