//! What the numbers rest on, opened from the cards: the same as the command line works out.

use super::panels::{bench, state_of};
use egui_kittest::kittest::Queryable;
use standwell::assembly::MemberId;
use standwell::calc::of_member;
use standwell::loads::path;
use standwell::report::load_tree::{What, rows};
use standwell::review::Review;
use standwell::viewer::panels::card;
use standwell::viewer::state::ViewerState;
use standwell::viewer::vocab::{Intent, Item, Unfolded};

fn at_the_end(job: &str) -> ViewerState {
    let mut s = state_of(standwell::cli::shipped::find(job).unwrap().text);
    s.act(&Intent::GoToStage(s.last_stage()));
    s
}

fn worst_post(review: &Review, stage: usize) -> MemberId {
    review.assembly.find(&review.summaries[stage].reserves.post.member).unwrap()
}

#[test]
fn a_click_on_the_heading_unfolds_it() {
    let mut s = at_the_end("slab-edge");
    let id = worst_post(s.review.as_ref().unwrap(), s.stage);
    s.act(&Intent::Choose(Some(Item::Member(id))));
    let mut harness = bench(s, card::ui, [360.0, 2400.0]);
    harness.get_by_label_contains("Hand calculation").click();
    harness.run_steps(2);
    harness.get_by_label_contains("Where its load comes from").click();
    harness.run_steps(2);
    let out = &harness.state().out;
    for unfolded in [Unfolded { calc: true, load: false }, Unfolded { calc: false, load: true }] {
        assert!(out.contains(&Intent::Unfold(unfolded)), "{out:?}");
    }
}

#[test]
fn the_card_writes_the_calculation_that_the_command_line_writes() {
    let mut s = at_the_end("slab-edge");
    let review = s.review.clone().unwrap();
    let id = worst_post(&review, s.stage);
    s.act(&Intent::Choose(Some(Item::Member(id))));
    s.act(&Intent::Unfold(Unfolded { calc: true, load: false }));
    let sheet = of_member(&review.at(s.stage).unwrap(), id, s.units);
    let lines: Vec<_> = sheet.sections.iter().flat_map(|s| &s.lines).collect();
    assert!(lines.len() > 5);
    let harness = bench(s, card::ui, [360.0, 9000.0]);
    for line in lines {
        let result = format!("{} = {}", line.symbol, line.value);
        assert!(harness.query_all_by_label_contains(&result).next().is_some(), "{result}");
    }
}

/// What the rows at the post's own level add up to is what is at its foot.
#[test]
fn the_tree_of_a_posts_load_adds_up_and_stands_in_the_card() {
    let mut s = at_the_end("slab-edge");
    let review = s.review.clone().unwrap();
    let id = worst_post(&review, s.stage);
    let (stage, loads) = (&review.sequence.stages[s.stage], &review.stages[s.stage].loads);
    let report = path::report(&review.assembly, &review.pack, stage, loads, id);
    let all = rows(&report);
    let sum: f64 = all.iter().filter(|r| r.deep == 0).map(|r| r.force).sum();
    assert!(report.force > 100.0 && (sum + report.rest - report.force).abs() < 0.01 * report.force);
    let beam = all.iter().find_map(|r| match r.what {
        What::Through(id) => Some(id),
        _ => None,
    });
    let beam = beam.unwrap();
    s.act(&Intent::Choose(Some(Item::Member(id))));
    s.act(&Intent::Unfold(Unfolded { calc: false, load: true }));
    let force = format!("{} at its foot", s.units.force(report.force));
    let mut harness = bench(s, card::ui, [360.0, 3000.0]);
    assert!(harness.query_all_by_label_contains(&force).next().is_some(), "{force}");
    assert!(harness.query_all_by_label_contains("the floor").next().is_some());
    let name = review.assembly.name(beam);
    harness.query_all_by_label(name).last().unwrap().click();
    harness.run_steps(2);
    assert!(harness.state().out.contains(&Intent::Choose(Some(Item::Member(beam)))));
}

/// A finding opens the calculation of the members it is about, where they are there.
#[test]
fn the_card_of_a_finding_opens_those_of_its_members() {
    let mut s = at_the_end("faulty-floor");
    let review = s.review.clone().unwrap();
    let there = |f: &standwell::findings::Finding| {
        let id = f.subjects.first().and_then(|n| review.assembly.find(n));
        id.is_some_and(|id| review.sequence.stages[f.from_stage].state(id).is_there())
    };
    let at = review.findings.iter().position(there).unwrap();
    s.act(&Intent::Choose(Some(Item::Finding(at))));
    s.act(&Intent::Unfold(Unfolded { calc: true, load: true }));
    let step = review.sequence.stages[s.stage].step.clone();
    let harness = bench(s, card::ui, [360.0, 9000.0]);
    let head = format!("), after step {step}");
    assert!(harness.query_all_by_label_contains(&head).next().is_some(), "{head}");
    assert!(
        harness.query_all_by_label_contains("Nothing lies on it").next().is_some()
            || harness.query_all_by_label_contains("at its foot; it can be").next().is_some()
    );
}
