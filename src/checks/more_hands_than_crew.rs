//! A step that needs more hands than there are.

use super::support::{measure, words};
use super::{Source, StageContext};
use crate::assembly::MemberId;
use crate::criteria::model::Seen;
use crate::findings::{Dimension, Group, Observation, RemedyKind, Severity};

crate::declare_hazard! {
    /// ## What it checks
    /// The most hands needed at one moment of a step, everything in hand counted, against the crew.
    ///
    /// ## Why it is dangerous
    /// Who has no hand free lets go of something, and it is the post that seemed to stand.
    ///
    /// ## Example
    /// `tests/checks/more_hands_than_crew/fires.ron`: the last post of a tower goes up with the other
    /// three in hand, and the crew is four.
    ///
    /// ## Limits
    /// Counts hands, not strength; heavy parts are `lift-too-heavy`. Cranes are not in it.
    ///
    /// ## Source
    /// Common practice, no published source; EM 385-1-1, 27.C.09, asks that posts be secured during
    /// assembly.
    pub static MORE_HANDS_THAN_CREW = {
        code: "SW503",
        name: "more-hands-than-crew",
        summary: "a step needs more hands than the crew has",
        severity: Severity::FixFirst,
        follows: [],
        sources: [Source { title: "EM 385-1-1", locator: "27.C.09", seen: Seen::Print }],
        check: check,
    }
}

fn check(ctx: &StageContext<'_>, out: &mut Vec<Observation>) {
    let stage = ctx.stage;
    if stage.hands_needed <= stage.crew {
        return;
    }
    let mut seen = Observation::new(
        Severity::FixFirst,
        format!(
            "Step {} needs {} hands at once, the crew is {}",
            stage.step, stage.hands_needed, stage.crew
        ),
        stage.touched.iter().map(|&m| ctx.assembly.name(m).to_owned()).collect(),
    );
    // Too many hands in one step after another, for the same things in hand, is one finding.
    seen.group = Group::Widens("hands".to_owned());
    seen.others = ctx
        .assembly
        .members
        .iter()
        .filter(|m| stage.state(m.id).is_held() && !stage.touched.contains(&m.id))
        .map(|m| m.name.clone())
        .collect();
    seen.evidence.measures.push(measure(
        "hands needed at once",
        f64::from(stage.hands_needed),
        Some(f64::from(stage.crew)),
        false,
        Dimension::Count,
    ));
    let mut in_hand: Vec<MemberId> = ctx
        .assembly
        .members
        .iter()
        .filter(|m| m.is_post() && (stage.state(m.id).is_held() || stage.released.contains(&m.id)))
        .map(|m| m.id)
        .collect();
    in_hand.sort_unstable();
    if in_hand.len() > 1 {
        seen.evidence.notes.push(format!(
            "In hand in this step: posts {}. A post stays in hand until a diagonal or a tie holds it \
             both ways: one that was left out, or comes late, keeps all in hand that hang on it.",
            words::posts(ctx.assembly, &in_hand)
        ));
    }
    seen.cure("split the step, or brace and release what is in hand first", &[RemedyKind::Brace]);
    seen.cures.push("bring another person".to_owned());
    out.push(seen);
}
