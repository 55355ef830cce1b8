//! The range of axial force in each member over the load cases, and the compression the proof of
//! the critical factor takes.

use super::bands::{outwards, round_up};
use super::idealise::StageFrame;
use crate::assembly::MemberId;
use crate::loads::LoadState;
use crate::mechanics::stage_model::AxialRange;

/// Compressions are rounded up to so many binary digits (by less than one part in 128), from a least
/// band in newtons.
const DIGITS: u32 = 7;
const LEAST_BAND: f64 = 10.0;

/// Range of axial force in each frame member over the cases.
pub(super) struct Envelope {
    least: Vec<f64>,
    greatest: Vec<f64>,
    /// Largest compression, negative; zero where none.
    pub(super) compression: Vec<f64>,
}

impl Envelope {
    pub(super) fn new(frame: &StageFrame) -> Self {
        let n = frame.frame.members.len();
        Self {
            least: vec![f64::INFINITY; n],
            greatest: vec![f64::NEG_INFINITY; n],
            compression: vec![0.0; n],
        }
    }

    pub(super) fn take(&mut self, axial: &[f64]) {
        self.take_all(axial.iter().copied());
    }

    fn take_all(&mut self, axial: impl Iterator<Item = f64>) {
        let Self { least, greatest, compression } = self;
        let ranges = least.iter_mut().zip(greatest).zip(compression);
        for (((least, greatest), compression), n) in ranges.zip(axial) {
            *least = least.min(n);
            *greatest = greatest.max(n);
            *compression = compression.min(n);
        }
    }

    /// Takes two sums: of one and another, and of the one less the other.
    pub(super) fn take_both(&mut self, axial: &[f64], other: &[f64]) {
        let Self { least, greatest, compression } = self;
        let ranges = least.iter_mut().zip(greatest).zip(compression);
        for (((least, greatest), compression), (a, b)) in ranges.zip(axial.iter().zip(other)) {
            let [plus, minus] = [a + b, a - b];
            let low = plus.min(minus);
            *least = least.min(low);
            *greatest = greatest.max(plus.max(minus));
            *compression = compression.min(low);
        }
    }

    /// Takes one sum: of one, and so many times another.
    pub(super) fn take_sum(&mut self, axial: &[f64], times: f64, other: &[f64]) {
        self.take_all(axial.iter().zip(other).map(|(a, b)| a + times * b));
    }

    /// A post carries at least the most that the take-down can bring to it, whatever the braces
    /// share.
    pub(super) fn take_weights(&mut self, loads: &LoadState, frame: &StageFrame) {
        for (post, members) in &frame.of_post {
            let most = -loads.foot_greatest[post.index()];
            self.compression[members.clone()].iter_mut().for_each(|n| *n = n.min(most));
        }
    }

    /// A slab that carries itself may still lie on the posts left tight under it.
    pub(super) fn take_slabs(&mut self, on_posts: &[(MemberId, f64)], frame: &StageFrame) {
        if on_posts.is_empty() {
            return;
        }
        for (k, member) in frame.of.iter().enumerate() {
            if let Ok(at) = on_posts.binary_search_by_key(member, |(post, _)| *post) {
                self.compression[k] -= on_posts[at].1;
            }
        }
    }

    /// Rounds each compression up into its band, so that small changes of force elsewhere leave
    /// the matrix of a member as it is.
    pub(super) fn band(&mut self) {
        for n in &mut self.compression {
            *n = -round_up(-*n, LEAST_BAND, DIGITS);
        }
    }

    /// Says the range of each member, rounded outwards.
    pub(super) fn write(&self, frame: &StageFrame, axial: &mut [AxialRange]) {
        let mut seen = vec![false; axial.len()];
        for (k, &member) in frame.of.iter().enumerate() {
            let range = &mut axial[member.index()];
            let [least, greatest] = outwards(self.least[k], self.greatest[k]);
            if !std::mem::replace(&mut seen[member.index()], true) {
                *range = AxialRange { least, greatest };
            } else {
                range.least = range.least.min(least);
                range.greatest = range.greatest.max(greatest);
            }
        }
    }
}
