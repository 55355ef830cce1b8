//! A long thin post with nothing between foot and head.

use super::support::{self, measure, standing_posts, units};
use super::{Source, StageContext};
use crate::assembly::model::Member;
use crate::assembly::{JointKind, MemberId};
use crate::calc;
use crate::capacity::Work;
use crate::criteria::model::Seen;
use crate::equipment::model::Post;
use crate::findings::{Dimension, Group, Observation, RemedyKind, Severity};
use std::collections::BTreeMap;

crate::declare_hazard! {
    /// ## What it checks
    /// For each post with its hands off, the length over which nothing holds it sideways at this
    /// stage, in each direction: from foot to head, or between points where a held member meets it.
    /// That length over the smaller radius of gyration of its two tubes is held against the pack's
    /// slenderness limit, and the use of its capacity at that height is shown. A height above the
    /// last row of its capacity table is unknown.
    ///
    /// ## Why it is dangerous
    /// A post loses carrying strength with the square of its unbraced length. A leg twice as tall
    /// carries about a quarter, bows at a bump, and is brought upright with its weight far above
    /// the hands that hold it.
    ///
    /// ## Example
    /// `tests/checks/tall_single_leg/fires.ron`: posts that stand one inch taller, on their
    /// jacks, than the last row of their table.
    ///
    /// ## Limits
    /// Ends taken as hinges, so the length is not shortened for fixity; a direction in which the
    /// head is not held is `post-not-held`. From three quarters of the limit on it is a *watch*. A
    /// jack counts as part of the height. Tables of sample equipment are invented.
    ///
    /// ## Source
    /// AISC 360, user note on KL/r of compression members. The limit is the criteria pack's; that a
    /// height takes the next taller row of the supplier's table is common practice.
    pub static TALL_SINGLE_LEG = {
        code: "SW201",
        name: "tall-single-leg",
        summary: "a post too slender for its unbraced length, or taller than its capacity table",
        severity: Severity::FixFirst,
        follows: ["SW101"],
        sources: [Source { title: "AISC 360", locator: "section E2, user note", seen: Seen::Memory }],
        check: check,
    }
}

/// Share of the slenderness limit from which a leg is one to watch (practice of this project).
const SLENDER: f64 = 0.75;

/// A post's axial demand against its capacity at its height.
pub(crate) struct Use {
    /// Newtons at the foot, the greatest over the load cases.
    pub load: f64,
    /// Newtons, after the pack's factor on the table's basis.
    pub capacity: f64,
    /// Height of the row that counts, metres; of the post where its section governs.
    pub row: f64,
}

/// None where the post's part is not known, or its height lies beyond its data.
pub(crate) fn use_of(ctx: &StageContext<'_>, post: &Member) -> Option<Use> {
    let (usage, capacity) = calc::post(&mut Work::silent(), &calc::At::of(ctx), post).ok()?;
    let row = capacity.row.unwrap_or(post.length());
    Some(Use { load: usage.demand.si, capacity: usage.capacity.si, row })
}

/// Greatest length without a sideways hold, in the two directions of the post.
fn unbraced(ctx: &StageContext<'_>, post: &Member) -> Vec<([f64; 2], f64)> {
    let assembly = ctx.assembly;
    let length = post.length();
    ctx.restraint
        .holds_of(post.id)
        .filter(|h| !h.path.is_empty())
        .map(|hold| {
            let mut stations = vec![0.0, length];
            for &j in assembly.joints_of(post.id) {
                let joint = assembly.joint(j);
                let on_path = hold.path.contains(&joint.member);
                if joint.carrier == Some(post.id)
                    && matches!(joint.kind, JointKind::Head | JointKind::Tie)
                    && on_path
                {
                    stations.push(joint.carrier_at.clamp(0.0, length));
                }
            }
            stations.sort_by(f64::total_cmp);
            let longest = stations.windows(2).map(|w| w[1] - w[0]).fold(0.0, f64::max);
            (hold.direction, longest)
        })
        .collect()
}

#[derive(PartialEq, Eq, PartialOrd, Ord)]
enum Fault {
    BeyondTable,
    Slender,
    NearlySlender,
}

fn check(ctx: &StageContext<'_>, out: &mut Vec<Observation>) {
    let assembly = ctx.assembly;
    let limit = ctx.pack.slenderness.value;
    let mut groups: BTreeMap<(Fault, &str, i64), Vec<MemberId>> = BTreeMap::new();
    for post in standing_posts(assembly, ctx.stage) {
        let Some(part) = assembly.library.posts.get(&post.part) else { continue };
        #[allow(clippy::cast_possible_truncation, reason = "millimetres of a post's height")]
        let height = (post.length() * 1e3).round() as i64;
        let mut add = |fault| groups.entry((fault, &post.part, height)).or_default().push(post.id);
        if !part.knows(post.length()) {
            add(Fault::BeyondTable);
        }
        if post.length() / part.least_r() <= SLENDER * limit {
            // Nothing of it is longer than all of it.
            continue;
        }
        let longest = unbraced(ctx, post).into_iter().map(|(_, l)| l).fold(0.0, f64::max);
        let slenderness = longest / part.least_r();
        if slenderness > limit * (1.0 + 1e-9) {
            add(Fault::Slender);
        } else if slenderness > SLENDER * limit {
            add(Fault::NearlySlender);
        }
    }
    for ((fault, name, height), posts) in groups {
        if let Some(part) = assembly.library.posts.get(name) {
            out.push(observation(ctx, &fault, (name, part), height, &posts));
        }
    }
}

fn observation(
    ctx: &StageContext<'_>,
    fault: &Fault,
    (name, part): (&str, &Post),
    height: i64,
    posts: &[MemberId],
) -> Observation {
    let assembly = ctx.assembly;
    let unit = units(ctx);
    let post = assembly.member(posts[0]);
    let tall = unit.length(post.length());
    let who = support::posts(assembly, posts);
    let names = posts.iter().map(|&p| assembly.name(p).to_owned()).collect();
    let lengths = unbraced(ctx, post);
    let longest = lengths.iter().map(|(_, l)| *l).fold(0.0, f64::max);
    let slenderness = longest / part.least_r();
    let limit = ctx.pack.slenderness.value;
    let last = part.capacity.rows.iter().map(|(row, _)| row.si()).fold(0.0, f64::max);
    let mut seen = match fault {
        Fault::BeyondTable => Observation::unknown(
            format!(
                "Capacity of {who} unknown: {tall} tall, its table ends at {}",
                unit.length(last)
            ),
            names,
        ),
        Fault::Slender => Observation::new(
            Severity::FixFirst,
            format!(
                "{who}: {} with nothing in between is too slender, {slenderness:.0} over {limit:.0}",
                unit.length(longest)
            ),
            names,
        ),
        Fault::NearlySlender => Observation::new(
            Severity::Watch,
            format!(
                "{who}: tall single leg, {tall}; slenderness {slenderness:.0}, limit {limit:.0}"
            ),
            names,
        ),
    };
    let key = match fault {
        Fault::BeyondTable => "beyond",
        Fault::Slender => "slender",
        Fault::NearlySlender => "tall",
    };
    seen.group = Group::Widens(format!("{key}:{name}:{height}"));
    seen.sample_data = assembly.library.sample;
    seen.evidence.measures.push(measure(
        "slenderness, unbraced length over radius of gyration",
        slenderness,
        Some(limit),
        false,
        Dimension::Ratio,
    ));
    for (direction, length) in lengths {
        let axis = if direction[0].abs() >= direction[1].abs() { "x" } else { "y" };
        seen.evidence.measures.push(measure(
            format!("unbraced length along {axis}"),
            length,
            None,
            false,
            Dimension::Length,
        ));
    }
    let worst = posts
        .iter()
        .filter_map(|&p| use_of(ctx, assembly.member(p)))
        .max_by(|a, b| (a.load / a.capacity).total_cmp(&(b.load / b.capacity)));
    if let Some(worst) = worst {
        seen.evidence.measures.push(measure(
            "use of capacity at this height",
            worst.load / worst.capacity,
            Some(1.0),
            false,
            Dimension::Ratio,
        ));
        seen.evidence.notes.push(format!(
            "Capacity {} from the row for {} of {name}.",
            unit.force(worst.capacity),
            unit.length(worst.row)
        ));
    }
    if assembly.library.sample {
        seen.evidence.notes.push("Sample data: use your supplier's table.".to_owned());
    }
    match fault {
        Fault::BeyondTable => {
            seen.cures.push("use a post whose table reaches this height".to_owned());
            seen.cures.push("ask the supplier for its capacity at this height".to_owned());
        }
        _ => seen.cure("lace it at mid-height, both ways, to a braced bay", &[RemedyKind::Brace]),
    }
    seen.sources.push(support::rule(ctx, &ctx.pack.slenderness));
    seen
}
