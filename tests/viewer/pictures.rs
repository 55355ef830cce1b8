//! Pictures of stages, drawn without a window. Skipped where there is no graphics adapter, except
//! when `CI` is set.

use super::site;
use standwell::viewer::picture::{Options, pixels};
use standwell::viewer::theme::Look;
use standwell::viewer::vocab::{Item, NamedView};
use std::sync::Arc;

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
    let options = Options { view, look, item, panels, labels: true };
    let image = pixels(review, stage, (1600, 1000), &options).unwrap();
    let path = format!("{folder}/{which}.png");
    image.try_into_dynamic().unwrap().to_rgb8().save(path).unwrap();
}
