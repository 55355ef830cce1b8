//! Letters are in the picture of the very frame that asks for them.

use super::pictures::drawn;
use super::site;
use bevy::image::Image;
use bevy::prelude::*;
use bevy_egui::EguiContext;
use standwell::viewer::picture::{Options, Studio};
use std::sync::Arc;

/// Every letter is new at a size nobody has written in before. The frame that first asks for them is drawn
/// as those after it are.
#[test]
fn a_letter_is_drawn_in_the_frame_that_asks_for_it() {
    let Some(mut studio) = drawn(Studio::new((900, 600))) else { return };
    let review = Arc::new(site::review(3, 2));
    let options = Options { panels: true, ..Options::default() };
    studio.take(review.clone(), 3, &options, |_| {}).unwrap();
    let bytes = |image: Image| image.data.unwrap();
    for times in [1.13, 1.37, 1.61] {
        let resize = |world: &mut World| {
            let mut contexts = world.query::<&mut EguiContext>();
            for mut context in contexts.iter_mut(world) {
                context.get_mut().set_zoom_factor(times);
            }
        };
        let frames = studio.frames(4, resize).unwrap();
        let frames: Vec<Vec<u8>> = frames.into_iter().map(bytes).collect();
        let last = &frames[frames.len() - 1];
        let differs: Vec<usize> = frames
            .iter()
            .map(|f| f.chunks(4).zip(last.chunks(4)).filter(|(a, b)| a != b).count())
            .collect();
        println!("{times}: pixels that differ from the last frame: {differs:?}");
        assert!(differs.iter().all(|&n| n == 0), "{times}: {differs:?}");
    }
}
