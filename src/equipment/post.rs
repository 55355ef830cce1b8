//! What a post's data says at a height: capacity, tubes, stiffness.

use super::model::{Jack, Post, Section};

/// Heights closer than this, in metres, are the same row of a table (0.1 mm).
const SAME_HEIGHT: f64 = 1e-4;

impl Section {
    /// Axial stiffness in newtons.
    #[must_use]
    pub fn ea(&self) -> f64 {
        self.e.si() * self.area.si()
    }
    /// Bending stiffness in newton square metres.
    #[must_use]
    pub fn ei(&self) -> f64 {
        self.e.si() * self.i.si()
    }
    /// Radius of gyration in metres.
    #[must_use]
    pub fn r(&self) -> f64 {
        (self.i.si() / self.area.si()).sqrt()
    }
}

impl Jack {
    /// What it carries at an extension in metres, by its basis: the row at it or the next longer
    /// one; without rows the same everywhere. None beyond the rows.
    #[must_use]
    pub fn capacity_at(&self, extension: f64) -> Option<f64> {
        if self.rows.is_empty() {
            return Some(self.capacity.si());
        }
        self.rows
            .iter()
            .map(|(row, force)| (row.si(), force.si()))
            .filter(|(row, _)| *row >= extension - SAME_HEIGHT)
            .min_by(|a, b| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)))
            .map(|(_, force)| force)
    }
}

/// A telescopic post drawn out to a height. Metres, newton square metres.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Telescope {
    /// Length of the outer tube, from the foot.
    pub lower: f64,
    /// Inner tube above the outer one, up to the head seat.
    pub upper: f64,
    /// Inner tube still inside the outer one.
    pub overlap: f64,
    pub lower_ei: f64,
    pub upper_ei: f64,
}

impl Post {
    /// The row that counts at a height in metres, and its axial force in newtons, by the table's
    /// basis: the row at this height or the next taller one. Never between rows, and none above
    /// the tallest: what lies beyond the table is unknown.
    #[must_use]
    pub fn capacity_at(&self, height: f64) -> Option<(f64, f64)> {
        if !height.is_finite() || height <= 0.0 {
            return None;
        }
        self.capacity
            .rows
            .iter()
            .map(|(row, force)| (row.si(), force.si()))
            .filter(|(row, _)| *row >= height - SAME_HEIGHT)
            .min_by(|a, b| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)))
    }

    /// Whether its data say what it carries at a height in metres.
    #[must_use]
    pub fn knows(&self, height: f64) -> bool {
        let table = !self.capacity.rows.is_empty();
        if table {
            self.capacity_at(height).is_some()
        } else {
            self.capacity.from_section.is_some()
        }
    }

    /// The least radius of gyration of the two tubes, in metres.
    #[must_use]
    pub fn least_r(&self) -> f64 {
        self.outer.r().min(self.inner.r())
    }

    /// Full length of the inner tube with what it holds up, in metres: it reaches from the seat
    /// down into the outer tube by the least overlap when the post is drawn out fully.
    #[must_use]
    pub fn inner_length(&self) -> f64 {
        self.reach.1.si() - self.outer_length.si() + self.overlap.si()
    }

    /// The tubes at a height from foot to head seat in metres, without a jack; none outside the
    /// post's reach (5 mm over or under is taken as the end of the reach).
    #[must_use]
    pub fn telescope(&self, height: f64) -> Option<Telescope> {
        if !self.reaches(height) {
            return None;
        }
        let lower = self.outer_length.si().min(height);
        let upper = height - lower;
        Some(Telescope {
            lower,
            upper,
            overlap: (self.inner_length() - upper).clamp(0.0, lower),
            lower_ei: self.outer.ei(),
            upper_ei: self.inner.ei(),
        })
    }

    /// Whether a height in metres lies within the reach, give or take 5 mm.
    #[must_use]
    pub fn reaches(&self, height: f64) -> bool {
        height >= self.reach.0.si() - super::FIT && height <= self.reach.1.si() + super::FIT
    }
}
