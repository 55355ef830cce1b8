//! The picture while a trainee is asked: members in their own colours, marks, and nothing else.

use crate::review::Review;
use crate::viewer::materials::{Coat, Stroke};
use crate::viewer::stage_paint::{Paint, to_come};

/// How every member is drawn at a stage without saying anything of what was found. `marks` are names.
#[must_use]
pub fn veiled(review: &Review, stage: usize, marks: &[String]) -> Vec<Paint> {
    let assembly = &review.assembly;
    let Some(now) = review.sequence.stages.get(stage) else {
        return vec![Paint::NOTHING; assembly.members.len()];
    };
    let look = |m: &crate::assembly::Member| {
        let i = m.id.index();
        if !now.members[i].is_there() {
            return Paint { coat: None, stroke: to_come(m.role).then_some(Stroke::Ghost) };
        }
        let (coat, stroke) = if marks.contains(&m.name) {
            (Coat::Step, Stroke::Step)
        } else if now.members[i].is_held() {
            (Coat::Held, Stroke::Held)
        } else {
            (Coat::Own(m.role), Stroke::Edge)
        };
        Paint { coat: Some(coat), stroke: Some(stroke) }
    };
    assembly.members.iter().map(look).collect()
}
