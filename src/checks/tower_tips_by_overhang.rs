//! A tower goes over with what lies on its overhang.

use super::stage_unstable::cause;
use super::support::{self, measure};
use super::{Source, StageContext};
use crate::assembly::MemberId;
use crate::criteria::model::Seen;
use crate::findings::{Dimension, Group, Observation, RemedyKind, Severity};

crate::declare_hazard! {
    /// ## What it checks
    /// Towers and other pieces of up to a dozen posts with overhangs: whether they stay where they are
    /// under what lies on the overhangs of one side, with people, rail and wind at their worst, and
    /// with notional lateral or wind towards that side. Beams, clips, posts and feet as rigid bodies
    /// that only press.
    ///
    /// ## Why it is dangerous
    /// A clip that is strong enough passes the pull on. A light tower with people on its walkway and
    /// the wind behind them goes over as it stands, clips, braces and all.
    ///
    /// ## Example
    /// `tests/checks/tower_tips_by_overhang/fires.ron`: a tower of four posts with a walkway along
    /// one side, in the wind.
    ///
    /// ## Limits
    /// Rigid bodies, and weights as they lie: what the sheets bring to each beam does not change as
    /// it turns. A beam that tips by itself is `cantilever-tips`, `clip-missing` or
    /// `clip-on-light-post`, and not said again here. Larger pieces are judged beam by beam.
    ///
    /// ## Source
    /// Moments about the outer feet (any textbook of statics); limit analysis of rigid blocks. The
    /// factors are the criteria pack's. O. Reg. 213/91, s. 87: no uplift or overturning.
    pub static TOWER_TIPS_BY_OVERHANG = {
        code: "SW414",
        name: "tower-tips-by-overhang",
        summary: "a tower goes over with what lies on its overhang",
        severity: Severity::Stop,
        follows: ["SW101", "SW301", "SW302", "SW402", "SW403", "SW406", "SW407"],
        sources: [Source { title: "Ontario Regulation 213/91", locator: "s. 87", seen: Seen::Print }],
        check: check,
    }
}

fn check(ctx: &StageContext<'_>, out: &mut Vec<Observation>) {
    let assembly = ctx.assembly;
    for (beams, why) in &ctx.equilibrium.overhangs.unknown {
        let mut seen = Observation::unknown(
            format!(
                "Not judged: whether {} takes its tower over",
                support::beam(assembly, beams[0])
            ),
            beams.iter().map(|&b| assembly.name(b).to_owned()).collect(),
        );
        seen.evidence.notes.push(support::words::sentence(why));
        seen.cure("prop the overhangs under their tips", &[RemedyKind::Prop]);
        out.push(seen);
    }
    let pulled: Vec<MemberId> = ctx
        .equilibrium
        .shared
        .iter()
        .filter(|s| s.factor < s.required)
        .flat_map(|s| s.beams.clone())
        .collect();
    for found in &ctx.equilibrium.overhangs.all {
        let way = &found.way;
        let said = found.beams.iter().all(|b| pulled.contains(b));
        if !found.beams_alone_hold || said || !support::below(way.factor, way.required) {
            continue;
        }
        let severity = if way.factor < 1.0 { Severity::Stop } else { Severity::FixFirst };
        let mut seen = Observation::new(
            severity,
            format!(
                "Posts {} tip at {:.0} % of what their overhang and the wind bring; {:.0} % is due",
                support::posts(assembly, &way.posts),
                way.factor * 100.0,
                way.required * 100.0
            ),
            found.beams.iter().map(|&b| assembly.name(b).to_owned()).collect(),
        );
        seen.others = way
            .members
            .iter()
            .filter(|m| !found.beams.contains(m))
            .map(|&m| assembly.name(m).to_owned())
            .collect();
        seen.evidence.measures.push(measure(
            "factor on what lies past the supports, with the wind",
            way.factor,
            Some(way.required),
            true,
            Dimension::Ratio,
        ));
        seen.evidence.motion = Some(way.motion.clone());
        seen.evidence.notes.extend(support::balance::partial_words(way));
        seen.evidence.notes.extend(support::balance::edge_words(ctx));
        seen.evidence.notes.push(format!("Under {}.", way.case));
        seen.evidence.notes.push(format!(
            "People stand at their worst on {}.",
            support::beam(assembly, found.peopled)
        ));
        let moving: Vec<MemberId> = found.beams.iter().chain(&way.members).copied().collect();
        seen.cause = cause(ctx, &moving);
        seen.group = Group::Widens(format!("held:{}", assembly.name(found.beams[0])));
        seen.sample_data = assembly.library.sample;
        seen.cure("prop the overhangs under their tips", &[RemedyKind::Prop]);
        seen.cure(
            "tie it to what stands, or anchor the posts behind to the floor",
            &[RemedyKind::Tie],
        );
        seen.sources.extend(support::balance::tipping_rules(ctx));
        out.push(seen);
    }
}
