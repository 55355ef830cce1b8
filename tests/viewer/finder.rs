//! A member chosen by its name: for those who have no pointer, also in a lesson and while measuring.

use super::panels::{bench, state};
use egui_kittest::kittest::Queryable;
use standwell::viewer::panels::finder::{self, matches};
use standwell::viewer::panels::{View, member};
use standwell::viewer::vocab::{Intent, Item};

#[test]
fn words_of_a_name_find_it_and_what_is_there_comes_first() {
    let s = state();
    let review = s.review.as_ref().unwrap();
    let names = |typed: &str, stage: usize| -> Vec<&str> {
        matches(review, stage, typed).into_iter().map(|id| review.assembly.name(id)).collect()
    };
    assert_eq!(names("main.post.A1", 0)[0], "main.post.A1");
    assert_eq!(names("POST a1", 0)[0], "main.post.A1");
    assert_eq!(names("", 0), Vec::<&str>::new());
    assert_eq!(names("no such thing", 0), Vec::<&str>::new());
    // At the first stage one post is there, which one typed word finds before all others.
    let there = |name: &str| {
        let id = review.assembly.find(name).unwrap();
        review.sequence.stages[0].state(id).is_there()
    };
    let found = names("post", 0);
    let first_missing = found.iter().position(|n| !there(n)).unwrap();
    assert!(first_missing > 0 && found[first_missing..].iter().all(|n| !there(n)), "{found:?}");
}

#[test]
fn typed_and_entered_it_is_chosen_and_brought_near() {
    let s = state();
    let review = s.review.clone().unwrap();
    let mut harness = bench(s, finder::ui, [420.0, 400.0]);
    harness.run_steps(2);
    harness.get_by_label("Name of a member, or parts of it").type_text("post B2");
    harness.run_steps(2);
    harness.key_press(egui::Key::Enter);
    harness.run_steps(2);
    let post = Item::Member(review.assembly.find("main.post.B2").unwrap());
    let out = &harness.state().out;
    for wanted in [Intent::Choose(Some(post)), Intent::LookAt(post), Intent::AskForName(false)] {
        assert!(out.contains(&wanted), "{wanted:?} in {out:?}");
    }
}

fn card(ui: &mut egui::Ui, view: &View<'_>, out: &mut Vec<Intent>) {
    let review = view.state.review.as_ref().unwrap();
    member::ui(ui, view, review, review.assembly.find("main.post.B2").unwrap(), out);
}

#[test]
fn while_measuring_a_members_card_offers_its_ends() {
    let mut s = state();
    let review = s.review.clone().unwrap();
    let id = review.assembly.find("main.post.B2").unwrap();
    s.act(&Intent::Measure(true));
    let mut harness = bench(s, card, [420.0, 1400.0]);
    harness.get_by_label("its head").click();
    harness.run_steps(2);
    let head = review.assembly.member(id).ends[1];
    assert!(harness.state().out.contains(&Intent::MeasureAt(head)));
    let without = bench(state(), card, [420.0, 1400.0]);
    assert!(without.query_by_label("its head").is_none());
}
