//! Teach, walk and sign: what intents change, what the panels say and want, and that no answer is on
//! the screen while it is asked for.

use egui::accesskit::Role::Button;
use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT, Queryable};
use standwell::lessons::{Card, Phase, Replay};
use standwell::record::PermitKind;
use standwell::viewer::guide::{self, Fields, Mode, Wish};
use standwell::viewer::materials::Coat;
use standwell::viewer::panels::{View, style};
use standwell::viewer::stage_paint::paint;
use standwell::viewer::state::{Errand, ViewerState};
use standwell::viewer::theme::{Look, Theme};
use standwell::viewer::vocab::{Intent, Item};
use std::path::Path;
use std::sync::Arc;

fn state() -> ViewerState {
    super::panels::state()
}

fn wish(state: &mut ViewerState, wish: Wish) -> Option<Errand> {
    state.act(&Intent::Guide(wish))
}

fn lesson(name: &str) -> ViewerState {
    let mut s = state();
    assert_eq!(wish(&mut s, Wish::Lesson(name.to_owned())), Some(Errand::Fit));
    assert_eq!(s.guide.problem, None);
    s
}

/// Goes on to the first card of a kind.
fn to(s: &mut ViewerState, kind: fn(&Card) -> bool) {
    for _ in 0..20 {
        let Mode::Teach(t) = &s.guide.mode else { panic!("no lesson") };
        let Some(card) = t.session.card().cloned() else { panic!("no such card") };
        if kind(&card) {
            return;
        }
        match card {
            Card::GoOn { .. } => drop(wish(s, Wish::GoOn(false))),
            Card::Choose { .. } => drop(wish(s, Wish::Pick(0))),
            Card::Mark { .. } => drop(wish(s, Wish::AnswerMarks)),
            Card::Say { .. } | Card::Replay { .. } => {}
        }
        wish(s, Wish::Next);
    }
    panic!("no such card");
}

fn is_mark(card: &Card) -> bool {
    matches!(card, Card::Mark { .. })
}

#[test]
fn while_a_question_is_open_nothing_on_the_screen_gives_the_answer() {
    let mut s = lesson("next-post");
    to(&mut s, is_mark);
    assert!(s.guide.conceals());
    let review = s.review.clone().unwrap();
    let hazard = |coat: Option<Coat>| matches!(coat, Some(Coat::Hazard(_)));
    assert!(
        paint(&review, s.stage, None).iter().any(|p| hazard(p.coat)),
        "there is something to find"
    );
    let veiled = guide::paint::veiled(&review, s.stage, &s.guide.veil().unwrap());
    assert!(!veiled.iter().any(|p| hazard(p.coat)));
    // A finding cannot be chosen, by key or by click.
    s.act(&Intent::NextFinding(1));
    s.act(&Intent::Choose(Some(Item::Finding(0))));
    assert_eq!(s.selection.chosen, None);
    let headline = review.findings[0].headline.clone();
    let harness = window(s);
    assert!(harness.query_all_by_label_contains(&headline).next().is_none(), "{headline}");
}

#[test]
fn a_click_is_a_mark_and_the_answer_is_shown_where_it_is() {
    let mut s = lesson("next-post");
    to(&mut s, is_mark);
    let review = s.review.clone().unwrap();
    let member = |name: &str| review.assembly.find(name).unwrap();
    let click =
        |s: &mut ViewerState, name: &str| s.act(&Intent::Choose(Some(Item::Member(member(name)))));
    click(&mut s, "main.post.A1");
    click(&mut s, "main.post.C1");
    click(&mut s, "main.post.A1");
    assert_eq!(s.guide.marks().unwrap().iter().collect::<Vec<_>>(), ["main.post.C1"]);
    let veiled = guide::paint::veiled(&review, s.stage, &s.guide.veil().unwrap());
    assert_eq!(veiled[member("main.post.C1").index()].coat, Some(Coat::Step), "a mark is seen");
    wish(&mut s, Wish::AnswerMarks);
    assert!(!s.guide.conceals());
    let Mode::Teach(t) = &s.guide.mode else { panic!() };
    assert!(t.session.told.as_ref().unwrap().right);
    let Some(Item::Finding(i)) = s.selection.chosen else { panic!("the fault is shown") };
    assert_eq!(review.findings[i].subjects, ["main.post.C1"]);
}

/// What is told to be in danger is what moves: the tower that a loose post hangs on is not.
#[test]
fn only_what_goes_over_is_shown_in_danger() {
    let mut s = lesson("next-post");
    to(&mut s, is_mark);
    let review = s.review.clone().unwrap();
    let follows = |f: &&standwell::findings::Finding| {
        f.root.is_some() && f.subjects.iter().any(|s| s == "main.post.A1")
    };
    let tips = review.findings.iter().find(follows).expect("all of it tips, the review says");
    assert!(standwell::viewer::state::stands_at(tips, s.stage));
    let grades = standwell::viewer::stage_paint::grades(&review, s.stage);
    let in_danger: Vec<&str> = review
        .assembly
        .members
        .iter()
        .filter(|m| grades[m.id.index()] == Some(standwell::viewer::theme::Grade::Stop))
        .map(|m| m.name.as_str())
        .collect();
    assert_eq!(in_danger, ["main.post.C1"]);
}

#[test]
fn leaving_a_lesson_brings_back_what_was_there_and_a_scene_read_meanwhile_waits() {
    let mut s = state();
    s.act(&Intent::GoToStage(1));
    let (before, path) = (s.review.clone().unwrap(), s.path.clone());
    wish(&mut s, Wish::Lesson("first-tower".to_owned()));
    assert!(!Arc::ptr_eq(s.review.as_ref().unwrap(), &before));
    wish(&mut s, Wish::Leave);
    assert!(Arc::ptr_eq(s.review.as_ref().unwrap(), &before));
    assert_eq!((s.path.clone(), s.stage), (path, 1));
    wish(&mut s, Wish::Lesson("first-tower".to_owned()));
    let other = Arc::new(super::site::review(2, 2));
    s.arrived(Path::new("other.ron"), other.clone());
    assert!(!Arc::ptr_eq(s.review.as_ref().unwrap(), &other), "the lesson goes on");
    wish(&mut s, Wish::Leave);
    assert!(Arc::ptr_eq(s.review.as_ref().unwrap(), &other));
    assert!(wish(&mut s, Wish::Lesson("no such".to_owned())).is_none());
    assert!(s.guide.problem.is_some());
}

#[test]
fn a_replay_lets_it_go_and_then_shows_it_right() {
    let mut s = lesson("next-post");
    to(&mut s, |card| matches!(card, Card::Replay { .. }));
    let wrong = s.review.clone().unwrap();
    wish(&mut s, Wish::Replay(true));
    assert!(s.moving && s.selection.chosen.is_some());
    let mut seen = vec![s.guide.shown().unwrap().1.phase];
    let mut far = 0.0f64;
    for _ in 0..400 {
        wish(&mut s, Wish::Tick(0.05));
        let now = s.guide.shown().unwrap().1;
        far = far.max(now.share);
        if seen.last() != Some(&now.phase) {
            seen.push(now.phase);
        }
    }
    assert_eq!(seen, [Phase::Before, Phase::Wrong, Phase::Gone, Phase::Right, Phase::Over]);
    assert!((far - 1.0).abs() < 1e-9);
    let right = s.review.clone().unwrap();
    assert!(!Arc::ptr_eq(&wrong, &right), "the scene done right is on screen");
    assert_eq!(right.sequence.stages[s.stage].step, "go");
    assert!(!s.moving);
    // A jump of the clock, after sleep say, does not jump over the fall.
    wish(&mut s, Wish::Replay(true));
    wish(&mut s, Wish::Tick(60.0));
    assert_eq!(s.guide.shown().unwrap().1.phase, Phase::Before);
    assert!(Replay::length() > 5.0);
}

#[test]
fn a_walk_goes_from_station_to_station_and_keeps_what_was_seen() {
    let folder = tempfile::tempdir().unwrap();
    let scene = folder.path().join("floor.ron");
    let mut s = ViewerState::default();
    let text = standwell::cli::shipped::find("starter-tower").unwrap().text;
    std::fs::write(&scene, text).unwrap();
    let review =
        standwell::review::judge(standwell::scene::load(&scene).unwrap(), &|_, _| true).unwrap();
    s.show(&scene, Arc::new(review));
    wish(&mut s, Wish::Walk);
    let at = |s: &ViewerState| match &s.guide.mode {
        Mode::Walk(w) => w.at,
        _ => panic!("no walk"),
    };
    wish(&mut s, Wish::Next);
    wish(&mut s, Wish::Back);
    wish(&mut s, Wish::Back);
    assert_eq!(at(&s), 0);
    for _ in 0..99 {
        wish(&mut s, Wish::Next);
    }
    let Mode::Walk(w) = &s.guide.mode else { panic!() };
    assert_eq!(w.at, w.walk.stations.len() - 1);
    wish(&mut s, Wish::Fields(Fields { trainee: "T. Sample".to_owned(), ..Fields::default() }));
    wish(&mut s, Wish::Seen(true));
    assert!(s.guide.problem.is_some(), "nobody is named: who was trained did not look");
    wish(
        &mut s,
        Wish::Fields(Fields {
            by: "N. Sample".to_owned(),
            note: "dry".to_owned(),
            ..Fields::default()
        }),
    );
    wish(&mut s, Wish::Seen(false));
    assert_eq!(s.guide.problem, None);
    let kept = std::fs::read_to_string(folder.path().join("floor.asbuilt.ron")).unwrap();
    assert!(kept.contains("N. Sample") && kept.contains("in_order:false"), "{kept}");
    let mut harness = window(s);
    assert!(harness.query_all_by_label_contains("not in order, N. Sample").next().is_some());
    let next = harness.get_by_role_and_label(Button, "Next ▶");
    assert!(next.accesskit_node().is_disabled(), "it is the last station");
    harness.get_by_role_and_label(Button, "◀ Back").click();
    harness.run_steps(2);
    assert!(harness.state().out.contains(&Intent::Guide(Wish::Back)));
}

#[test]
fn a_permit_over_sample_data_says_why_it_cannot_be_issued() {
    let folder = tempfile::tempdir().unwrap();
    let scene = folder.path().join("floor.ron");
    let text = standwell::cli::shipped::find("starter-tower").unwrap().text;
    std::fs::write(&scene, text).unwrap();
    let review =
        standwell::review::judge(standwell::scene::load(&scene).unwrap(), &|_, _| true).unwrap();
    let mut s = ViewerState::default();
    s.show(&scene, Arc::new(review));
    wish(&mut s, Wish::Permit(PermitKind::Load));
    assert_eq!(s.guide.problem, None);
    wish(&mut s, Wish::Fields(Fields { signer: "A. Sample".to_owned(), ..Fields::default() }));
    wish(&mut s, Wish::Issue);
    assert!(
        s.guide.problem.as_ref().is_some_and(|p| p.contains("in the way")),
        "{:?}",
        s.guide.problem
    );
    assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 1, "nothing was written");
    // Another text in the file than on the screen is no basis for a permit.
    std::fs::write(&scene, text.replace("size: 5", "size: 6")).unwrap();
    wish(&mut s, Wish::Draft);
    assert!(
        s.guide.problem.as_ref().is_some_and(|p| p.contains("read the scene again")),
        "{:?}",
        s.guide.problem
    );
    let harness = window(s);
    for part in [
        "Cannot be issued",
        "sample data",
        "no step of the scene places concrete",
        "no as-built record",
    ] {
        assert!(harness.query_all_by_label_contains(part).next().is_some(), "{part}");
    }
    assert!(harness.query_by_label_contains("Issue it").is_none());
}

/// Each signs for themselves, the void shows where the permit is, and where it is looked for again.
#[test]
fn an_issued_permit_stays_in_sight_and_says_that_it_is_void() {
    let job = super::fixture::Job::new();
    let scene = job.path("job.ron");
    let judge = || {
        let loaded = standwell::scene::load(&scene).unwrap();
        Arc::new(standwell::review::judge(loaded, &|_, _| true).unwrap())
    };
    let mut s = ViewerState::default();
    s.show(&scene, judge());
    let by = |by: &str, signer: &str| {
        Wish::Fields(Fields { by: by.into(), signer: signer.into(), ..Fields::default() })
    };
    wish(&mut s, by("W. Sample", "W. Sample"));
    wish(&mut s, Wish::Permit(PermitKind::Load));
    assert_eq!(s.guide.fields.signer, "", "the name of who walked is not put under a permit");
    wish(&mut s, Wish::Issue);
    assert!(s.guide.problem.is_some(), "nobody's name is no name");
    wish(&mut s, by("W. Sample", "A. Sample"));
    wish(&mut s, Wish::Issue);
    assert_eq!(s.guide.problem, None);
    assert!(standwell::viewer::title::words(&s).contains("permit to load, issued"));
    // Read again unchanged, it is not void; with a comment more it is.
    s.arrived(&scene, judge());
    assert!(standwell::viewer::title::words(&s).contains("permit to load, issued"));
    job.write("job.ron", &format!("{}// a comment\n", job.read("job.ron")));
    s.arrived(&scene, judge());
    assert!(standwell::viewer::title::words(&s).contains("permit to load, void"));
    let void = |s: ViewerState| {
        let harness = window(s);
        assert!(harness.query_by_label_contains("Issue it").is_none(), "it would be written over");
        let void = harness.query_by_label("✖ VOID").map(|node| node.rect());
        let others: Vec<egui::Rect> = ["Permit to load", "Hold points", "Look at its files again"]
            .iter()
            .filter_map(|text| harness.query_by_label(text).map(|node| node.rect()))
            .collect();
        // It comes before all else and is larger, and nothing says any more that it is issued.
        void.is_some_and(|v| {
            others.iter().all(|o| o.top() > v.bottom() && o.height() * 1.5 < v.height())
        }) && others.len() >= 2
            && harness.query_by_label_contains("■ Issued").is_none()
            && harness.query_by_label_contains("job.ron was changed").is_some()
    };
    assert!(void(s));
    let mut s = ViewerState::default();
    s.show(&scene, judge());
    wish(&mut s, Wish::Permit(PermitKind::Load));
    assert!(void(s), "a permit that lies there from before is held against its files too");
    std::fs::remove_file(job.path("job.permit-to-load.json")).unwrap();
    let mut s = ViewerState::default();
    s.show(&scene, judge());
    wish(&mut s, Wish::Permit(PermitKind::Load));
    assert!(window(s).query_by_label_contains("Issue it").is_some());
}

/// A job with changes kept at its end says the same on screen and in its file.
#[test]
fn a_job_with_changes_in_it_can_be_drafted() {
    let job = super::fixture::Job::new();
    let text = job.read("job.ron");
    let changes = "changes: [(name: \"tried\", change: TakeOut(\"main.brace.A1-B1.*\"))],\n)";
    let body = text.trim_end().strip_suffix(')').unwrap();
    job.write("job.ron", &format!("{body}{changes}\n"));
    let scene = job.path("job.ron");
    let loaded = standwell::scene::load(&scene).unwrap();
    let review = standwell::review::judge(loaded, &|_, _| true).unwrap();
    let mut s = ViewerState::default();
    s.show(&scene, Arc::new(review));
    wish(&mut s, Wish::Permit(PermitKind::Load));
    assert_eq!(s.guide.problem, None);
    assert!(matches!(&s.guide.mode, Mode::Permit(p) if p.permit.is_some()));
    // Without the change the file is another job than the one on screen.
    job.write("job.ron", &text);
    wish(&mut s, Wish::Draft);
    assert!(s.guide.problem.is_some());
}

/// In large type too the way on is in sight.
#[test]
fn a_station_has_its_way_on_in_sight() {
    let mut s = super::panels::state_of(standwell::cli::shipped::find("slab-edge").unwrap().text);
    s.look = Look::Contrast;
    wish(&mut s, Wish::Walk);
    let harness = window_of(s, egui::vec2(1000.0, 480.0));
    let next = harness.get_by_role_and_label(Button, "Next ▶").rect();
    assert!(next.bottom() < 480.0 - 28.0, "{next:?}");
}

#[test]
fn the_line_at_the_bottom_gives_no_number_of_findings_away_in_a_lesson() {
    let said = |s: ViewerState| window(s).query_by_label_contains(" findings").is_some();
    assert!(said(super::panels::state()));
    assert!(!said(lesson("first-tower")));
}

#[test]
fn buttons_of_a_lesson_say_what_is_wanted() {
    let mut s = lesson("first-tower");
    to(&mut s, |card| matches!(card, Card::GoOn { .. }));
    let mut harness = window(s);
    harness.get_by_role_and_label(Button, "2  Stop").click();
    harness.run_steps(2);
    let out = &harness.state().out;
    assert!(out.contains(&Intent::Guide(Wish::GoOn(false))), "{out:?}");
    let next = harness.get_by_role_and_label(Button, "Next ▶");
    assert!(next.accesskit_node().is_disabled(), "it waits for an answer");
}

#[test]
fn after_an_answer_the_card_says_which_it_was() {
    let said = |on: bool, text: &str| {
        let mut s = lesson("first-tower");
        to(&mut s, |card| matches!(card, Card::GoOn { .. }));
        wish(&mut s, Wish::GoOn(on));
        window(s).query_by_label(text).is_some()
    };
    assert!(said(true, "You said: go on") && !said(true, "You said: stop"));
    assert!(said(false, "You said: stop") && !said(false, "You said: go on"));
}

#[test]
fn what_was_tried_on_a_job_is_not_on_a_lesson() {
    let tried = |lesson: bool| {
        let mut s = super::panels::state();
        if lesson {
            wish(&mut s, Wish::Lesson("first-tower".to_owned()));
        }
        s.trying.stale = true;
        window(s).query_by_label("Tried").is_some()
    };
    assert!(tried(false), "beside the job itself it is shown");
    assert!(!tried(true));
}

struct Bench {
    state: ViewerState,
    theme: Theme,
    out: Vec<Intent>,
    dressed: bool,
}

/// The window's panels.
fn window(state: ViewerState) -> Harness<'static, Bench> {
    window_of(state, egui::vec2(1500.0, 1400.0))
}

fn window_of(state: ViewerState, size: egui::Vec2) -> Harness<'static, Bench> {
    let bench = Bench { state, theme: Theme::shipped().unwrap(), out: Vec::new(), dressed: false };
    let mut harness = Harness::builder().with_size(size).build_ui_state(
        move |ui, bench: &mut Bench| {
            let palette = bench.theme.palette(Look::Day);
            if !std::mem::replace(&mut bench.dressed, true) {
                style::apply(ui.ctx(), palette, &bench.theme.text);
                style::set_fonts(ui.ctx());
                return;
            }
            let view = View { state: &bench.state, palette, text: &bench.theme.text };
            standwell::viewer::layout::panels(ui, &view, &mut bench.out);
        },
        bench,
    );
    harness.run_steps(3);
    harness
}
