//! Members used beyond what they may be: one observation for each part, respect and degree.

use super::super::StageContext;
use super::anew::Found;
use super::{below, measure, rule, units, words};
use crate::assembly::{Member, MemberId};
use crate::capacity::{Kind, Missing, Use};
use crate::findings::{Dimension, Group, Observation, RemedyKind, Severity};
use std::collections::BTreeMap;

/// A member's use in one respect.
#[derive(Clone, Debug)]
pub struct Heavy<'a> {
    pub member: MemberId,
    /// The part whose data count.
    pub part: &'a str,
    /// Such as `bending`.
    pub respect: &'static str,
    pub usage: Use,
}

/// What a hazard says of members used too far.
pub struct Sayings {
    /// Severity beyond the limit; close to it, it is one to watch.
    pub over: Severity,
    /// Whether being close to the limit is worth saying.
    pub near: bool,
    /// Each with the ways in which the program can serve it.
    pub cures: &'static [(&'static str, &'static [RemedyKind])],
}

/// The dimension of a kind of number.
#[must_use]
pub fn dimension(kind: Kind) -> Dimension {
    match kind {
        Kind::Length => Dimension::Length,
        Kind::Force => Dimension::Force,
        Kind::Moment => Dimension::Moment,
        Kind::Stress => Dimension::Pressure,
        _ => Dimension::Ratio,
    }
}

/// How much of a member is used, in each respect of it.
pub type Uses = Result<Vec<(&'static str, Use)>, Missing>;

/// Asks `uses` of every member that is there, adds what is used too far, and what a part does not state.
pub fn of_members<'a>(
    ctx: &StageContext<'a>,
    what: &str,
    say: &Sayings,
    out: &mut Vec<Observation>,
    uses: impl Fn(&'a Member) -> Uses,
) {
    let members = ctx.assembly.members.iter().filter(|m| ctx.stage.state(m.id).is_there());
    let found = members.filter_map(|m| Some((m.id, worth_saying(ctx, say, uses(m))?))).collect();
    report_all(ctx, &found, (what, say), out);
}

/// The same where what is used follows from the loads on a member, its own joints and nails of sheets
/// on it, and the loads of the stage: of the stage before is kept what nothing of that differs for.
pub fn of_members_by_load<'a>(
    ctx: &StageContext<'a>,
    what: &'static str,
    say: &Sayings,
    out: &mut Vec<Observation>,
    uses: impl Fn(&'a Member) -> Uses,
) {
    let Some(anew) = ctx.anew else { return of_members(ctx, what, say, out, uses) };
    anew.update(what, ctx.assembly, |member, found: &mut Found| {
        let there = ctx.stage.state(member.id).is_there();
        match there.then(|| worth_saying(ctx, say, uses(member))).flatten() {
            Some(uses) => found.insert(member.id, uses),
            None => found.remove(&member.id),
        };
    });
    anew.read(what, |found| report_all(ctx, found, (what, say), out));
}

/// What of a member's uses is said anything of: those beyond or close to a limit, and what is missing.
fn worth_saying(ctx: &StageContext<'_>, say: &Sayings, uses: Uses) -> Option<Uses> {
    let near = ctx.pack.use_of_capacity.value;
    match uses {
        Ok(mut uses) => {
            uses.retain(|(_, usage)| too_far(near, say, usage.share).is_some());
            (!uses.is_empty()).then_some(Ok(uses))
        }
        missing => Some(missing),
    }
}

/// True for beyond the limit, false for close to it where that is worth saying; none for neither.
fn too_far(near: f64, say: &Sayings, share: f64) -> Option<bool> {
    let over = below(1.0 + 1e-9, share);
    (over || (say.near && below(near, share))).then_some(over)
}

fn report_all(
    ctx: &StageContext<'_>,
    all: &Found,
    (what, say): (&str, &Sayings),
    out: &mut Vec<Observation>,
) {
    let (mut found, mut missing) = (Vec::new(), BTreeMap::<Missing, Vec<MemberId>>::new());
    for (&member, uses) in all {
        let part = ctx.assembly.member(member).part.as_str();
        let heavy = |(respect, usage): &(&'static str, Use)| Heavy {
            member,
            part,
            respect,
            usage: usage.clone(),
        };
        match uses {
            Ok(uses) => found.extend(uses.iter().map(heavy)),
            Err(why) => missing.entry(why.clone()).or_default().push(member),
        }
    }
    report(ctx, found, say, out);
    unknown(ctx, missing, what, out);
}

/// Adds what is beyond its limit, or close to it by the pack's share.
pub fn report(
    ctx: &StageContext<'_>,
    found: Vec<Heavy<'_>>,
    say: &Sayings,
    out: &mut Vec<Observation>,
) {
    let near = ctx.pack.use_of_capacity.value;
    let mut groups: BTreeMap<(bool, &str, &str), Vec<Heavy<'_>>> = BTreeMap::new();
    for heavy in found {
        if let Some(over) = too_far(near, say, heavy.usage.share) {
            groups.entry((over, heavy.part, heavy.respect)).or_default().push(heavy);
        }
    }
    for ((over, part, respect), members) in groups {
        // What is not a number is the worst there is.
        let key =
            |h: &&Heavy<'_>| if h.usage.share.is_nan() { f64::INFINITY } else { h.usage.share };
        let Some(worst) = members
            .iter()
            .max_by(|a, b| key(a).total_cmp(&key(b)).then_with(|| b.member.cmp(&a.member)))
        else {
            continue;
        };
        out.push(observation(
            ctx,
            worst,
            members.iter().map(|h| h.member),
            (over, part, respect),
            say,
        ));
    }
}

fn observation(
    ctx: &StageContext<'_>,
    worst: &Heavy<'_>,
    members: impl Iterator<Item = MemberId>,
    (over, part, respect): (bool, &str, &str),
    say: &Sayings,
) -> Observation {
    let assembly = ctx.assembly;
    let dimension = dimension(worst.usage.demand.kind);
    let value = |si| crate::units::show(si, dimension, units(ctx));
    let mut ids: Vec<MemberId> = members.collect();
    ids.sort_unstable();
    ids.dedup();
    let more = if ids.len() > 1 { format!(" ({} of them)", ids.len()) } else { String::new() };
    let (measured, limit) = (worst.usage.demand.si, worst.usage.capacity.si);
    let mut seen = Observation::new(
        if over { say.over } else { Severity::Watch },
        format!(
            "{}: {respect} {}{more}",
            words::sentence(&words::beam(assembly, worst.member)),
            against(&value(measured), &value(limit), over, worst.usage.share),
        ),
        ids.iter().map(|&m| assembly.name(m).to_owned()).collect(),
    );
    seen.group = Group::Widens(format!("{part}:{respect}:{over}"));
    seen.sample_data = assembly.library.is_sample(part);
    let what = format!("{respect} of {}", words::beam(assembly, worst.member));
    seen.evidence.measures.push(measure(what, measured, Some(limit), false, dimension));
    seen.evidence.notes.push(format!(
        "`standwell calc --member {} --stage {}` writes the calculation out.",
        assembly.name(worst.member),
        ctx.stage.step
    ));
    if seen.sample_data {
        seen.evidence.notes.push("Sample data: use your supplier's table.".to_owned());
    }
    for (words, kinds) in say.cures {
        seen.cure(*words, kinds);
    }
    if !over {
        seen.sources.push(rule(ctx, &ctx.pack.use_of_capacity));
    }
    seen
}

/// A value against its limit; as a share of it where both are shown alike.
fn against(measured: &str, limit: &str, over: bool, share: f64) -> String {
    match over {
        true if measured == limit => format!("{:.1} % of its {limit}", 100.0 * share),
        true => format!("{measured}, more than its {limit}"),
        false => format!("{measured}, close to its {limit}"),
    }
}

/// Adds, for each part, what it does not state and a check needs.
pub fn unknown(
    ctx: &StageContext<'_>,
    missing: BTreeMap<Missing, Vec<MemberId>>,
    what: &str,
    out: &mut Vec<Observation>,
) {
    for (missing, members) in missing {
        let names: Vec<String> = members.iter().map(|&m| ctx.assembly.name(m).to_owned()).collect();
        let mut seen = Observation::unknown(format!("{what} unknown: {missing}"), names);
        seen.group = Group::Widens(format!("unknown:{}:{}", missing.part, missing.what));
        seen.cures.push(format!("state it for {} in its file", missing.part));
        out.push(seen);
    }
}

#[cfg(test)]
mod tests {
    use super::against;

    #[test]
    fn what_is_over_never_reads_as_equal() {
        assert_eq!(against("1/8 in", "1/8 in", true, 1.073), "107.3 % of its 1/8 in");
        assert_eq!(against("2 kN", "1 kN", true, 2.0), "2 kN, more than its 1 kN");
        assert_eq!(against("1/8 in", "1/8 in", false, 0.97), "1/8 in, close to its 1/8 in");
    }
}
