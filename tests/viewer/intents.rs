//! The state: what intents change, and what a reload keeps.

use super::{panels::state, site};
use standwell::findings::Severity;
use standwell::viewer::stage_paint::{Paint, changed, paint};
use standwell::viewer::state::{Errand, ViewerState};
use standwell::viewer::theme::{Grade, Look, Theme};
use standwell::viewer::vocab::{Filter, Intent, Item};
use std::path::{Path, PathBuf};
use std::sync::Arc;

#[test]
fn a_scene_opens_at_the_stage_of_its_worst_finding() {
    let s = state();
    let review = s.review.as_ref().unwrap();
    assert_eq!(s.stage, review.findings[0].from_stage);
    assert_eq!(review.findings[0].severity, Severity::Stop);
}

#[test]
fn stages_stop_at_both_ends() {
    let mut s = state();
    s.act(&Intent::StepBy(-10_000));
    assert_eq!(s.stage, 0);
    s.act(&Intent::StepBy(i32::MAX));
    assert_eq!(s.stage, s.last_stage());
    s.act(&Intent::GoToStage(usize::MAX));
    assert_eq!(s.stage, s.last_stage());
}

#[test]
fn playing_from_the_end_begins_anew_and_a_step_by_hand_stops_it() {
    let mut s = state();
    s.act(&Intent::GoToStage(s.last_stage()));
    s.act(&Intent::Play(true));
    assert_eq!((s.stage, s.playing), (0, true));
    s.act(&Intent::StepBy(1));
    assert!(!s.playing);
}

#[test]
fn choosing_a_finding_of_another_stage_goes_there() {
    let mut s = state();
    s.act(&Intent::GoToStage(s.last_stage()));
    s.act(&Intent::Choose(Some(Item::Finding(0))));
    assert_eq!(s.stage, s.review.as_ref().unwrap().findings[0].from_stage);
}

#[test]
fn only_a_finding_with_a_motion_can_move() {
    let mut s = state();
    s.act(&Intent::Choose(Some(Item::Finding(2))));
    s.act(&Intent::Move(true));
    assert!(!s.moving);
    s.act(&Intent::Choose(Some(Item::Finding(0))));
    s.act(&Intent::Move(true));
    assert!(s.moving);
    s.act(&Intent::GoToStage(0));
    assert!(!s.moving, "it does not stand at the first stage");
}

#[test]
fn next_finding_walks_the_list_both_ways_and_round() {
    let mut s = state();
    let listed = s.listed();
    assert_eq!(s.act(&Intent::NextFinding(1)), Some(Errand::Frame(Item::Finding(listed[0]))));
    s.act(&Intent::NextFinding(-1));
    assert_eq!(s.selection.chosen, Some(Item::Finding(*listed.last().unwrap())));
    let mut empty = ViewerState::default();
    assert_eq!(empty.act(&Intent::NextFinding(1)), None);
}

#[test]
fn a_reload_keeps_stage_choice_and_filter_and_another_file_does_not() {
    let mut s = state();
    let id = s.review.as_ref().unwrap().assembly.find("main.post.B2").unwrap();
    s.act(&Intent::GoToStage(3));
    s.act(&Intent::Choose(Some(Item::Member(id))));
    let filter = Filter { all_stages: true, least: Severity::Watch };
    s.act(&Intent::Filter(filter));
    let step = s.review.as_ref().unwrap().sequence.stages[3].step.clone();
    // One bay more: ids change, names don't.
    s.show(Path::new("floor.ron"), Arc::new(site::review(4, 2)));
    let review = s.review.clone().unwrap();
    assert_eq!(review.sequence.stages[s.stage].step, step);
    let Some(Item::Member(now)) = s.selection.chosen else { panic!("still chosen") };
    assert_eq!(review.assembly.name(now), "main.post.B2");
    assert_eq!(s.filter, filter);
    s.show(Path::new("other.ron"), Arc::new(site::review(2, 2)));
    assert_eq!((s.selection.chosen, s.filter), (None, Filter::default()));
}

#[test]
fn what_is_chosen_goes_when_it_is_no_longer_there() {
    let mut s = state();
    let id = s.review.as_ref().unwrap().assembly.find("main.post.D3").unwrap();
    s.act(&Intent::Choose(Some(Item::Member(id))));
    s.show(Path::new("floor.ron"), Arc::new(site::review(2, 2)));
    assert_eq!(s.selection.chosen, None);
}

#[test]
fn errands_leave_the_state_alone() {
    let mut s = state();
    let path = PathBuf::from("elsewhere.ron");
    assert_eq!(s.act(&Intent::Open(path.clone())), Some(Errand::Load(path)));
    assert_eq!(s.act(&Intent::Reload), Some(Errand::Load(PathBuf::from("floor.ron"))));
    assert_eq!(s.act(&Intent::Fit), Some(Errand::Fit));
    assert_eq!(ViewerState::default().act(&Intent::Reload), None);
}

#[test]
fn a_step_repaints_only_what_differs() {
    let s = state();
    let review = s.review.as_ref().unwrap();
    for stage in 1..review.sequence.stages.len() {
        let (before, after) = (paint(review, stage - 1, None), paint(review, stage, None));
        let differ = changed(&before, &after);
        for (i, (b, a)) in before.iter().zip(&after).enumerate() {
            let listed = differ.iter().any(|id| id.index() == i);
            assert_eq!(b != a, listed);
        }
        assert!(
            differ.len() < review.assembly.members.len() / 2,
            "stage {stage}: {}",
            differ.len()
        );
    }
}

/// What is in danger is painted so, whatever else it is; what is not there is never painted.
#[test]
fn danger_is_painted_over_everything_else_but_absence() {
    use standwell::viewer::materials::Coat;
    let s = state();
    let review = s.review.as_ref().unwrap();
    for stage in 0..review.sequence.stages.len() {
        let paints = paint(review, stage, None);
        for (i, p) in paints.iter().enumerate() {
            let there = review.sequence.stages[stage].members[i].is_there();
            assert_eq!(p.coat.is_some(), there, "{}", review.assembly.members[i].name);
        }
        let post = review.assembly.find("main.post.C3").unwrap();
        if (review.findings[0].from_stage..=review.findings[0].last_stage).contains(&stage)
            && review.sequence.stages[stage].state(post).is_there()
        {
            assert_eq!(paints[post.index()].coat, Some(Coat::Hazard(Grade::Stop)));
        }
    }
    assert_eq!(paint(review, 9999, None)[0], Paint::NOTHING);
}

/// W3C, WCAG 2.2, success criteria 1.4.3 (text 4.5:1) and 1.4.11 (signs 3:1); from memory.
#[test]
fn text_and_signs_stand_out_from_what_they_lie_on() {
    let theme = Theme::shipped().unwrap();
    for look in Look::ALL {
        let p = theme.palette(look);
        let ratio = |a: standwell::viewer::theme::Ink, b: standwell::viewer::theme::Ink| {
            let (a, b) = (a.luminance() + 0.05, b.luminance() + 0.05);
            a.max(b) / a.min(b)
        };
        for back in [p.panel, p.panel_deep] {
            assert!(ratio(p.text, back) >= 4.5, "{look:?} text");
            assert!(
                ratio(p.text_soft, back) >= 4.5,
                "{look:?} soft text {}",
                ratio(p.text_soft, back)
            );
        }
        assert!(ratio(p.on_accent, p.accent) >= 4.5, "{look:?} on accent");
        for grade in Grade::ALL {
            let ratio = ratio(p.on_grade(grade), p.grade(grade));
            assert!(ratio >= 3.0, "{look:?} {grade:?}: {ratio}");
        }
        assert!(theme.text.small >= 13.0);
    }
}

/// The severities stay apart for the commonest colour blindness: dichromat simulation of Viénot,
/// Brettel and Mollon 1999 (protan and deutan matrices in linear RGB), from memory.
#[test]
fn severities_stay_apart_without_red_or_green() {
    const PROTAN: [[f64; 3]; 3] =
        [[0.11238, 0.88762, 0.0], [0.11238, 0.88762, 0.0], [0.00401, -0.00401, 1.0]];
    const DEUTAN: [[f64; 3]; 3] =
        [[0.29275, 0.70725, 0.0], [0.29275, 0.70725, 0.0], [-0.02234, 0.02234, 1.0]];
    let theme = Theme::shipped().unwrap();
    for look in Look::ALL {
        let p = theme.palette(look);
        let colours = [p.stop, p.fix_first, p.watch, p.unknown, p.step];
        for matrix in [PROTAN, DEUTAN] {
            let seen: Vec<[f64; 3]> = colours
                .iter()
                .map(|ink| {
                    let linear = ink.0.map(|c| (f64::from(c) / 255.0).powf(2.2));
                    [0, 1, 2].map(|r| {
                        let v: f64 = (0..3).map(|c| matrix[r][c] * linear[c]).sum();
                        v.clamp(0.0, 1.0).powf(1.0 / 2.2)
                    })
                })
                .collect();
            for a in 0..seen.len() {
                for b in 0..a {
                    let apart: f64 =
                        (0..3).map(|c| (seen[a][c] - seen[b][c]).powi(2)).sum::<f64>().sqrt();
                    assert!(apart > 0.12, "{look:?}: colours {a} and {b} are {apart:.3} apart");
                }
            }
        }
    }
}

/// The title says where one stands, and what is not saved.
#[test]
fn the_title_says_where_one_stands() {
    use standwell::viewer::title::words;
    let mut s = super::panels::state();
    s.act(&Intent::GoToStage(1));
    let step = s.review.as_ref().unwrap().sequence.stages[1].step.clone();
    let last = s.last_stage();
    assert_eq!(words(&s), format!("floor.ron: stage 1 of {last}, {step} – Standwell"));
    s.act(&Intent::AskForPath(true));
    assert!(words(&s).contains("path"));
    s.act(&Intent::Open("b.ron".into()));
    assert!(!s.asks_path);
    s.loading =
        Some(standwell::viewer::state::Progress { path: "b.ron".into(), done: 0, total: 0 });
    assert_eq!(words(&s), "reading b.ron – Standwell");
    assert_eq!(words(&Default::default()), "Standwell");
}
