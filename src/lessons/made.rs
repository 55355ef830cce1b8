//! A lesson made from any scene: at every step where something new goes wrong, and at some where
//! nothing does.

use super::model::{Card, FORMAT, Lesson, Planted};
use super::score::grave;
use crate::review::Review;

/// Questions a made lesson asks at most.
const MOST: usize = 12;

/// A lesson over the stages of a review. Where faults begin the trainee marks what is unsafe; the stage
/// before the first of them, and the last one, are asked about too, so that *nothing is wrong* is an
/// answer that occurs.
#[must_use]
pub fn made_from(review: &Review, name: &str) -> Lesson {
    let stages = &review.sequence.stages;
    let mut asked: Vec<usize> = review
        .findings
        .iter()
        .filter(|f| f.root.is_none() && grave(f))
        .map(|f| f.from_stage)
        .collect();
    asked.sort_unstable();
    asked.dedup();
    if let Some(before) = asked.first().and_then(|first| first.checked_sub(1)) {
        asked.insert(0, before);
    }
    let last = stages.len().saturating_sub(1);
    asked.push(last);
    asked.sort_unstable();
    asked.dedup();
    asked.truncate(MOST);
    let mut cards = Vec::new();
    for stage in asked.into_iter().filter_map(|i| stages.get(i)) {
        let at = stage.step.clone();
        let title = if stage.title.is_empty() { &stage.step } else { &stage.title };
        cards.push(Card::GoOn {
            at: at.clone(),
            question: format!("Just done: {title}. Would you go on?"),
        });
        let planted = super::faults_at(review, stage.index)
            .into_iter()
            .map(|f| Planted { code: f.code, members: f.subjects })
            .collect();
        cards.push(Card::Mark {
            at,
            question: "Mark what is not safe, or say that nothing is wrong.".to_owned(),
            hint: String::new(),
            planted,
        });
    }
    let scene = &review.assembly.scene;
    Lesson {
        format: FORMAT,
        name: name.to_owned(),
        title: scene.title.clone(),
        about: scene.about.clone(),
        minutes: u32::try_from(cards.len().div_ceil(2)).unwrap_or(u32::MAX),
        scene: name.to_owned(),
        right: None,
        cards,
    }
}
