//! Lets the wrong thing happen, slowly, then shows it done right.
//!
//! What moves is the motion the review found: a shape with a free scale. It begins at rest and goes
//! faster and faster, as a thing that falls does, and stops well before the shape stops meaning
//! anything.

use crate::review::Review;

/// Seconds of each part.
const BEFORE: f64 = 2.0;
const WRONG: f64 = 5.0;
const HELD: f64 = 1.5;
const RIGHT: f64 = 4.0;
/// How far the fastest point goes, in metres for each metre of the tallest post that moves.
pub const FARTHEST: f64 = 0.45;

/// Part of a replay.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Phase {
    /// As it stands, before anything moves.
    Before,
    /// It goes.
    Wrong,
    /// Gone, held for a moment.
    Gone,
    /// Done right.
    Right,
    Over,
}

/// What to show at a moment.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Shown {
    pub phase: Phase,
    /// Share of the whole way that the moving members have gone, 0 to 1.
    pub share: f64,
}

/// A fault let go.
#[derive(Clone, Debug, PartialEq)]
pub struct Replay {
    /// Index of the finding whose motion it is.
    pub finding: usize,
    pub stage: usize,
    /// Displacement of both ends at the end of the way, by member name, metres.
    pub members: Vec<(String, [[f64; 3]; 2])>,
    /// Height of the tallest post that moves, metres; 0: none does.
    pub tallest: f64,
}

impl Replay {
    /// Of the first fault at a stage that has a motion; none where nothing moves.
    #[must_use]
    pub fn at_stage(review: &Review, stage: usize) -> Option<Self> {
        super::faults_at(review, stage)
            .iter()
            .find_map(|fault| Self::of_finding(review, fault.finding, stage))
    }

    /// Of one finding.
    #[must_use]
    pub fn of_finding(review: &Review, finding: usize, stage: usize) -> Option<Self> {
        let motion = review.findings.get(finding)?.evidence.motion.as_ref()?;
        let length = |v: &[f64; 3]| (v[0] * v[0] + v[1] * v[1] + v[2] * v[2]).sqrt();
        let (mut most, mut tallest) = (0.0f64, 0.0f64);
        for m in &motion.members {
            most = most.max(length(&m.first_end)).max(length(&m.second_end));
            if let Some(id) = review.assembly.find(&m.name) {
                let member = review.assembly.member(id);
                if member.is_post() {
                    tallest = tallest.max(member.length());
                }
            }
        }
        if !(most.is_finite() && most > 0.0) {
            return None;
        }
        let scale = FARTHEST * if tallest > 0.0 { tallest } else { 2.5 } / most;
        let members = motion
            .members
            .iter()
            .map(|m| (m.name.clone(), [m.first_end, m.second_end].map(|e| e.map(|x| x * scale))))
            .collect();
        Some(Self { finding, stage, members, tallest })
    }

    /// Seconds from beginning to end.
    #[must_use]
    pub fn length() -> f64 {
        BEFORE + WRONG + HELD + RIGHT
    }

    /// What to show after so many seconds.
    #[must_use]
    pub fn shown(seconds: f64) -> Shown {
        let shown = |phase, share| Shown { phase, share };
        let t = seconds.max(0.0);
        if t < BEFORE {
            shown(Phase::Before, 0.0)
        } else if t < BEFORE + WRONG {
            // cosh, as a thing leaves the balance it stood in; slow at first, then quick.
            let grow = 3.5;
            let x = (t - BEFORE) / WRONG;
            shown(Phase::Wrong, ((grow * x).cosh() - 1.0) / (grow.cosh() - 1.0))
        } else if t < BEFORE + WRONG + HELD {
            shown(Phase::Gone, 1.0)
        } else if t < Self::length() {
            shown(Phase::Right, 0.0)
        } else {
            shown(Phase::Over, 0.0)
        }
    }

    /// How long the fall really takes, in words, for the tallest post that moves.
    #[must_use]
    pub fn in_truth(&self) -> Option<String> {
        let seconds = fall_time(self.tallest, 1.0f64.to_radians())?;
        Some(format!(
            "Shown slowly. A post of this height that leans by one degree is on the floor in about \
             {seconds:.1} seconds, and for most of that time it hardly seems to move."
        ))
    }
}

/// Seconds for a uniform rod, free at its foot, to fall from a lean (radians) to the floor, out of rest.
///
/// Energy of a rod turning about its foot: `θ'² = (3 g / L)(cos θ0 − cos θ)`. The time is the integral
/// of `dθ / θ'`, with `θ = θ0 + u²` to take the root out of the start. None without a length or a lean.
#[must_use]
pub fn fall_time(length: f64, lean: f64) -> Option<f64> {
    const G: f64 = 9.806_65;
    let end = std::f64::consts::FRAC_PI_2;
    if !(length > 0.0 && length.is_finite() && lean > 0.0 && lean < end) {
        return None;
    }
    let rate = 3.0 * G / length;
    let top = (end - lean).sqrt();
    let steps = 4000u32;
    let speed = |u: f64| {
        // At the start cos θ0 − cos θ is sin θ0 u².
        let drop = lean.cos() - (lean + u * u).cos();
        if u < 1e-6 { (rate * lean.sin()).sqrt() } else { (rate * drop).sqrt() / u }
    };
    let h = top / f64::from(steps);
    // Midpoints: the ends need no care.
    let sum: f64 = (0..steps).map(|i| 2.0 / speed((f64::from(i) + 0.5) * h)).sum();
    Some(sum * h)
}
