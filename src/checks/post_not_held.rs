//! A post with its hands off that nothing holds.

use super::support::{self, LooseGroup, bay, measure, parallel, passes, plan_direction};
use super::{Source, StageContext};
use crate::assembly::model::Member;
use crate::assembly::{JointKind, MemberId, Role};
use crate::criteria::model::Seen;
use crate::findings::{Dimension, Group, Observation, RemedyKind, Severity};
use crate::sequence::JointState;

crate::declare_hazard! {
    /// ## What it checks
    /// After each step, whether a post that nobody keeps in hand can move at its head, in either
    /// direction, without any other part resisting. The mechanics decides it, by the rank of the
    /// stage's compatibility matrix; the restraint graph explains it. Where the two differ, the
    /// finding says so. Posts that can only move together are one finding; posts that later come
    /// to hang on them are listed under it.
    ///
    /// ## Why it is dangerous
    /// A post stands on a foot that only pushes. What keeps it upright is the ledger along one line
    /// and the joist along the other, and those only pass it on: at the end of each line there must
    /// be a diagonal, a tie or a floor plate that takes the push. A row of posts hooked to one
    /// another with no diagonal looks finished and falls as one.
    ///
    /// ## Example
    /// `tests/checks/post_not_held/fires.ron`: a third post on a line is let go with its ledger
    /// hooked and its joist not yet in.
    ///
    /// ## Limits
    /// It asks whether there is any resistance, not whether there is enough: that is
    /// `stage-unstable` and `toppled-by-push`. A post in hand is not asked.
    ///
    /// ## Source
    /// WAC 296-155-687(2): single-post shores braced both ways, and diagonally, as they are erected.
    /// 29 CFR 1926.703(a)(1): formwork braced for all loads to be expected. Pellegrino and
    /// Calladine 1986 for the test by rank.
    pub static POST_NOT_HELD = {
        code: "SW101",
        name: "post-not-held",
        summary: "a post with its hands off is not held in one or both directions",
        severity: Severity::Stop,
        follows: [],
        sources: [
            Source { title: "Washington Administrative Code", locator: "WAC 296-155-687(2)", seen: Seen::Print },
            Source { title: "29 CFR 1926 Subpart Q", locator: "1926.703(a)(1)", seen: Seen::Memory },
            Source {
                title: "Pellegrino and Calladine, Matrix analysis of statically and kinematically indeterminate frameworks",
                locator: "Int. J. Solids Structures 22 (1986) 409-428",
                seen: Seen::Memory,
            },
        ],
        check: check,
    }
}

fn check(ctx: &StageContext<'_>, out: &mut Vec<Observation>) {
    for group in &ctx.loose {
        out.push(observation(ctx, group));
    }
}

fn observation(ctx: &StageContext<'_>, group: &LooseGroup) -> Observation {
    let assembly = ctx.assembly;
    let who = support::posts(assembly, &group.posts);
    let along = group.along();
    let headline = if group.posts.len() == 1 {
        format!("Post {who} is not held {along}: nothing stops it going over")
    } else {
        format!("Posts {who} are not held {along}: they can go over together")
    };
    let subjects = group.posts.iter().map(|&p| assembly.name(p).to_owned()).collect();
    let mut seen = Observation::new(Severity::Stop, headline, subjects);
    seen.cause = Some(group.cause(assembly));
    seen.group = Group::Joins(group.axes());
    seen.evidence.measures.push(measure(
        format!("push that is resisted {along}"),
        0.0,
        Some(ctx.mechanics.required_push),
        true,
        Dimension::Force,
    ));
    let motion = &ctx.mechanics.mechanisms[group.mechanism];
    seen.evidence.motion = Some(motion.motion.clone());
    seen.others = motion
        .members
        .iter()
        .filter(|id| !group.posts.contains(id))
        .map(|&id| assembly.name(id).to_owned())
        .collect();
    for line in &group.lines {
        let held: Vec<MemberId> =
            line.posts.iter().copied().filter(|p| group.graph_holds.contains(p)).collect();
        let hold = line.posts.first().and_then(|&p| ctx.restraint.hold(p, line.direction));
        if held.is_empty() {
            seen.evidence.notes.push(format!(
                "{}: no path of parts that pass a push leads from {} to a diagonal, a tie or a floor plate.",
                support::words::sentence(&direction_words(line)),
                support::posts(assembly, &line.posts),
            ));
        } else {
            seen.evidence.notes.push(format!(
                "Graph and mechanics differ: {} to a path for {}, but the parts on it move with it. The mechanics decides.",
                "the graph leads", support::posts(assembly, &held),
            ));
        }
        if let Some(hold) = hold {
            let path = if hold.path.is_empty() { &hold.loose_line } else { &hold.path };
            seen.evidence.path.extend(path.iter().map(|&id| assembly.name(id).to_owned()));
        }
    }
    for (words, kind, members) in cures(ctx, group) {
        seen.cure_at(words, kind, members);
    }
    seen
}

fn direction_words(line: &support::loose::LooseLine) -> String {
    match &line.line {
        Some((_, name)) => format!("along line {name}"),
        None => "in that direction".to_owned(),
    }
}

/// A cure in words, and as data: its kind, and the members it names.
type Cure = (String, RemedyKind, Vec<String>);

/// The two posts of the bay that a member of a block spans.
fn bay_posts(member: &Member) -> Vec<String> {
    let (Some(block), Some((from, to))) = (&member.block, &member.grid) else { return Vec::new() };
    [from, to].map(|at| format!("{block}.post.{at}")).into()
}

/// What would hold it, the nearest first.
fn cures(ctx: &StageContext<'_>, group: &LooseGroup) -> Vec<Cure> {
    let assembly = ctx.assembly;
    let mut cures = Vec::new();
    for line in &group.lines {
        let mut brace = None;
        let mut missing = None;
        let mut span = None;
        for joint in line.posts.iter().flat_map(|&p| assembly.joints_of(p)) {
            let joint = assembly.joint(*joint);
            let member = assembly.member(joint.member);
            let along = plan_direction(member).is_some_and(|d| parallel(d, line.direction));
            if !along || member.damaged {
                continue;
            }
            match (member.role, joint.kind) {
                (Role::Brace, JointKind::Coupler)
                    if ctx.stage.joint(joint.id) != JointState::Locked =>
                {
                    brace.get_or_insert(member);
                }
                (Role::Ledger | Role::Joist | Role::DropBeam, JointKind::Head) => {
                    let hooked = ctx.stage.stands(member.id)
                        && passes(joint, ctx.stage.joint(joint.id)).is_some_and(|p| p.along);
                    if hooked {
                        span.get_or_insert(member);
                    } else {
                        missing.get_or_insert(member);
                    }
                }
                _ => {}
            }
        }
        let on = line.line.as_ref().map_or(String::new(), |(_, name)| format!(" on line {name}"));
        if let Some(member) = missing.filter(|_| span.is_none()) {
            let what = support::beam(assembly, member.id);
            cures.push((
                format!("hook {what} to a line that is held, before letting go"),
                RemedyKind::Fix,
                vec![member.name.clone()],
            ));
        }
        if let Some(member) = brace.or(span).or(missing) {
            let words = format!("brace bay {}{on}", bay(member));
            cures.push((words, RemedyKind::Brace, bay_posts(member)));
        }
        let what = if on.is_empty() { " it".to_owned() } else { on.replace(" on", "") };
        let words = format!("tie{what} back to a wall or column");
        cures.push((words, RemedyKind::Tie, Vec::new()));
    }
    let last = group.posts.iter().filter(|p| ctx.stage.released.contains(p)).copied();
    let last: Vec<MemberId> = last.collect();
    let keep = if last.is_empty() { &group.posts } else { &last };
    let words = format!("keep {} in hand until then", support::posts(assembly, keep));
    let names = keep.iter().map(|&id| assembly.name(id).to_owned()).collect();
    cures.push((words, RemedyKind::Hold, names));
    let mut once: Vec<Cure> = Vec::new();
    for cure in cures {
        if once.iter().all(|(words, ..)| *words != cure.0) {
            once.push(cure);
        }
    }
    once
}
