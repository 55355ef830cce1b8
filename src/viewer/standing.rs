//! Lines on the screen, found by place: whether a plate lies over one of many is asked for hundreds of
//! plates a frame.
//!
//! Known to work by `tests/viewer/labels.rs`: it answers as looking through all lines does.

use crate::viewer::labels::{crosses, share_within};
use egui::{Pos2, Rect};

/// Side of a square of the screen, points.
const SIDE: f32 = 32.0;
/// At most so many squares each way: a screen that is larger has larger ones.
const MOST: usize = 256;

/// Lines within a part of the screen, in squares.
#[derive(Clone, Debug)]
pub struct Lines {
    area: Rect,
    side: f32,
    wide: usize,
    high: usize,
    lines: Vec<[Pos2; 2]>,
    /// Where each square's lines begin in `numbers`, and where the last one's end.
    starts: Vec<u32>,
    numbers: Vec<u32>,
}

impl Lines {
    /// Of those lines, what lies in `area`.
    #[must_use]
    pub fn within(area: Rect, lines: Vec<[Pos2; 2]>) -> Self {
        let sound = area.is_finite() && area.is_positive();
        let area = if sound { area } else { Rect::from_min_size(Pos2::ZERO, egui::Vec2::ZERO) };
        let side = SIDE.max(area.width().max(area.height()) / MOST as f32);
        let squares = |length: f32| (length / side).ceil().max(1.0) as usize;
        let (wide, high) = (squares(area.width()), squares(area.height()));
        let mut out =
            Self { area, side, wide, high, lines, starts: Vec::new(), numbers: Vec::new() };
        // First how many each square has, then which.
        let mut starts = vec![0u32; wide * high + 1];
        for line in &out.lines {
            out.squares(*line, |square| starts[square + 1] += 1);
        }
        for k in 1..starts.len() {
            starts[k] += starts[k - 1];
        }
        let mut next = starts.clone();
        let mut numbers = vec![0u32; starts.last().copied().unwrap_or(0) as usize];
        for (i, line) in out.lines.iter().enumerate() {
            out.squares(*line, |square| {
                numbers[next[square] as usize] = i as u32;
                next[square] += 1;
            });
        }
        (out.starts, out.numbers) = (starts, numbers);
        out
    }

    /// Column or row of a coordinate counted from the area's corner.
    fn step(&self, along: f32, most: usize) -> usize {
        // What lies before the first is in the first, what lies behind the last in the last.
        ((along / self.side).floor().max(0.0) as usize).min(most - 1)
    }

    /// Every square a line runs through, and a few beside it.
    fn squares(&self, line: [Pos2; 2], mut each: impl FnMut(usize)) {
        // More than what single precision leaves of a point on a large screen.
        const HAIR: f32 = 0.25;
        let Some([a, b]) = part_within(self.area, line) else { return };
        let (a, b) = if a.x <= b.x { (a, b) } else { (b, a) };
        let (a, b) = (a - self.area.min, b - self.area.min);
        let run = b.x - a.x;
        let [first, last] = [a.x - HAIR, b.x + HAIR].map(|x| self.step(x, self.wide));
        for column in first..=last {
            // The part of the line that is above or below this column.
            let [from, to] = if run > HAIR {
                [column as f32, (column + 1) as f32].map(|edge| {
                    let share = (edge * self.side - a.x) / run;
                    a.y + (b.y - a.y) * share.clamp(0.0, 1.0)
                })
            } else {
                [a.y, b.y]
            };
            let low = self.step(from.min(to) - HAIR, self.high);
            let high = self.step(from.max(to) + HAIR, self.high);
            for row in low..=high {
                each(row * self.wide + column);
            }
        }
    }

    /// Whether a plate within the area lies over one of the lines.
    #[must_use]
    pub fn meet(&self, plate: Rect) -> bool {
        if !self.area.intersects(plate) {
            return false;
        }
        let (low, high) = (plate.min - self.area.min, plate.max - self.area.min);
        let [left, right] = [low.x, high.x].map(|x| self.step(x, self.wide));
        let [top, bottom] = [low.y, high.y].map(|y| self.step(y, self.high));
        (top..=bottom).any(|row| {
            let row = row * self.wide;
            let squares = self.starts[row + left] as usize..self.starts[row + right + 1] as usize;
            self.numbers[squares].iter().any(|&i| {
                let [a, b] = self.lines[i as usize];
                crosses(plate, a, b)
            })
        })
    }
}

/// The part of a line that lies within a rectangle.
fn part_within(area: Rect, [a, b]: [Pos2; 2]) -> Option<[Pos2; 2]> {
    // In double precision: an end may lie a million points away.
    let on = |from: f32, to: f32, share: f64| {
        (f64::from(from) + (f64::from(to) - f64::from(from)) * share) as f32
    };
    let at = |share: f64| Pos2::new(on(a.x, b.x, share), on(a.y, b.y, share));
    share_within(area, a, b).map(|shares| shares.map(at))
}
