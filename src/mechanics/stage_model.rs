//! What the mechanics says of one stage.

use super::stage::grip::Grip;
use crate::assembly::MemberId;
use crate::findings::Motion;
use crate::mechanics::strength_model::{BraceLine, Strength, Sway};
use crate::near::{Near, PIECE, Words};

/// Whether a question was answered, and how.
#[derive(Clone, Debug, PartialEq)]
pub enum Verdict {
    Met,
    NotMet,
    /// Why it could not be decided.
    Unknown(String),
}

/// Members that can move together without any of them being strained.
#[derive(Clone, Debug, PartialEq)]
pub struct Mechanism {
    /// Members that move, sorted.
    pub members: Vec<MemberId>,
    /// Plan direction of the largest movement, unit vector.
    pub direction: [f64; 2],
    pub motion: Motion,
}

/// The least horizontal force at a head that topples something.
#[derive(Clone, Debug, PartialEq)]
pub struct Push {
    pub post: MemberId,
    pub direction: [f64; 2],
    /// Newtons. A lower bound where `exact` is false.
    pub force: f64,
    pub exact: bool,
    /// What goes over.
    pub members: Vec<MemberId>,
    pub motion: Motion,
}

/// Forces in one member over the load cases, newtons, tension positive, rounded outwards by less than
/// 10⁻⁷ N.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct AxialRange {
    pub least: f64,
    pub greatest: f64,
}

impl Words for AxialRange {
    type Words = [u64; 2];
    fn words(&self) -> [u64; 2] {
        [self.least, self.greatest].map(f64::to_bits)
    }
    fn of(words: &[u64; 2]) -> Self {
        let [least, greatest] = words.map(f64::from_bits);
        Self { least, greatest }
    }
    fn section(&self, place: usize) -> usize {
        place / PIECE
    }
}

/// A lateral case under which something goes over.
#[derive(Clone, Debug, PartialEq)]
pub struct Overturned {
    /// The case in words, such as `wind and notional lateral, +x`.
    pub case: String,
    pub direction: [f64; 2],
    /// Share of the case at which it goes.
    pub factor: f64,
    pub members: Vec<MemberId>,
    pub motion: Motion,
}

/// The answers for one stage.
#[derive(Clone, Debug, PartialEq)]
pub struct StageMechanics {
    pub mechanisms: Vec<Mechanism>,
    /// Whether the count of mechanisms has a clear gap behind it.
    pub mechanisms_certain: Verdict,
    /// Proof that the critical load factor is at least the required one.
    pub critical: Verdict,
    pub required_factor: f64,
    /// The actual lowest factor where it was computed, with its mode.
    pub lowest_factor: Option<f64>,
    pub mode: Option<Motion>,
    pub mode_members: Vec<MemberId>,
    /// Whether equilibrium is possible under notional lateral and wind, each way along each axis.
    pub lateral: Verdict,
    /// The lateral cases under which something goes over.
    pub overturned: Vec<Overturned>,
    /// Whether every head stands the required push each way.
    pub push: Verdict,
    pub required_push: f64,
    pub least_push: Option<Push>,
    /// All pushes below the required one.
    pub failing_pushes: Vec<Push>,
    /// Feet that lift under a lateral case, with the case's words.
    pub lifting_feet: Vec<(MemberId, String)>,
    /// The first foot to slip or lift under a growing lateral case, each way, by elastic forces.
    pub grip: Vec<Grip>,
    /// By member: range over the load cases.
    pub axial: Near<AxialRange>,
    /// Second-order strength of each post.
    pub strength: Strength,
    /// Sway of the heads, lateral case by lateral case.
    pub sways: Vec<Sway>,
    /// Vertical bracing by plane, with its part of the sideways force.
    pub brace_lines: Vec<BraceLine>,
    /// Largest relative equilibrium residual seen.
    pub residual: f64,
    /// Posts that could not be modelled, with the reason.
    pub not_modelled: Vec<(MemberId, String)>,
}

impl StageMechanics {
    /// A stage of which nothing is known yet, for `members` members.
    #[must_use]
    pub fn unknown(why: &str, members: usize, required_factor: f64, required_push: f64) -> Self {
        let unknown = || Verdict::Unknown(why.to_owned());
        Self {
            mechanisms: Vec::new(),
            mechanisms_certain: unknown(),
            critical: unknown(),
            required_factor,
            lowest_factor: None,
            mode: None,
            mode_members: Vec::new(),
            lateral: unknown(),
            overturned: Vec::new(),
            push: unknown(),
            required_push,
            least_push: None,
            failing_pushes: Vec::new(),
            lifting_feet: Vec::new(),
            grip: Vec::new(),
            axial: vec![AxialRange::default(); members].into(),
            strength: Strength::unknown(why),
            sways: Vec::new(),
            brace_lines: Vec::new(),
            residual: 0.0,
            not_modelled: Vec::new(),
        }
    }

    /// Gives every question the same answer.
    pub(super) fn answer_all(&mut self, verdict: &Verdict) {
        for answer in [
            &mut self.mechanisms_certain,
            &mut self.critical,
            &mut self.lateral,
            &mut self.push,
            &mut self.strength.verdict,
        ] {
            answer.clone_from(verdict);
        }
    }
}
