//! Panels without Bevy: what they say, and what they want when clicked.

use super::site;
use egui::accesskit::Role::Button;
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;
use standwell::findings::{Dimension, Severity};
use standwell::units::UnitSystem;
use standwell::viewer::layout;
use standwell::viewer::panels::measures::{Standing, standing};
use standwell::viewer::panels::{View, card, findings, strip, style};
use standwell::viewer::state::ViewerState;
use standwell::viewer::theme::{Look, Theme};
use standwell::viewer::vocab::{Filter, Intent, Item};
use std::path::Path;
use std::sync::Arc;

pub fn state() -> ViewerState {
    let mut state = ViewerState::default();
    state.show(Path::new("floor.ron"), Arc::new(site::review(3, 2)));
    state
}

/// A real scene, judged.
pub fn state_of(text: &str) -> ViewerState {
    let loaded = standwell::scene::read(text, Path::new("floor.ron")).unwrap();
    let review = standwell::review::judge(loaded, &|_, _| true).unwrap();
    let mut state = ViewerState::default();
    state.show(Path::new("floor.ron"), Arc::new(review));
    state
}

pub type Panel = fn(&mut egui::Ui, &View<'_>, &mut Vec<Intent>);

pub struct Bench {
    state: ViewerState,
    theme: Theme,
    pub out: Vec<Intent>,
    dressed: bool,
}

pub fn bench(state: ViewerState, panel: Panel, size: [f32; 2]) -> Harness<'static, Bench> {
    let bench = Bench { state, theme: Theme::shipped().unwrap(), out: Vec::new(), dressed: false };
    let mut harness = Harness::builder().with_size(egui::Vec2::from(size)).build_ui_state(
        move |ui, bench: &mut Bench| {
            let palette = bench.theme.palette(Look::Day);
            if !std::mem::replace(&mut bench.dressed, true) {
                style::apply(ui.ctx(), palette, &bench.theme.text);
                style::set_fonts(ui.ctx());
                return;
            }
            let view = View { state: &bench.state, palette, text: &bench.theme.text };
            panel(ui, &view, &mut bench.out);
        },
        bench,
    );
    harness.run_steps(2);
    harness
}

#[test]
fn clicking_a_finding_chooses_it_and_looks_at_it() {
    let mut harness = bench(state(), findings::ui, [340.0, 700.0]);
    harness
        .get_by_role_and_label(Button, "main.post.C3 is held along x by nothing: it can fall")
        .click();
    harness.run_steps(2);
    let out = &harness.state().out;
    assert!(out.contains(&Intent::Choose(Some(Item::Finding(0)))), "{out:?}");
    assert!(out.contains(&Intent::LookAt(Item::Finding(0))), "{out:?}");
}

#[test]
fn the_list_can_be_narrowed_by_severity_and_widened_to_all_stages() {
    let mut harness = bench(state(), findings::ui, [340.0, 700.0]);
    harness.get_by_role_and_label(Button, "fix first").click();
    harness.run_steps(2);
    harness.get_by_label("All stages").click();
    harness.run_steps(2);
    let out = &harness.state().out;
    let least = Intent::Filter(Filter { all_stages: false, least: Severity::FixFirst });
    let all = Intent::Filter(Filter { all_stages: true, least: Severity::Note });
    assert!(out.contains(&least) && out.contains(&all), "{out:?}");
}

/// With large text the panels leave the scene its room, whatever the window.
#[test]
fn text_of_any_size_leaves_the_scene_its_room() {
    for window in [[1280.0, 800.0], [1920.0, 1080.0]] {
        for text in [0.8, 1.0, 1.3, 1.6, 1.9, 2.0] {
            let size = egui::vec2(window[0], window[1]) / text;
            let theme = Theme::shipped().unwrap();
            let s = state_of(standwell::cli::shipped::find("faulty-floor").unwrap().text);
            let mut dressed = false;
            let area = std::rc::Rc::new(std::cell::Cell::new(egui::Rect::NOTHING));
            let left = area.clone();
            let mut harness = Harness::builder().with_size(size).build_ui(move |ui| {
                let palette = theme.palette(Look::Day);
                if !std::mem::replace(&mut dressed, true) {
                    style::apply(ui.ctx(), palette, &theme.text);
                    style::set_fonts(ui.ctx());
                    return;
                }
                let view = View { state: &s, palette, text: &theme.text };
                left.set(layout::panels(ui, &view, &mut Vec::new()));
            });
            harness.run_steps(3);
            let (wide, high) = (area.get().width() / size.x, area.get().height() / size.y);
            assert!(wide > 0.3 && high > 0.5, "{window:?} at {text}: {wide:.2} by {high:.2}");
        }
    }
}

#[test]
fn consequences_hang_under_their_root() {
    let mut s = state();
    s.act(&Intent::Filter(Filter { all_stages: true, least: Severity::Note }));
    let review = s.review.clone().unwrap();
    let order = findings::in_order(&review, &s.listed());
    let at = |i: usize| order.iter().position(|o| o.0 == i).unwrap();
    assert_eq!(at(1), at(0) + 1);
    assert_eq!((order[at(0)].1, order[at(1)].1), (0, 1));
    assert_eq!(order.len(), review.findings.len());
}

#[test]
fn findings_that_name_one_another_as_root_are_not_lost() {
    let mut review = site::review(2, 2);
    review.findings[0].root = Some(1);
    review.findings[1].root = Some(0);
    let all: Vec<usize> = (0..review.findings.len()).collect();
    assert_eq!(findings::in_order(&review, &all).len(), all.len());
}

#[test]
fn the_card_of_a_finding_tells_number_limit_cure_and_source() {
    let mut s = state();
    s.act(&Intent::Choose(Some(Item::Finding(0))));
    let mut harness = bench(s, card::ui, [340.0, 1200.0]);
    for text in [
        "45 N",
        "must be at least 222 N",
        "Connect the diagonal",
        "Some standard, clause 9",
        "from memory",
    ] {
        assert!(harness.query_all_by_label_contains(text).next().is_some(), "the card says {text}");
    }
    harness.get_by_label_contains("Show how it moves").click();
    harness.run_steps(2);
    assert!(harness.state().out.contains(&Intent::Move(true)));
}

#[test]
fn the_card_of_a_post_tells_what_holds_it_each_way() {
    let mut s = state();
    let review = s.review.clone().unwrap();
    let id = review.assembly.find("main.post.B2").unwrap();
    s.act(&Intent::GoToStage(s.last_stage()));
    s.act(&Intent::Choose(Some(Item::Member(id))));
    let harness = bench(s, card::ui, [340.0, 1600.0]);
    for text in [
        "main.post.B2",
        "3.000 m long",
        "Along x",
        "Along y",
        "Load at its foot",
        "Sample equipment data",
    ] {
        assert!(harness.query_all_by_label_contains(text).next().is_some(), "the card says {text}");
    }
}

#[test]
fn numbers_follow_the_units_chosen() {
    let mut s = state();
    s.act(&Intent::Units(UnitSystem::Feet));
    let id = s.review.as_ref().unwrap().assembly.find("main.post.B2").unwrap();
    s.act(&Intent::Choose(Some(Item::Member(id))));
    let harness = bench(s, card::ui, [340.0, 1600.0]);
    assert!(harness.query_all_by_label_contains("9 ft 10 1/8 in long").next().is_some());
}

#[test]
fn the_strip_goes_to_the_stage_under_the_pointer() {
    let s = state();
    let count = s.review.as_ref().unwrap().sequence.stages.len();
    let bars = egui::Rect::from_min_size(egui::pos2(100.0, 0.0), egui::vec2(500.0, 40.0));
    let span = strip::Span::all(count);
    let at = |x: f32| strip::stage_at(bars, span, egui::pos2(x, 10.0), count);
    assert_eq!((at(0.0), at(100.0), at(599.9), at(9000.0)), (0, 0, count - 1, count - 1));
    for stage in 0..count {
        let middle = 100.0 + 500.0 * (stage as f32 + 0.5) / count as f32;
        assert_eq!(at(middle), stage);
    }
}

#[test]
fn buttons_of_the_strip_step_and_play() {
    let mut harness = bench(state(), strip::ui, [900.0, 130.0]);
    harness.get_by_label("▶ Play").click();
    harness.run_steps(2);
    harness.get_by_label("◀").click();
    harness.run_steps(2);
    let out = &harness.state().out;
    assert!(out.contains(&Intent::Play(true)) && out.contains(&Intent::StepBy(-1)), "{out:?}");
}

/// Unknown is never shown as kept.
#[test]
fn a_number_that_is_none_is_unknown() {
    let with = |measured, limit, at_least| {
        standing(&site::measure("x", measured, limit, at_least, Dimension::Ratio))
    };
    assert_eq!(with(f64::NAN, 1.0, true), Standing::Unknown);
    assert_eq!(with(1.0, f64::NAN, false), Standing::Unknown);
    assert_eq!(with(1.0, 1.0, true), Standing::Kept);
    assert_eq!(with(0.999, 1.0, true), Standing::Broken);
    assert_eq!(with(1.001, 1.0, false), Standing::Broken);
}

/// All panels together at the sizes of small and large windows: the scene keeps a place.
#[test]
fn the_scene_keeps_its_place_in_windows_of_all_sizes() {
    fn whole(ui: &mut egui::Ui, view: &View<'_>, out: &mut Vec<Intent>) {
        let area = layout::panels(ui, view, out);
        assert!(area.width() > 200.0 && area.height() > 150.0, "{area:?}");
    }
    for size in [[900.0, 600.0], [1280.0, 800.0], [1920.0, 1080.0]] {
        bench(state(), whole, size);
    }
    bench(ViewerState::default(), whole, [900.0, 600.0]);
}

/// Another scene is being read: over the one on screen stands how far it is, and that it can be
/// called off. Judging a change of the scene on screen hides nothing of it.
#[test]
fn while_another_scene_is_read_it_is_said_and_can_be_called_off() {
    use standwell::viewer::panels::status;
    use standwell::viewer::state::Progress;
    let mut s = state();
    s.loading = Some(Progress { path: "other.ron".into(), done: 66, total: 1681 });
    fn card(ui: &mut egui::Ui, view: &View<'_>, out: &mut Vec<Intent>) {
        assert_eq!(status::reads_another(view), !view.state.trying.judging);
        status::progress(ui, view, out);
    }
    let mut harness = bench(s, card, [440.0, 200.0]);
    assert!(harness.query_all_by_label_contains("Reading other.ron").next().is_some());
    assert!(harness.query_all_by_label_contains("judged 66 of 1681 stages").next().is_some());
    harness.get_by_role_and_label(Button, "Cancel").click();
    harness.run_steps(2);
    assert!(harness.state().out.contains(&Intent::CancelLoading));
    let mut s = state();
    s.trying.judging = true;
    s.loading = Some(Progress { path: "floor.ron".into(), done: 1, total: 4 });
    bench(s, card, [440.0, 200.0]);
}

/// The demo stands at a stage where two posts can go over. The numbers of the rest are not the whole's.
#[test]
fn where_something_moves_freely_no_tick_is_the_whole_stages() {
    let mut s = state_of(standwell::cli::shipped::find("faulty-floor").unwrap().text);
    s.selection.chosen = None;
    let review = s.review.clone().unwrap();
    assert!(!review.stages[s.stage].mechanics.mechanisms.is_empty());
    let push = &review.summaries[s.stage].reserves.push.known;
    assert_eq!(*push, standwell::review::Known::Exactly(0.0), "what moves stands no push");
    let rest = |s: ViewerState| {
        let harness = bench(s, card::ui, [340.0, 1400.0]);
        harness.query_by_label_contains("The rest, as if what moves were held").is_some()
    };
    let mut before = state_of(standwell::cli::shipped::find("sound-floor").unwrap().text);
    before.selection.chosen = None;
    assert!(rest(s));
    assert!(!rest(before), "where nothing moves it is the whole");
}

/// While another scene is read, its card over the scene says how far it is; the line at the bottom
/// only where this scene is read again.
#[test]
fn how_far_the_reading_is_stands_in_one_place() {
    let said = |path: &str| {
        let mut s = state();
        let path = std::path::PathBuf::from(path);
        s.loading = Some(standwell::viewer::state::Progress { path, done: 3, total: 9 });
        let harness = bench(s, standwell::viewer::panels::status::ui, [1200.0, 40.0]);
        harness.query_all_by_label_contains("judged 3 of 9 stages").next().is_some()
    };
    assert!(said("floor.ron"));
    assert!(!said("another.ron"));
}

/// With the text made larger the window counts fewer points: nothing in the bar on top lies on
/// anything else, and the scene keeps a good part of the width.
#[test]
fn a_narrow_window_keeps_its_bar_apart_and_its_scene() {
    use std::sync::Mutex;
    static LEFT: Mutex<egui::Rect> = Mutex::new(egui::Rect::NOTHING);
    for width in [620.0, 760.0, 1100.0, 1600.0] {
        let panel: Panel = |ui, view, out| *LEFT.lock().unwrap() = layout::panels(ui, view, out);
        let harness = bench(state(), panel, [width, 500.0]);
        let scene = *LEFT.lock().unwrap();
        assert!(scene.width() > width * 0.3, "{width}: {scene:?}");
        let bar: Vec<egui::Rect> = harness
            .query_all_by_role(Button)
            .map(|node| node.rect())
            .filter(|rect| rect.bottom() < 46.0)
            .collect();
        assert!(bar.len() >= 7, "{width}: {}", bar.len());
        for (i, a) in bar.iter().enumerate() {
            for b in &bar[..i] {
                assert!(!a.shrink(1.0).intersects(b.shrink(1.0)), "{width}: {a:?} {b:?}");
            }
        }
    }
}
