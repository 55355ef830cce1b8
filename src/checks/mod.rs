//! One file per hazard. A check is a pure function from a judged stage to observations.
//!
//! A hazard's file holds one [`declare_hazard!`](crate::declare_hazard) whose doc comment, with
//! the headings *What it checks*, *Why it is dangerous*, *Example*, *Limits*, *Source*, is all its
//! documentation, and the check itself. A check reads a [`StageContext`]; it never changes, logs
//! or reads a file, and what it cannot judge it says is unknown.

pub mod support;

mod beam_crushed;
mod beam_overstressed;
mod beam_turns_over;
mod brace_overloaded;
mod brace_plane_broken;
mod bundle_on_half_deck;
mod cantilever_tips;
mod clip_missing;
mod clip_on_light_post;
mod clip_overloaded;
mod damaged_part_in_use;
mod deck_sags;
mod deck_sheared;
mod diagonals_required;
mod edge_unprotected;
mod engineer_required;
mod evidence_short;
mod foot_lifts;
mod foot_near_drop;
mod foot_near_opening;
mod foot_slips;
mod graph_disagrees;
mod ground_in_doubt;
mod ground_overloaded;
mod head_loaded_unlocked;
mod head_overloaded;
mod heap_too_high;
mod held_by_friction;
mod hold_point_missing;
mod jack_beyond_extension;
mod jack_overloaded;
mod jacking_under_concrete;
mod joint_near_miss;
mod layer_too_tall;
mod layout_problem;
mod left_in_overloaded;
mod level_post_overloaded;
mod lift_too_heavy;
mod more_hands_than_crew;
mod no_watch_while_placing;
mod not_judged;
mod opening_unprotected;
mod out_of_reach;
mod people_below_placing;
mod piece_slides;
mod piece_tips;
mod post_in_vehicle_way;
mod post_not_held;
mod post_on_nothing;
mod post_overloaded;
mod post_pulled_up;
mod post_yields;
mod posts_not_above;
mod posts_out_together;
mod removed_under_load;
mod reshore_order_worse;
mod sheet_lifts_in_wind;
mod sheet_overstressed;
mod sheet_past_last_joist;
mod sheet_trapped;
mod sill_overloaded;
mod slab_on_nothing;
mod slab_overloaded_at_age;
mod slab_part_not_placed;
mod stage_unstable;
mod stripped_before_strength;
mod tall_single_leg;
mod tiered_post_unbraced;
mod toppled_by_push;
mod tower_tips_by_overhang;
mod unbalanced_pour;
mod wind_height_assumed;

use crate::assembly::Assembly;
use crate::criteria::Pack;
use crate::criteria::model::Seen;
use crate::equilibrium::StageEquilibrium;
use crate::findings::{Observation, Severity, SourceNote};
use crate::loads::LoadState;
use crate::mechanics::StageMechanics;
use crate::restraint::Restraint;
use crate::sequence::{Sequence, Stage};
use std::sync::Arc;
use support::LooseGroup;
pub use support::anew::Anew;
pub(crate) use tall_single_leg::{Use, use_of};

/// Every hazard, by code.
pub static REGISTER: &[&Hazard] = &[
    &post_not_held::POST_NOT_HELD,
    &graph_disagrees::GRAPH_DISAGREES,
    &tall_single_leg::TALL_SINGLE_LEG,
    &post_overloaded::POST_OVERLOADED,
    &beam_overstressed::BEAM_OVERSTRESSED,
    &beam_crushed::BEAM_CRUSHED,
    &deck_sags::DECK_SAGS,
    &sheet_overstressed::SHEET_OVERSTRESSED,
    &brace_overloaded::BRACE_OVERLOADED,
    &head_overloaded::HEAD_OVERLOADED,
    &jack_overloaded::JACK_OVERLOADED,
    &clip_overloaded::CLIP_OVERLOADED,
    &beam_turns_over::BEAM_TURNS_OVER,
    &post_yields::POST_YIELDS,
    &deck_sheared::DECK_SHEARED,
    &stage_unstable::STAGE_UNSTABLE,
    &toppled_by_push::TOPPLED_BY_PUSH,
    &foot_lifts::FOOT_LIFTS,
    &not_judged::NOT_JUDGED,
    &wind_height_assumed::WIND_HEIGHT_ASSUMED,
    &cantilever_tips::CANTILEVER_TIPS,
    &clip_missing::CLIP_MISSING,
    &clip_on_light_post::CLIP_ON_LIGHT_POST,
    &sheet_past_last_joist::SHEET_PAST_LAST_JOIST,
    &piece_slides::PIECE_SLIDES,
    &piece_tips::PIECE_TIPS,
    &post_pulled_up::POST_PULLED_UP,
    &foot_slips::FOOT_SLIPS,
    &sheet_lifts_in_wind::SHEET_LIFTS_IN_WIND,
    &edge_unprotected::EDGE_UNPROTECTED,
    &opening_unprotected::OPENING_UNPROTECTED,
    &out_of_reach::OUT_OF_REACH,
    &bundle_on_half_deck::BUNDLE_ON_HALF_DECK,
    &tower_tips_by_overhang::TOWER_TIPS_BY_OVERHANG,
    &post_on_nothing::POST_ON_NOTHING,
    &joint_near_miss::JOINT_NEAR_MISS,
    &more_hands_than_crew::MORE_HANDS_THAN_CREW,
    &removed_under_load::REMOVED_UNDER_LOAD,
    &tiered_post_unbraced::TIERED_POST_UNBRACED,
    &brace_plane_broken::BRACE_PLANE_BROKEN,
    &head_loaded_unlocked::HEAD_LOADED_UNLOCKED,
    &lift_too_heavy::LIFT_TOO_HEAVY,
    &layout_problem::LAYOUT_PROBLEM,
    &damaged_part_in_use::DAMAGED_PART_IN_USE,
    &jack_beyond_extension::JACK_BEYOND_EXTENSION,
    &sill_overloaded::SILL_OVERLOADED,
    &ground_overloaded::GROUND_OVERLOADED,
    &ground_in_doubt::GROUND_IN_DOUBT,
    &foot_near_drop::FOOT_NEAR_DROP,
    &foot_near_opening::FOOT_NEAR_OPENING,
    &post_in_vehicle_way::POST_IN_VEHICLE_WAY,
    &diagonals_required::DIAGONALS_REQUIRED,
    &engineer_required::ENGINEER_REQUIRED,
    &unbalanced_pour::UNBALANCED_POUR,
    &heap_too_high::HEAP_TOO_HIGH,
    &jacking_under_concrete::JACKING_UNDER_CONCRETE,
    &hold_point_missing::HOLD_POINT_MISSING,
    &people_below_placing::PEOPLE_BELOW_PLACING,
    &layer_too_tall::LAYER_TOO_TALL,
    &no_watch_while_placing::NO_WATCH_WHILE_PLACING,
    &slab_part_not_placed::SLAB_PART_NOT_PLACED,
    &stripped_before_strength::STRIPPED_BEFORE_STRENGTH,
    &evidence_short::EVIDENCE_SHORT,
    &slab_on_nothing::SLAB_ON_NOTHING,
    &held_by_friction::HELD_BY_FRICTION,
    &sheet_trapped::SHEET_TRAPPED,
    &posts_out_together::POSTS_OUT_TOGETHER,
    &left_in_overloaded::LEFT_IN_OVERLOADED,
    &slab_overloaded_at_age::SLAB_OVERLOADED_AT_AGE,
    &reshore_order_worse::RESHORE_ORDER_WORSE,
    &level_post_overloaded::LEVEL_POST_OVERLOADED,
    &posts_not_above::POSTS_NOT_ABOVE,
];

/// Everything a check may read.
pub struct StageContext<'a> {
    pub assembly: &'a Assembly,
    pub pack: &'a Pack,
    pub sequence: &'a Sequence,
    pub stage: &'a Stage,
    pub loads: &'a LoadState,
    pub restraint: &'a Restraint,
    pub mechanics: &'a StageMechanics,
    pub equilibrium: &'a StageEquilibrium,
    /// Posts that move freely at this stage, sorted into groups that move together.
    pub loose: Vec<LooseGroup>,
    /// What is kept of the stage before, where stages are judged one after the other.
    pub anew: Option<&'a Anew>,
}

impl<'a> StageContext<'a> {
    /// Gathers what the checks of one stage read, and sorts its loose posts into groups.
    #[must_use]
    pub fn new(
        assembly: &'a Assembly,
        pack: &'a Pack,
        sequence: &'a Sequence,
        stage: &'a Stage,
        loads: &'a LoadState,
        restraint: &'a Restraint,
        mechanics: &'a StageMechanics,
        equilibrium: &'a StageEquilibrium,
    ) -> Self {
        let loose = support::loose_groups(assembly, stage, restraint, mechanics);
        let anew = None;
        Self {
            assembly,
            pack,
            sequence,
            stage,
            loads,
            restraint,
            mechanics,
            equilibrium,
            loose,
            anew,
        }
    }
}

/// A published source of a hazard.
pub struct Source {
    pub title: &'static str,
    pub locator: &'static str,
    /// How the clause was seen.
    pub seen: Seen,
}

/// A hazard in the register.
pub struct Hazard {
    /// Stable and never used again for another hazard.
    pub code: &'static str,
    pub name: &'static str,
    pub summary: &'static str,
    pub doc: &'static str,
    pub file: &'static str,
    /// The worst it can be.
    pub severity: Severity,
    /// Codes it may be a mere consequence of, where all members it is about belong to theirs.
    pub follows: &'static [&'static str],
    pub sources: &'static [Source],
    pub check: fn(&StageContext<'_>, &mut Vec<Observation>),
}

/// Declares a hazard: its doc comment, then its data.
#[macro_export]
macro_rules! declare_hazard {
    (
        $(#[doc = $doc:expr])+
        $vis:vis static $ident:ident = {
            code: $code:expr,
            name: $name:expr,
            summary: $summary:expr,
            severity: $severity:expr,
            follows: $follows:expr,
            sources: $sources:expr,
            check: $check:expr $(,)?
        }
    ) => {
        $(#[doc = $doc])+
        $vis static $ident: $crate::checks::Hazard = $crate::checks::Hazard {
            code: $code,
            name: $name,
            summary: $summary,
            doc: concat!($($doc, "\n",)+),
            file: file!(),
            severity: $severity,
            follows: &$follows,
            sources: &$sources,
            check: $check,
        };
    };
}

/// What one check saw, and which.
#[derive(Clone, Debug, PartialEq)]
pub struct Seeing {
    /// Index into [`REGISTER`].
    pub hazard: usize,
    /// What is seen in the same way at the next stage is one and the same.
    pub observation: Arc<Observation>,
}

impl Seeing {
    /// Has in common with what was seen at another stage what is the same; both in the order of
    /// [`observe`].
    pub fn share(seen: &mut [Self], with: &[Self]) {
        let order = |a: &Self, b: &Self| {
            let (one, other) = (&a.observation, &b.observation);
            let headlines = || one.headline.cmp(&other.headline);
            let subjects = || one.subjects.cmp(&other.subjects).then_with(headlines);
            a.hazard.cmp(&b.hazard).then_with(subjects)
        };
        let mut rest = with;
        for own in seen {
            let before = rest.iter().take_while(|other| order(other, own).is_lt()).count();
            rest = &rest[before..];
            if let Some(other) =
                rest.iter().take_while(|o| order(o, own).is_eq()).find(|o| *o == own)
            {
                own.observation = Arc::clone(&other.observation);
            }
        }
    }
}

/// Runs every check on one stage, in the order of the register.
#[must_use]
pub fn observe(ctx: &StageContext<'_>) -> Vec<Seeing> {
    let mut all = Vec::new();
    let mut out = Vec::new();
    for (hazard, entry) in REGISTER.iter().enumerate() {
        (entry.check)(ctx, &mut out);
        out.sort_by(|a: &Observation, b| {
            a.subjects.cmp(&b.subjects).then_with(|| a.headline.cmp(&b.headline))
        });
        for mut observation in out.drain(..) {
            let own = entry.sources.iter().map(|s| SourceNote {
                title: s.title.to_owned(),
                locator: s.locator.to_owned(),
                seen: support::seen(s.seen).to_owned(),
            });
            observation.sources.extend(own);
            observation.sources.dedup();
            all.push(Seeing { hazard, observation: Arc::new(observation) });
        }
    }
    all
}

/// The hazard with this code or name, in any case of letters.
#[must_use]
pub fn find(code_or_name: &str) -> Option<&'static Hazard> {
    let wanted = code_or_name.trim();
    REGISTER
        .iter()
        .copied()
        .find(|h| h.code.eq_ignore_ascii_case(wanted) || h.name.eq_ignore_ascii_case(wanted))
}

/// What a hazard is about: its code, name and doc comment as Markdown. None: no such hazard; see
/// [`nearest`].
#[must_use]
pub fn explain(code_or_name: &str) -> Option<String> {
    find(code_or_name).map(|hazard| {
        let body: Vec<&str> =
            hazard.doc.lines().map(|l| l.strip_prefix(' ').unwrap_or(l)).collect();
        format!(
            "# {} {}\n\n{}. At worst: {}.\n\n{}\n",
            hazard.code,
            hazard.name,
            hazard.summary,
            hazard.severity.words(),
            body.join("\n").trim()
        )
    })
}

/// The code or name nearest to what was written, if any is near.
#[must_use]
pub fn nearest(code_or_name: &str) -> Option<&'static str> {
    let wanted = code_or_name.trim().to_lowercase();
    REGISTER
        .iter()
        .flat_map(|h| [h.code, h.name])
        .map(|known| (strsim::jaro_winkler(&wanted, &known.to_lowercase()), known))
        .filter(|(likeness, _)| *likeness > 0.75)
        .max_by(|a, b| a.0.total_cmp(&b.0).then_with(|| b.1.cmp(a.1)))
        .map(|(_, known)| known)
}
