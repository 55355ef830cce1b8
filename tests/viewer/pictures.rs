//! Pictures of stages, drawn without a window. Skipped where there is no graphics adapter, except
//! when `CI` is set.

use super::site;
use bevy::image::Image;
use standwell::findings::Severity;
use standwell::review::Review;
use standwell::viewer::adapter::{CannotDraw, guarded};
use standwell::viewer::picture::{Options, pixels};
use standwell::viewer::theme::{Look, Theme};
use standwell::viewer::vocab::{Item, NamedView};
use std::sync::Arc;

/// A small picture, or none where nothing can be drawn.
fn small(review: &Arc<Review>, stage: usize, options: &Options) -> Option<Image> {
    match pixels(review.clone(), stage, (480, 300), options) {
        Ok(image) => Some(image),
        Err(why) if why.is::<CannotDraw>() && std::env::var_os("CI").is_none() => {
            println!("skipped: {why}");
            None
        }
        Err(why) => panic!("{why:#}"),
    }
}

/// How many pixels are near the hue of stop: much more red than green or blue.
fn red(image: Image) -> usize {
    let image = image.try_into_dynamic().unwrap().to_rgb8();
    image.pixels().filter(|p| p.0[0] > 110 && p.0[1] < 85 && p.0[2] < 70).count()
}

/// The post in danger is seen in the picture at its stage, and not at a calm one. Without
/// labels, so that it is the members that are counted.
#[test]
fn danger_is_seen_in_the_picture_and_only_where_it_is() {
    let review = Arc::new(site::review(3, 2));
    let stop = &review.findings[0];
    let post = review.assembly.find(&stop.subjects[0]).unwrap();
    let there = |stage: usize| review.sequence.stages[stage].state(post).is_there();
    let at = (stop.from_stage..=stop.last_stage).find(|&s| there(s)).unwrap();
    let grave = |s: usize| review.summaries[s].worst >= Some(Severity::FixFirst);
    let stages = review.sequence.stages.len();
    let calm = (0..stages).rev().find(|&s| !grave(s)).unwrap();
    let options = Options { labels: false, ..Options::default() };
    let Some(danger) = small(&review, at, &options) else { return };
    let calm = small(&review, calm, &options).unwrap();
    let (danger, calm) = (red(danger), red(calm));
    assert!(danger > 60 && calm == 0, "{danger} red pixels in danger, {calm} in calm");
}

#[test]
fn a_missing_adapter_is_told_in_a_sentence() {
    let said = |words: &'static str| guarded(|| panic!("{words}")).unwrap_err();
    let none = said("Unable to find a GPU! Make sure you have installed required drivers!");
    assert_eq!(none, CannotDraw::NoAdapter);
    assert!(none.to_string().contains("mesa-vulkan-drivers"));
    let display = said("Failed to build event loop: Os(OsError)");
    assert!(matches!(display, CannotDraw::NoDisplay(_)), "{display:?}");
    assert!(matches!(said("something else"), CannotDraw::Other(_)));
    assert_eq!(guarded(|| 3), Ok(3));
}

#[test]
fn the_theme_reads() {
    let theme = Theme::shipped().unwrap();
    assert!(!theme.day.dark_mode && theme.dark.dark_mode);
}

/// Writes pictures to look at: `LOOK=folder cargo test --test viewer look -- --ignored`.
#[test]
#[ignore = "makes pictures for a person to look at"]
fn look() {
    let folder =
        std::env::var("LOOK").unwrap_or_else(|_| std::env::temp_dir().display().to_string());
    let review = Arc::new(site::review(12, 8));
    let stages = review.sequence.stages.len();
    let which = std::env::var("WHICH").unwrap_or_else(|_| "corner".to_owned());
    let (view, stage, look, item, panels) = match which.as_str() {
        "plan" => (NamedView::Plan, stages * 2 / 5, Look::Day, None, false),
        "front" => (NamedView::Front, stages - 1, Look::Day, None, false),
        "dark" => (NamedView::Corner, stages * 2 / 5, Look::Dark, None, false),
        "end" => (NamedView::Corner, stages - 1, Look::Day, None, false),
        "finding" => (NamedView::Corner, stages * 2 / 5, Look::Day, Some(Item::Finding(0)), false),
        "window" => (NamedView::Corner, stages * 2 / 5, Look::Day, Some(Item::Finding(0)), true),
        _ => (NamedView::Corner, stages * 2 / 5, Look::Day, None, false),
    };
    let options = Options { view, look, item, panels, ..Options::default() };
    let image = pixels(review, stage, (1600, 1000), &options).unwrap();
    let path = format!("{folder}/{which}.png");
    image.try_into_dynamic().unwrap().to_rgb8().save(path).unwrap();
}
