//! What could not be judged.

use super::support::{self, words};
use super::{Source, StageContext};
use crate::criteria::model::Seen;
use crate::findings::{Group, Observation, Severity};
use crate::mechanics::Verdict;
use std::collections::BTreeMap;

crate::declare_hazard! {
    /// ## What it checks
    /// Every question about a stage that has no answer: whether there is a mechanism, whether the
    /// required critical load factor is met, whether the required push is stood, whether a member
    /// or piece tips or slides, what it carries, and loads that lie on nothing that is there.
    ///
    /// ## Why it is dangerous
    /// A stage that was not judged looks like one in which nothing was found. It is not safe until
    /// somebody has judged it another way.
    ///
    /// ## Example
    /// `tests/checks/not_judged/fires.ron`: a bundle set down partly beside the deck.
    ///
    /// ## Limits
    /// It knows of the questions that the program asks, not of those that it does not.
    ///
    /// ## Source
    /// 29 CFR 1926.701(a): no load before somebody has determined that it can be carried.
    pub static NOT_JUDGED = {
        code: "SW304",
        name: "not-judged",
        summary: "a question about the stage could not be answered",
        severity: Severity::FixFirst,
        follows: ["SW101", "SW301", "SW501", "SW504", "SW509"],
        sources: [Source { title: "29 CFR 1926 Subpart Q", locator: "1926.701(a)", seen: Seen::Print }],
        check: check,
    }
}

const MET: Verdict = Verdict::Met;

fn check(ctx: &StageContext<'_>, out: &mut Vec<Observation>) {
    let assembly = ctx.assembly;
    let mechanics = ctx.mechanics;
    let strength = &mechanics.strength;
    // Each with whether a "no" names what is wrong; one that does not would be silence.
    let verdicts = [
        (
            "whether anything can move freely",
            &mechanics.mechanisms_certain,
            !mechanics.mechanisms.is_empty(),
        ),
        ("whether the required critical load factor is met", &mechanics.critical, true),
        (
            "whether it stands notional lateral and wind",
            &mechanics.lateral,
            !mechanics.overturned.is_empty(),
        ),
        (
            "whether every head stands the required push",
            &mechanics.push,
            !mechanics.failing_pushes.is_empty(),
        ),
        (
            "whether a post yields with lean, play and sway",
            // Posts that could not be worked out are findings of their own.
            if strength.unknown.is_empty() { &strength.verdict } else { &MET },
            strength.unstable
                || !strength.falls.is_empty()
                || strength.posts.iter().any(|p| p.usage.is_nan() || p.usage > 1.0),
        ),
    ];
    let standing = ctx.stage.members.iter().any(|m| m.is_there());
    let mut reasons: BTreeMap<&str, Vec<&str>> = BTreeMap::new();
    for (question, verdict, named) in verdicts {
        let why = match verdict {
            Verdict::Met => continue,
            Verdict::NotMet if named => continue,
            Verdict::NotMet => "the answer is no, and nothing is named",
            Verdict::Unknown(why) => why.as_str(),
        };
        if standing {
            reasons.entry(why).or_default().push(question);
        }
    }
    for (why, questions) in reasons {
        let first = questions.first().copied().unwrap_or_default();
        let more = match questions.len() {
            0 | 1 => String::new(),
            2 => " and one question more".to_owned(),
            n => format!(" and {} questions more", n - 1),
        };
        let mut seen = Observation::unknown(format!("Not judged: {first}{more}"), Vec::new());
        seen.evidence.notes.push(format!("Not judged: {}.", questions.join("; ")));
        seen.evidence.notes.push(words::sentence(why));
        seen.group = Group::Widens(format!("{why}: {first}"));
        seen.cause = ctx.loose.first().map(|g| g.cause(assembly));
        seen.cures.push("have it judged another way before going on".to_owned());
        out.push(seen);
    }
    for (post, why) in &mechanics.not_modelled {
        let mut seen = Observation::unknown(
            format!("Not judged: {} could not be modelled", support::beam(assembly, *post)),
            vec![assembly.name(*post).to_owned()],
        );
        seen.evidence.notes.push(words::sentence(why));
        seen.cures.push("have it judged another way before going on".to_owned());
        out.push(seen);
    }
    for (member, why) in &ctx.equilibrium.unknown {
        let mut seen = Observation::unknown(
            format!("Not judged: whether {} tips", support::beam(assembly, *member)),
            vec![assembly.name(*member).to_owned()],
        );
        seen.evidence.notes.push(words::sentence(why));
        seen.cures.push("have it judged another way before going on".to_owned());
        out.push(seen);
    }
    let mut doubts: BTreeMap<&str, Vec<&str>> = BTreeMap::new();
    for (posts, why) in &ctx.equilibrium.sideways.unknown {
        doubts.entry(why).or_default().extend(posts.iter().map(|&p| assembly.name(p)));
    }
    for (why, mut posts) in doubts {
        posts.sort_unstable();
        posts.dedup();
        let mut seen = Observation::unknown(
            "Not judged: whether it slides or tips under notional lateral and wind",
            posts.into_iter().map(str::to_owned).collect(),
        );
        seen.evidence.notes.push(words::sentence(why));
        seen.group = Group::Widens(format!("sideways: {why}"));
        seen.cause = ctx.loose.first().map(|g| g.cause(assembly));
        seen.cures.push("have it judged another way before going on".to_owned());
        out.push(seen);
    }
    for (member, why) in &ctx.loads.unknown {
        let mut seen = Observation::unknown(
            format!("Not judged: what {} carries", support::beam(assembly, *member)),
            vec![assembly.name(*member).to_owned()],
        );
        seen.evidence.notes.push(words::sentence(why));
        seen.cures.push("have it judged another way before going on".to_owned());
        out.push(seen);
    }
    for (why, force) in &ctx.loads.unplaced {
        let mut seen = Observation::unknown(
            format!("{} of load lies on nothing that is there", support::units(ctx).force(*force)),
            Vec::new(),
        );
        seen.group = Group::Widens(format!("unplaced: {why}"));
        seen.evidence.notes.push(words::sentence(why));
        seen.cures.push("set what it is to lie on first, or set it down elsewhere".to_owned());
        out.push(seen);
    }
}
