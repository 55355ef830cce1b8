//! How much every stage has in hand, each kind of reserve by itself: for plots over the sequence.
//!
//! Known to work by `tests/review/reserves.rs`: on scenes whose numbers are worked out by hand,
//! and by agreement with the least reserve of the stage's summary.

use crate::assembly::{Assembly, Member, MemberId};
use crate::checks::StageContext;
use crate::chunks::Chunks;
use crate::criteria::Pack;
use crate::mechanics::Verdict;
use crate::sequence::Stage;

/// What is known of a number.
#[derive(Clone, Debug, Default, PartialEq)]
pub enum Known {
    /// There is nothing it could be the number of.
    #[default]
    Nothing,
    Exactly(f64),
    /// Proven to be at least this, and not looked at further.
    AtLeast(f64),
    /// Proven to be below this.
    Below(f64),
    /// Could not be judged; why. Never to be drawn as a reserve.
    Unknown(String),
}

impl Known {
    /// The number that can be relied on: a bound from above is none.
    #[must_use]
    pub fn relied_on(&self) -> Option<f64> {
        match self {
            Self::Exactly(value) | Self::AtLeast(value) => Some(*value),
            Self::Nothing | Self::Below(_) | Self::Unknown(_) => None,
        }
    }
    #[must_use]
    pub fn is_unknown(&self) -> bool {
        matches!(self, Self::Unknown(_))
    }
    fn over(self, required: f64) -> Self {
        match self {
            Self::Exactly(v) => Self::Exactly(v / required),
            Self::AtLeast(v) => Self::AtLeast(v / required),
            Self::Below(v) => Self::Below(v / required),
            other => other,
        }
    }
}

/// One kind of reserve at one stage, capacity over demand: 1 is the limit.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct ReserveOf {
    pub known: Known,
    /// What the number is required to be, in its own measure: a factor, or newtons.
    pub required: f64,
    /// The member it is of, by name; empty for the stage as a whole.
    pub member: String,
}

/// The reserves of one stage.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Reserves {
    /// Critical load factor over the required one; 0 where something moves freely.
    pub critical: ReserveOf,
    /// Least push at a head over the required one.
    pub push: ReserveOf,
    /// Worst post: capacity over load, or second-order strength where that is less.
    pub post: ReserveOf,
    /// Worst tipping or sliding factor over the required one.
    pub tipping: ReserveOf,
    /// Capacity over load of every standing post with a load, by id.
    pub posts: Chunks<(MemberId, f32)>,
}

impl Reserves {
    /// The four kinds with their names.
    #[must_use]
    pub fn kinds(&self) -> [(&'static str, &ReserveOf); 4] {
        [
            ("critical load factor", &self.critical),
            ("least push", &self.push),
            ("worst post", &self.post),
            ("worst tipping", &self.tipping),
        ]
    }
}

/// The standing posts of a stage with how much of their capacity is used, where that is known.
pub(super) type PostUses<'a> = Vec<(&'a Member, Option<crate::checks::Use>)>;

pub(super) fn post_uses<'a>(ctx: &StageContext<'a>) -> PostUses<'a> {
    let posts = crate::checks::support::standing_posts(ctx.assembly, ctx.stage);
    posts.map(|post| (post, crate::checks::use_of(ctx, post))).collect()
}

/// The reserves of a judged stage.
#[must_use]
pub fn reserves(ctx: &StageContext<'_>) -> Reserves {
    with_posts(ctx, &post_uses(ctx))
}

/// The same with the use of its posts at hand.
pub(super) fn with_posts(ctx: &StageContext<'_>, uses: &PostUses<'_>) -> Reserves {
    let (posts, post) = posts(ctx, uses);
    Reserves {
        critical: critical(ctx),
        push: push(ctx),
        post,
        tipping: tipping(ctx),
        posts: posts.into(),
    }
}

fn critical(ctx: &StageContext<'_>) -> ReserveOf {
    let m = ctx.mechanics;
    let known = if let Verdict::Unknown(why) = &m.mechanisms_certain {
        Known::Unknown(why.clone())
    } else if !m.mechanisms.is_empty() {
        Known::Exactly(0.0)
    } else {
        factor(&m.critical, m.lowest_factor, m.required_factor)
    };
    ReserveOf {
        known: known.over(m.required_factor),
        required: m.required_factor,
        member: String::new(),
    }
}

fn factor(verdict: &Verdict, lowest: Option<f64>, required: f64) -> Known {
    match (verdict, lowest) {
        (Verdict::Unknown(why), _) => Known::Unknown(why.clone()),
        (_, Some(lowest)) => Known::Exactly(lowest),
        (Verdict::Met, None) => Known::AtLeast(required),
        (Verdict::NotMet, None) => Known::Below(required),
    }
}

fn push(ctx: &StageContext<'_>) -> ReserveOf {
    let m = ctx.mechanics;
    let required = m.required_push;
    let (known, member) = match (&m.push, &m.least_push) {
        // What moves freely stands no push at all; the least push is that of the rest.
        _ if !m.mechanisms.is_empty() => (Known::Exactly(0.0), String::new()),
        (Verdict::Unknown(why), _) => (Known::Unknown(why.clone()), String::new()),
        (verdict, Some(push)) => {
            let known = match verdict {
                _ if push.exact => Known::Exactly(push.force),
                Verdict::Met => Known::AtLeast(push.force.max(required)),
                _ => Known::Below(required),
            };
            (known, ctx.assembly.name(push.post).to_owned())
        }
        (Verdict::Met, None) => (Known::AtLeast(required), String::new()),
        (Verdict::NotMet, None) => (Known::Below(required), String::new()),
    };
    let known = if required > 0.0 { known.over(required) } else { Known::Nothing };
    ReserveOf { known, required, member }
}

fn posts(ctx: &StageContext<'_>, uses: &PostUses<'_>) -> (Vec<(MemberId, f32)>, ReserveOf) {
    let mut all = Vec::new();
    let mut worst: Option<(f64, MemberId)> = None;
    let mut unknown = None;
    for (post, usage) in uses {
        match usage {
            Some(usage) if usage.load > 0.0 => {
                let reserve = usage.capacity / usage.load;
                all.push((post.id, reserve as f32));
                if worst.is_none_or(|(least, _)| reserve < least) {
                    worst = Some((reserve, post.id));
                }
            }
            Some(usage) if usage.load.is_nan() => {
                unknown.get_or_insert((post.id, "its load is not a number"));
            }
            Some(_) => {}
            None => {
                unknown.get_or_insert((post.id, "its height is not in its capacity table"));
            }
        }
    }
    if let Some(strained) = ctx.mechanics.strength.worst() {
        let reserve = strained.reserve();
        if worst.is_none_or(|(least, _)| reserve < least) {
            worst = Some((reserve, strained.post));
        }
    }
    // One post of which nothing is known leaves the worst unknown, unless another is past its limit.
    let (known, member) = match (worst, unknown) {
        (Some((least, id)), None) => (Known::Exactly(least), Some(id)),
        (Some((least, id)), Some(_)) if least < 1.0 => (Known::Exactly(least), Some(id)),
        (_, Some((id, why))) => (Known::Unknown(why.to_owned()), Some(id)),
        (None, None) => (Known::Nothing, None),
    };
    let member = member.map_or_else(String::new, |id| ctx.assembly.name(id).to_owned());
    (all, ReserveOf { known, required: 1.0, member })
}

/// The worst of the overhangs, of several overhangs on one post, and of whole lines and pieces
/// that slide or tip on their feet.
fn tipping(ctx: &StageContext<'_>) -> ReserveOf {
    let name = |id: MemberId| ctx.assembly.name(id).to_owned();
    let equilibrium = ctx.equilibrium;
    let overhangs =
        equilibrium.tipping.iter().map(|t| (Known::Exactly(t.factor), t.required, name(t.member)));
    let shared =
        equilibrium.shared.iter().map(|s| (Known::Exactly(s.factor), s.required, String::new()));
    let ways = [&equilibrium.sideways.sliding, &equilibrium.sideways.tipping];
    let ways = ways.into_iter().flatten().map(|way| {
        let known =
            if way.at_least { Known::AtLeast(way.factor) } else { Known::Exactly(way.factor) };
        (known, way.required, way.posts.first().copied().map_or_else(String::new, name))
    });
    let worst = overhangs
        .chain(shared)
        .chain(ways)
        .map(|(known, required, member)| ReserveOf {
            known: known.over(required),
            required,
            member,
        })
        .min_by(|a, b| {
            // As in the stage's summary, what is known exactly comes before what is only proven.
            let value = |of: &ReserveOf| match of.known {
                Known::Exactly(value) => (false, value),
                _ => (true, of.known.relied_on().unwrap_or(f64::INFINITY)),
            };
            let (a, b) = (value(a), value(b));
            a.0.cmp(&b.0).then(a.1.total_cmp(&b.1))
        });
    worst.unwrap_or(ReserveOf { required: 1.0, ..ReserveOf::default() })
}

/// Required factors tried one after the other to find the actual one.
const LADDER: [f64; 2] = [30.0, 1e3];

/// The actual critical load factor of a stage, where the review only proved that it is at least
/// the required one. Dear: for one stage that somebody looks at. What it is *at least* where it is
/// larger than can be told.
#[must_use]
pub fn critical_factor(assembly: &Assembly, pack: &Pack, stage: &Stage) -> Known {
    let mut best = Known::Nothing;
    for required in LADDER {
        let mut pack = pack.clone();
        pack.critical_factor.value = required;
        let m = super::judge_one(assembly, &pack, stage).mechanics;
        if !m.mechanisms.is_empty() {
            return Known::Exactly(0.0);
        }
        match (&m.mechanisms_certain, factor(&m.critical, m.lowest_factor, required)) {
            (Verdict::Unknown(why), _) => return Known::Unknown(why.clone()),
            // What was proven before stays proven.
            (_, Known::Unknown(why)) => {
                return if best == Known::Nothing { Known::Unknown(why) } else { best };
            }
            (_, at_least @ Known::AtLeast(_)) => best = at_least,
            (_, found) => return found,
        }
    }
    best
}
