//! Pictures of the window in all its modes and colours, for a person to look at; nothing is asserted.

use standwell::lessons::Card;
use standwell::record::PermitKind;
use standwell::review::Review;
use standwell::viewer::guide::{Fields, Mode, Wish};
use standwell::viewer::picture::{Options, Studio};
use standwell::viewer::state::ViewerState;
use standwell::viewer::theme::Look;
use standwell::viewer::trying::NotSaved;
use standwell::viewer::vocab::{Intent, Item};
use std::path::{Path, PathBuf};
use std::sync::Arc;

fn wish(s: &mut ViewerState, wish: Wish) {
    s.act(&Intent::Guide(wish));
}

fn named(s: &mut ViewerState) {
    let name = || "R. Sample".to_owned();
    wish(s, Wish::Fields(Fields { by: name(), signer: name(), ..Fields::default() }));
}

/// Answers the card on screen, rightly or not.
fn answer(s: &mut ViewerState) {
    let Mode::Teach(t) = &s.guide.mode else { return };
    match t.session.card().cloned() {
        Some(Card::GoOn { .. }) => wish(s, Wish::GoOn(false)),
        Some(Card::Choose { .. }) => wish(s, Wish::Pick(0)),
        Some(Card::Mark { .. }) => wish(s, Wish::AnswerMarks),
        _ => {}
    }
}

type Prepare = Box<dyn Fn(&mut ViewerState)>;

/// Name of the picture, the shipped job, and what somebody did.
fn modes() -> Vec<(&'static str, &'static str, Prepare)> {
    let full = standwell::scene::keep::KeepError::Full { path: "/media/stick/floor.ron".into() };
    vec![
        (
            "walk",
            "slab-edge",
            Box::new(|s| {
                wish(s, Wish::Walk);
                named(s);
                wish(s, Wish::Next);
            }),
        ),
        (
            "permit",
            "starter-tower",
            Box::new(|s| {
                wish(s, Wish::Permit(PermitKind::Load));
                named(s);
            }),
        ),
        (
            "compare",
            "slab-edge",
            Box::new(|s| {
                s.pinned = Some(10);
                s.stage = 40;
            }),
        ),
        ("path", "starter-tower", Box::new(|s| s.asks_path = true)),
        ("name", "starter-tower", Box::new(|s| s.asks_name = true)),
        ("help", "starter-tower", Box::new(|s| s.help = true)),
        (
            "problem",
            "starter-tower",
            Box::new(|s| {
                let why = "floor.ron:12:5: there is no field \"lenght\"; did you mean \"length\"?";
                s.problem = Some(why.into());
            }),
        ),
        (
            "full",
            "starter-tower",
            Box::new(move |s| s.trying.not_saved = Some(NotSaved::of(&full, None))),
        ),
        (
            "measure",
            "starter-tower",
            Box::new(|s| {
                let post = s.review.as_ref().unwrap().assembly.find("main.post.A1").unwrap();
                let ends = s.review.as_ref().unwrap().assembly.member(post).ends;
                s.act(&Intent::Choose(Some(Item::Member(post))));
                s.act(&Intent::Measure(true));
                for end in ends {
                    s.act(&Intent::MeasureAt(end));
                }
            }),
        ),
    ]
}

fn read(job: &str) -> (PathBuf, Arc<Review>) {
    let text = standwell::cli::shipped::find(job).unwrap().text;
    let path = PathBuf::from(format!("shipped:{job}"));
    let loaded = standwell::scene::read(text, &path).unwrap();
    (path, Arc::new(standwell::review::judge(loaded, &|_, _| true).unwrap()))
}

/// The window as it is when a job was just opened.
fn opened(s: &mut ViewerState, path: &Path, review: &Arc<Review>) {
    s.guide = Default::default();
    s.trying = Default::default();
    (s.pinned, s.asks_path, s.asks_name, s.help) = (None, false, false, false);
    (s.problem, s.measure) = (None, None);
    s.selection.chosen = None;
    s.show(path, review.clone());
}

fn folder() -> String {
    let temp = || std::env::temp_dir().display().to_string();
    std::env::var("LOOK").unwrap_or_else(|_| temp())
}

fn save(image: bevy::image::Image, name: &str) {
    let to = format!("{}/{name}.png", folder());
    image.try_into_dynamic().unwrap().to_rgb8().save(to).unwrap();
}

/// `LOOK=folder WHICH=walk cargo test --test viewer look -- --ignored`; `TEXT=1.9` for large text.
#[test]
#[ignore = "makes pictures for a person to look at"]
fn look() {
    let which = std::env::var("WHICH").unwrap_or_else(|_| "all".to_owned());
    let text = std::env::var("TEXT").ok().and_then(|t| t.parse().ok()).unwrap_or(1.0);
    let mut studio = Studio::new((1600, 1000)).unwrap();
    for (name, job, prepare) in modes() {
        if which != "all" && which != name {
            continue;
        }
        let (path, review) = read(job);
        for look in Look::ALL {
            let options = Options { look, panels: true, text, ..Options::default() };
            let image = studio.take(review.clone(), 999, &options, |s| {
                opened(s, &path, &review);
                prepare(s);
            });
            save(image.unwrap(), &format!("{name}-{look:?}"));
        }
    }
}

/// Every card of the six lessons, before and after it is answered.
#[test]
#[ignore = "makes pictures for a person to look at"]
fn look_at_lessons() {
    let mut studio = Studio::new((1280, 800)).unwrap();
    let (path, review) = read("starter-tower");
    for (k, lesson) in standwell::lessons::SHIPPED.iter().enumerate() {
        let look = Look::ALL[k % Look::ALL.len()];
        let options = Options { look, panels: true, ..Options::default() };
        if std::env::var("WHICH").is_ok_and(|w| w != lesson.name) {
            continue;
        }
        let (read, _) = standwell::lessons::read(lesson.text, Path::new(lesson.name)).unwrap();
        for card in 0..=read.cards.len() {
            for answered in [false, true] {
                let mut there = true;
                let image = studio.take(review.clone(), 999, &options, |s| {
                    opened(s, &path, &review);
                    wish(s, Wish::Lesson(lesson.name.to_owned()));
                    for _ in 0..card {
                        answer(s);
                        wish(s, Wish::Next);
                    }
                    let Mode::Teach(t) = &s.guide.mode else { panic!("no lesson") };
                    let asks = !matches!(
                        t.session.card(),
                        None | Some(Card::Say { .. } | Card::Replay { .. })
                    );
                    there = t.session.card().is_some() && (asks || !answered);
                    if answered {
                        answer(s);
                    }
                });
                if there {
                    let which = if answered { "b" } else { "a" };
                    save(image.unwrap(), &format!("{}-{}{which}", lesson.name, card + 1));
                }
            }
        }
    }
}
