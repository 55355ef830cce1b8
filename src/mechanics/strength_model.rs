//! What the second-order check says of a stage: forces with lean and play, and what is left.

use crate::assembly::MemberId;
use crate::findings::Motion;
use crate::mechanics::stage_model::Verdict;
use crate::near::{Near, PIECE, Words};
use std::sync::Arc;

/// One post in one plan direction, both senses, under the loads times [`Strength::factor`].
///
/// Newtons, newton metres, metres. Compression and moment are those of the worst place. Moment and
/// use are rounded up by less than one part in 2·10⁹, sway by less than a millionth.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PostStrength {
    pub post: MemberId,
    /// Index into [`Strength::axes`].
    pub axis: u8,
    /// Compression, the most that any case brings. Rounded up: by less than 64 N times the factor, and by less
    /// than one part in 64 of what that comes to.
    pub compression: f64,
    /// Second-order moment, of the worst signs of lean, play, bow and eccentricity, with a share of what heavier
    /// posts of its lines bend more.
    pub moment: f64,
    /// `N/(A·fy) + M/(W·fy)`: one where the outermost fibre begins to yield. That share counts at the weakest
    /// piece of the post.
    pub usage: f64,
    /// Height of the worst place above the foot.
    pub at: f64,
    /// Second-order sway of the head under the loads themselves (without the factor).
    pub sway: f64,
    /// Compression at which the post would buckle or sway, from its own pieces between holds and
    /// the stiffness of what holds it; zero where nothing holds it this way. A lower bound.
    pub critical: f64,
    /// Length of the uniform, pin-ended tube with its outer tube's stiffness that buckles at
    /// [`PostStrength::critical`].
    pub effective_length: f64,
    /// Compression under the loads themselves that `critical` is held against.
    pub service: f64,
}

impl PostStrength {
    /// Yield over demand: above one it is strong enough. Not a multiplier of the load: sway grows
    /// faster than the load does.
    #[must_use]
    pub fn reserve(&self) -> f64 {
        1.0 / self.usage
    }

    /// Critical compression over the required multiple of the compression there is.
    #[must_use]
    pub fn elastic_reserve(&self, required_factor: f64) -> f64 {
        self.critical / (required_factor * self.service)
    }

    /// The lesser of the two, and which.
    #[must_use]
    pub fn governing(&self, required_factor: f64) -> (f64, Governs) {
        let (elastic, strength) = (self.elastic_reserve(required_factor), self.reserve());
        if elastic < strength { (elastic, Governs::Elastic) } else { (strength, Governs::Strength) }
    }
}

impl Words for PostStrength {
    type Words = [u64; 9];
    fn words(&self) -> [u64; 9] {
        let Self { post, axis, compression, moment, usage, at, sway, .. } = *self;
        let Self { critical, effective_length, service, .. } = *self;
        let name = u64::from(post.0) << 8 | u64::from(axis);
        let numbers = [compression, moment, usage, at, sway, critical, effective_length, service];
        let mut words = [name; 9];
        words[1..].iter_mut().zip(numbers).for_each(|(word, number)| *word = number.to_bits());
        words
    }
    fn of(words: &[u64; 9]) -> Self {
        let [name, ..] = *words;
        let [_, compression, moment, usage, at, sway, critical, effective_length, service] =
            words.map(f64::from_bits);
        #[expect(clippy::cast_possible_truncation, reason = "the parts of a name")]
        let (post, axis) = (MemberId((name >> 8) as u32), name as u8);
        Self {
            post,
            axis,
            compression,
            moment,
            usage,
            at,
            sway,
            critical,
            effective_length,
            service,
        }
    }
    fn section(&self, _: usize) -> usize {
        // Two directions a post, at most.
        self.post.index() / (PIECE / 2)
    }
}

/// Which of the two reserves is the lesser.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Governs {
    /// It would buckle or sway first.
    Elastic,
    /// It would yield first.
    Strength,
}

impl Governs {
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Elastic => "elastic stability",
            Self::Strength => "second-order strength",
        }
    }
}

/// A lateral case in which, with lean, no state of balance was found.
#[derive(Clone, Debug, PartialEq)]
pub struct LeanFall {
    /// The case in words.
    pub case: String,
    pub members: Vec<MemberId>,
    pub motion: Motion,
}

/// The second-order check of a stage.
#[derive(Clone, Debug, PartialEq)]
pub struct Strength {
    /// Whether no post yields anywhere under the loads times `factor`.
    pub verdict: Verdict,
    /// The loads are multiplied by this.
    pub factor: f64,
    /// Plan directions, unit vectors; each stands for both senses.
    pub axes: Vec<[f64; 2]>,
    /// By post, then by axis. Posts that move freely are left out: that is their finding.
    pub posts: Near<PostStrength>,
    /// Posts whose strength is not known, and why.
    pub unknown: Vec<(MemberId, String)>,
    /// Cases that lean and sway bring down.
    pub falls: Vec<LeanFall>,
    /// The stage sways out before its loads reach `factor`.
    pub unstable: bool,
}

impl Strength {
    /// Not judged yet.
    #[must_use]
    pub fn unknown(why: &str) -> Self {
        Self {
            verdict: Verdict::Unknown(why.to_owned()),
            factor: 1.0,
            axes: Vec::new(),
            posts: Near::default(),
            unknown: Vec::new(),
            falls: Vec::new(),
            unstable: false,
        }
    }

    /// The post and direction nearest to yielding.
    #[must_use]
    pub fn worst(&self) -> Option<PostStrength> {
        self.posts.iter().max_by(|a, b| a.usage.total_cmp(&b.usage).then(b.post.cmp(&a.post)))
    }

    /// What is known of a post, direction by direction.
    #[must_use]
    pub fn of(&self, post: MemberId) -> Vec<PostStrength> {
        let of_post = |p: &PostStrength| p.post == post;
        self.posts.iter().skip_while(|p| p.post < post).take_while(of_post).collect()
    }
}

/// How far heads sway in one lateral case, metres, along the case's direction.
#[derive(Clone, Debug, PartialEq)]
pub struct Sway {
    /// The case in words.
    pub case: String,
    pub direction: [f64; 2],
    /// The head that sways most, first order: the case's loads alone, posts upright and straight.
    pub post: MemberId,
    pub first_order: f64,
    /// The largest second-order sway, with lean, play, bow and eccentricity; none where it was
    /// not found.
    pub second_order: Option<f64>,
}

/// The diagonals and ties of one vertical plane.
#[derive(Clone, Debug, PartialEq)]
pub struct BraceLine {
    /// Index into [`Strength::axes`]: the direction in which it holds.
    pub axis: u8,
    /// Where it lies across that direction, metres.
    pub across: f64,
    pub members: Arc<[MemberId]>,
    /// Its part of the sideways force when each post leans alike. All lines of a direction
    /// together make one.
    pub share: f64,
}
