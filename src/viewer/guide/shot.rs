//! The picture on a permit's sheet: what the window shows of the scene when the permit is issued.
//!
//! It takes a frame or two; the permit is issued when it is there. A window that gives none, for it lies
//! folded away, delays the permit by some seconds and no more: the plan is on the sheet in any case. Known
//! to work by `tests/window/drive.sh`, which looks for the picture beside the permit and in its page.

use super::Wish;
use crate::viewer::camera::SceneRect;
use crate::viewer::idle::Wake;
use crate::viewer::state::ViewerState;
use crate::viewer::vocab::Intent;
use bevy::image::ImageFormat;
use bevy::prelude::*;
use bevy::render::renderer::RenderDevice;
use bevy::render::view::screenshot::{Screenshot, ScreenshotCaptured};
use bevy::window::PrimaryWindow;
use std::io::Cursor;
use std::sync::Arc;
use std::time::{Duration, Instant};

/// So long it is waited for.
const PATIENCE: Duration = Duration::from_secs(10);

/// Says whether there is a window that can be taken a picture of.
pub fn open_eyes(
    mut state: ResMut<'_, ViewerState>,
    device: Option<Res<'_, RenderDevice>>,
    windows: Query<'_, '_, (), With<PrimaryWindow>>,
) {
    state.guide.has_window = device.is_some() && !windows.is_empty();
}

/// Asks for the picture that is due, and for frames until it is there.
pub fn take(
    mut commands: Commands<'_, '_>,
    state: Res<'_, ViewerState>,
    mut asked: Local<'_, Option<Instant>>,
    mut intents: MessageWriter<'_, Intent>,
    mut wake: ResMut<'_, Wake>,
) {
    if !state.guide.picture_due {
        *asked = None;
        return;
    }
    wake.ask();
    match *asked {
        None => {
            *asked = Some(Instant::now());
            commands.spawn(Screenshot::primary_window()).observe(take_in);
        }
        Some(since) if since.elapsed() > PATIENCE => {
            intents.write(Intent::Guide(Wish::IssueWith(None)));
        }
        Some(_) => {}
    }
}

fn take_in(
    shot: On<'_, '_, ScreenshotCaptured>,
    rect: Res<'_, SceneRect>,
    windows: Query<'_, '_, &Window, With<PrimaryWindow>>,
    mut intents: MessageWriter<'_, Intent>,
    mut wake: ResMut<'_, Wake>,
) {
    let scale = windows.single().map_or(1.0, Window::scale_factor);
    let png = rect.0.and_then(|rect| png(&shot.image, rect, scale));
    intents.write(Intent::Guide(Wish::IssueWith(png.map(Arc::new))));
    wake.ask();
}

/// The scene's part of a picture of the window, as the bytes of a PNG file.
fn png(image: &Image, rect: Rect, scale: f32) -> Option<Vec<u8>> {
    let whole = image.clone().try_into_dynamic().ok()?;
    let limit = UVec2::new(whole.width(), whole.height());
    let corner = |at: Vec2| (at.max(Vec2::ZERO) * scale).round().as_uvec2().min(limit);
    let (low, high) = (corner(rect.min), corner(rect.max));
    let size = high.saturating_sub(low);
    if size.x < 8 || size.y < 8 {
        return None;
    }
    let part = whole.crop_imm(low.x, low.y, size.x, size.y).to_rgb8();
    let mut bytes = Cursor::new(Vec::new());
    part.write_to(&mut bytes, ImageFormat::Png.as_image_crate_format()?).ok()?;
    Some(bytes.into_inner())
}
