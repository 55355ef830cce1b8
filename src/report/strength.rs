//! Second-order strength, sway and bracing of a stage, in numbers for machines and words for people.

use super::Subject;
use crate::mechanics::stage::cases::direction_words;
use crate::mechanics::{PostStrength, StageMechanics, Verdict};
use crate::review::Review;
use crate::units::UnitSystem;
use schemars::JsonSchema;
use serde::Serialize;

/// Lines of bracing and sways said of one stage.
const SAID: usize = 6;

/// The second-order check of one stage.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct StrengthReport {
    /// `met`: nothing yields under the loads times `factor`, with lean, play, bow, eccentricity and
    /// sway. `not_met`, or `unknown`.
    pub verdict: String,
    /// Why it is unknown; null otherwise.
    pub why: Option<String>,
    /// The loads are multiplied by this.
    pub factor: f64,
    /// The post and direction nearest to yield. Null: no post was asked.
    pub worst: Option<PostStrengthReport>,
    /// Every post in every direction, where one stage alone was asked for; empty otherwise.
    pub posts: Vec<PostStrengthReport>,
    /// Largest sway of a head, lateral case by lateral case.
    pub sways: Vec<SwayReport>,
    /// Vertical bracing by plane.
    pub brace_lines: Vec<BraceLineReport>,
}

#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct PostStrengthReport {
    pub post: String,
    /// Plan direction of sway, both senses.
    pub direction: [f64; 2],
    /// Newtons, factor included.
    pub compression: f64,
    /// Second-order moment at the worst place, newton metres, factor included.
    pub moment: f64,
    /// N/(A·fy) + M/(W·fy); 1 is first yield.
    pub usage: f64,
    /// Height of the worst place above the foot.
    pub at: f64,
    /// Second-order sway of the head under the loads themselves.
    pub sway: f64,
    /// Yield over demand. Null: nothing presses or bends it.
    pub reserve: Option<f64>,
    /// Critical compression over the required multiple of what there is. Null: not held.
    pub elastic_reserve: Option<f64>,
    /// `elastic stability` or `second-order strength`: the lesser of the two reserves.
    pub governs: String,
    /// Lower bound of the compression at which it would buckle or sway. Null: not held.
    pub critical: Option<f64>,
    /// Of a uniform pin-ended column with the outer tube's stiffness. Null: not held.
    pub effective_length: Option<f64>,
}

#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct SwayReport {
    pub case: String,
    pub direction: [f64; 2],
    /// The head that sways most, first order.
    pub post: String,
    pub first_order: f64,
    /// The largest second-order sway, with lean, play, bow and eccentricity. Null: not found.
    pub second_order: Option<f64>,
}

#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct BraceLineReport {
    /// Plan direction in which it holds.
    pub direction: [f64; 2],
    /// Where it lies across that direction, metres.
    pub across: f64,
    pub members: Vec<String>,
    /// Its part of the sideways force when every post leans alike.
    pub share: f64,
}

impl StrengthReport {
    /// Of one stage; with every post where `all`.
    #[must_use]
    pub fn of(review: &Review, stage: usize, all: bool) -> Self {
        let Some(mechanics) = review.stages.get(stage).map(|s| &s.mechanics) else {
            return Self {
                verdict: "unknown".to_owned(),
                why: Some("not judged".to_owned()),
                factor: 1.0,
                worst: None,
                posts: Vec::new(),
                sways: Vec::new(),
                brace_lines: Vec::new(),
            };
        };
        let strength = &mechanics.strength;
        let name = |id| review.assembly.name(id).to_owned();
        let axis = |which: u8| strength.axes.get(usize::from(which)).copied().unwrap_or([0.0; 2]);
        let post = |p: &PostStrength| PostStrengthReport::of(p, name(p.post), mechanics);
        let (verdict, why) = match &strength.verdict {
            Verdict::Met => ("met", None),
            Verdict::NotMet => ("not_met", None),
            Verdict::Unknown(why) => ("unknown", Some(why.clone())),
        };
        Self {
            verdict: verdict.to_owned(),
            why,
            factor: strength.factor,
            worst: strength.worst().as_ref().map(post),
            posts: if all { strength.posts.iter().map(|p| post(&p)).collect() } else { Vec::new() },
            sways: mechanics
                .sways
                .iter()
                .map(|s| SwayReport {
                    case: s.case.clone(),
                    direction: s.direction,
                    post: name(s.post),
                    first_order: s.first_order,
                    second_order: s.second_order,
                })
                .collect(),
            brace_lines: if all {
                mechanics
                    .brace_lines
                    .iter()
                    .map(|l| BraceLineReport {
                        direction: axis(l.axis),
                        across: l.across,
                        members: l.members.iter().map(|&m| name(m)).collect(),
                        share: l.share,
                    })
                    .collect()
            } else {
                Vec::new()
            },
        }
    }
}

impl PostStrengthReport {
    fn of(p: &PostStrength, post: String, mechanics: &StageMechanics) -> Self {
        let elastic = p.elastic_reserve(mechanics.required_factor);
        let direction =
            mechanics.strength.axes.get(usize::from(p.axis)).copied().unwrap_or([0.0; 2]);
        Self {
            post,
            direction,
            compression: p.compression,
            moment: p.moment,
            usage: p.usage,
            at: p.at,
            sway: p.sway,
            reserve: Some(p.reserve()).filter(|r| r.is_finite()),
            elastic_reserve: Some(elastic).filter(|e| e.is_finite() && p.critical > 0.0),
            governs: p.governing(mechanics.required_factor).1.words().to_owned(),
            critical: Some(p.critical).filter(|c| *c > 0.0),
            effective_length: Some(p.effective_length).filter(|l| l.is_finite()),
        }
    }
}

/// Lines for the head of a text report: of the stage asked for, or the worst of all stages.
#[must_use]
pub fn lines(subject: &Subject<'_>) -> Vec<(&'static str, String)> {
    let review = subject.review;
    let units = subject.units;
    let Some(stage) = subject.selection.stage else {
        let worst = review
            .stages
            .iter()
            .enumerate()
            .filter_map(|(i, s)| Some((i, s.mechanics.strength.worst()?)))
            .max_by(|a, b| a.1.usage.total_cmp(&b.1.usage).then(b.0.cmp(&a.0)));
        let Some((index, worst)) = worst else { return Vec::new() };
        let said = least(review, &review.stages[index].mechanics, &worst, units);
        let at = review.sequence.stages.get(index).map_or("", |s| s.step.as_str());
        return vec![("strength", format!("least at stage {index} ({at}): {said}"))];
    };
    let Some(mechanics) = review.stages.get(stage).map(|s| &s.mechanics) else {
        return Vec::new();
    };
    let mut out = Vec::new();
    let strength = &mechanics.strength;
    let verdict = match &strength.verdict {
        Verdict::Met => format!("nothing yields at {:.2} times the load", strength.factor),
        Verdict::NotMet if !strength.falls.is_empty() => {
            "with its lean it would go over in a lateral case".to_owned()
        }
        Verdict::NotMet => format!("not enough at {:.2} times the load", strength.factor),
        Verdict::Unknown(why) => format!("unknown: {why}"),
    };
    match strength.worst() {
        Some(worst) => {
            let said = least(review, mechanics, &worst, units);
            out.push(("strength", format!("{verdict}; least at {said}")));
        }
        None => out.push(("strength", verdict)),
    }
    for sway in mechanics.sways.iter().take(SAID) {
        let second = sway.second_order.map_or_else(
            || "second order not found".to_owned(),
            |s| format!("at most {} with lean and second order", units.length(s)),
        );
        out.push((
            "sway",
            format!(
                "{}: {} at post {}, {second}",
                sway.case,
                units.length(sway.first_order),
                crate::checks::support::short(&review.assembly, sway.post),
            ),
        ));
    }
    for (which, axis) in strength.axes.iter().enumerate() {
        let shares: Vec<String> = mechanics
            .brace_lines
            .iter()
            .filter(|l| usize::from(l.axis) == which)
            .map(|l| format!("{:.0} % at {}", 100.0 * l.share, units.length(l.across)))
            .collect();
        if !shares.is_empty() {
            let more = shares.len().saturating_sub(SAID);
            let mut text = shares[..shares.len().min(SAID)].join(", ");
            if more > 0 {
                text.push_str(&format!(" and {more} more"));
            }
            out.push(("bracing", format!("holding {}: {text}", direction_words(*axis))));
        }
    }
    out
}

fn least(
    review: &Review,
    mechanics: &StageMechanics,
    worst: &PostStrength,
    units: UnitSystem,
) -> String {
    let (reserve, governs) = worst.governing(mechanics.required_factor);
    let axis = mechanics.strength.axes.get(usize::from(worst.axis)).copied().unwrap_or([1.0, 0.0]);
    let length = if worst.effective_length.is_finite() {
        format!(", effective length {}", units.length(worst.effective_length))
    } else {
        String::new()
    };
    format!(
        "post {} swaying {}: N {}, M {}, {:.0} % of yield; {} governs, reserve {reserve:.2}{length}",
        crate::checks::support::short(&review.assembly, worst.post),
        direction_words(axis),
        units.force(worst.compression),
        crate::units::show(worst.moment, crate::findings::Dimension::Moment, units),
        100.0 * worst.usage,
        governs.words(),
    )
}
