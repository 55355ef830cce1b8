//! What bends a post more where one of its spans is pressed less.
//!
//! The check takes the most compression of every piece at once. In a post that is held between its ends
//! that is not always the worst: what is crooked in one span bends the next against what it would do by
//! itself, and a diagonal presses one span of a post and spares the others. On the same matrix a span pressed
//! less by D lacks the load that D puts on its crooked axis. Between its holds that is a beam on several
//! supports whose free moments are D times how far the axis is off the chord of each span; the moments over
//! the supports follow from the theorem of three moments (Clapeyron; from memory, held in the tests
//! against the fixed-end moments of handbooks). Where what is lacking would have relieved a place it is
//! added there; grown as the span grows it, by 1/(1 − C/Cₑ), Cₑ the Euler load of the span.
//!
//! D is what lateral forces, eccentric heads, crooked posts and the push can take off a span: twice what
//! they add. What the weight brings presses all spans of a post, and less of it bends all of them less. Not so
//! where feet have lifted: diagonals bear what the foot no longer does, and the lowest span of a post loses
//! what the next one keeps. There D is by how much less a span may be pressed than the check takes it to be.
//! A post that is held at its ends alone has one span, in which more compression always bends more. Holds are
//! taken as unyielding and the post as of one stiffness; what these change is small, and measured
//! (`tests/mechanics/whole_frame.rs`).

use crate::mechanics::beam_column::{Along, SAMPLES};
use crate::mechanics::frame::MemberKind;
use crate::mechanics::stage::idealise::StageFrame;
use std::f64::consts::PI;

/// Bars this square to a direction hold nothing along it: the part of their length along it, metres.
const ALONG: f64 = 1e-6;

/// By node: whether a bar holds it along an axis.
pub(super) fn holds(frame: &StageFrame, axis: [f64; 2]) -> Vec<bool> {
    let mut held = vec![false; frame.frame.nodes.len()];
    for member in frame.frame.members.iter().filter(|m| m.kind == MemberKind::Bar) {
        let run = frame.frame.nodes[member.j] - frame.frame.nodes[member.i];
        if (run.x * axis[0] + run.y * axis[1]).abs() > ALONG {
            (held[member.i], held[member.j]) = (true, true);
        }
    }
    held
}

/// A piece of a post in one state.
#[derive(Clone, Copy, Debug)]
pub(super) struct Pressed {
    pub length: f64,
    /// Of its axis before it bends: metres sideways per metre, and 1/m.
    pub slope: f64,
    pub curvature: f64,
    pub ei: f64,
    pub compression: f64,
    /// By how much it may be pressed less, newtons.
    pub less: f64,
    /// Whether its upper end is held.
    pub held: bool,
}

/// What may be lacking at the places of a piece, in the sense of EI·v″ with v to the side to which posts
/// are crooked: the most that the moment may be more, and less. Both positive.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Lacking {
    pub more: Along,
    pub less: Along,
}

/// A stretch between two holds.
struct Span {
    pieces: std::ops::Range<usize>,
    length: f64,
    /// First moments of the free moments per newton about the lower and the upper end, over the length.
    about: [f64; 2],
    /// By how much it may be pressed less, grown.
    less: f64,
}

/// Free moment per newton at a share of a piece, from what its axis is off the chord of the span at its ends.
fn off(piece: &Pressed, ends: [f64; 2], share: f64) -> f64 {
    let bow = piece.curvature * piece.length * piece.length / 2.0;
    ends[0] + (ends[1] - ends[0]) * share + bow * share * (1.0 - share)
}

/// Pieces from foot to head.
pub(super) fn lacking(pieces: &[Pressed]) -> Vec<Lacking> {
    let mut out = vec![Lacking::default(); pieces.len()];
    let last = pieces.len().saturating_sub(1);
    let mut first = 0;
    let mut ranges = Vec::new();
    for (k, piece) in pieces.iter().enumerate() {
        if piece.held || k == last {
            ranges.push(first..k + 1);
            first = k + 1;
        }
    }
    if ranges.len() < 2 {
        return out;
    }
    let mut ends = vec![[0.0; 2]; pieces.len()];
    let spans: Vec<Span> = ranges.into_iter().map(|range| span(pieces, range, &mut ends)).collect();
    for (loaded, of) in spans.iter().enumerate() {
        if of.less == 0.0 {
            continue;
        }
        let over = over_supports(&spans, loaded);
        for (k, span) in spans.iter().enumerate() {
            let mut from = 0.0;
            for p in span.pieces.clone() {
                for i in 0..SAMPLES {
                    let share = i as f64 / (SAMPLES - 1) as f64;
                    let at = (from + share * pieces[p].length) / span.length;
                    let mut free = over[k] * (1.0 - at) + over[k + 1] * at;
                    if k == loaded {
                        free += off(&pieces[p], ends[p], share);
                    }
                    // Bent towards the side it bows to, v″ is negative; and it is taken away.
                    let change = of.less * free;
                    out[p].more[i] += change.max(0.0);
                    out[p].less[i] += (-change).max(0.0);
                    if change.is_nan() {
                        (out[p].more[i], out[p].less[i]) = (change, change);
                    }
                }
                from += pieces[p].length;
            }
        }
    }
    out
}

fn span(pieces: &[Pressed], range: std::ops::Range<usize>, ends: &mut [[f64; 2]]) -> Span {
    let of = &pieces[range.clone()];
    let length: f64 = of.iter().map(|piece| piece.length).sum();
    let chord = of.iter().map(|piece| piece.slope * piece.length).sum::<f64>() / length;
    let (mut at, mut from, mut area, mut first) = (0.0, 0.0, 0.0, 0.0);
    let (mut less, mut rest): (f64, f64) = (0.0, 1.0);
    for (piece, ends) in of.iter().zip(&mut ends[range.clone()]) {
        let l = piece.length;
        let next = at + (piece.slope - chord) * l;
        *ends = [at, next];
        let own = (at + next) * l / 2.0 + piece.curvature * l.powi(3) / 12.0;
        first += from * own
            + (at / 2.0 + (next - at) / 3.0) * l * l
            + piece.curvature * l.powi(4) / 24.0;
        area += own;
        (at, from) = (next, from + l);
        // Not `max` and `min`, which would pass over what is not a number.
        less = if piece.less <= less { less } else { piece.less };
        let left = 1.0 - piece.compression * length * length / (PI * PI * piece.ei);
        rest = if left >= rest { rest } else { left };
    }
    let less = if rest > 0.0 { less / rest } else { f64::INFINITY };
    Span { pieces: range, length, about: [first / length, area - first / length], less }
}

/// Moments over the supports, ends included, with the free moments of one span alone.
fn over_supports(spans: &[Span], loaded: usize) -> Vec<f64> {
    let n = spans.len();
    let mut moment = vec![0.0; n + 1];
    // Elimination upwards through M₋·l + 2·M·(l + l₊) + M₊·l₊ = −6·(A·x̄/l + A₊·x̄₊/l₊).
    let (mut diagonal, mut right) = (vec![0.0; n + 1], vec![0.0; n + 1]);
    for j in 1..n {
        let (below, above) = (&spans[j - 1], &spans[j]);
        diagonal[j] = 2.0 * (below.length + above.length);
        right[j] = -6.0 * if loaded == j - 1 { below.about[0] } else { 0.0 };
        right[j] -= 6.0 * if loaded == j { above.about[1] } else { 0.0 };
        if j > 1 {
            let share = below.length / diagonal[j - 1];
            diagonal[j] -= share * below.length;
            right[j] -= share * right[j - 1];
        }
    }
    for j in (1..n).rev() {
        moment[j] = (right[j] - spans[j].length * moment[j + 1]) / diagonal[j];
    }
    moment
}

#[cfg(test)]
mod tests {
    use super::{Pressed, lacking};

    const STRAIGHT: Pressed = Pressed {
        length: 1.0,
        slope: 0.0,
        curvature: 0.0,
        ei: f64::INFINITY,
        compression: 0.0,
        less: 0.0,
        held: false,
    };

    /// A bow of height f pressed by D is a beam under q = 8·D·f/l². Beside it a span so short that it
    /// clamps: q·l²/8 = D·f over the hold, of which a quarter goes over into nothing at the pinned end; with
    /// a span as long, q·l²/16. An angle of height f in the middle is a force P = 4·D·f/l: 3·P·l/16 = 3/4 of
    /// D·f, half of it with a span as long. Source: handbook tables of beams, from memory.
    #[test]
    fn moments_over_a_hold_are_those_of_handbooks() {
        let (less, height, length) = (3000.0, 0.01, 2.0);
        let bow = Pressed {
            length,
            curvature: 8.0 * height / (length * length),
            less,
            held: true,
            ..STRAIGHT
        };
        let low = Pressed { length: 1.0, slope: height, less, ..STRAIGHT };
        let kinked = [low, Pressed { slope: -height, held: true, ..low }];
        for (other, bowed, angled) in [(1e-9, 1.0, 0.75), (length, 0.5, 0.375)] {
            let next = Pressed { length: other, ..STRAIGHT };
            for (pieces, due) in
                [(vec![bow, next], bowed), (vec![kinked[0], kinked[1], next], angled)]
            {
                let found = lacking(&pieces);
                let over = found.last().unwrap().less[0];
                assert!((over / (due * less * height) - 1.0).abs() < 1e-6, "{over}");
                assert_eq!(found.last().unwrap().more[0], 0.0);
            }
            // In the middle of the span itself: D·f less half of what is over the hold.
            let found = lacking(&[bow, next]);
            let middle = found[0].more[4];
            let due = less * height * (1.0 - bowed / 2.0);
            assert!((middle / due - 1.0).abs() < 1e-6, "{middle}");
        }
    }

    #[test]
    fn one_span_lacks_nothing_and_what_is_unknown_stays_so() {
        let bowed = Pressed { curvature: 0.01, less: 100.0, held: true, ..STRAIGHT };
        assert_eq!(lacking(&[bowed]), [super::Lacking::default()]);
        // A straight lean of a whole span is off no chord.
        let leaning = Pressed { slope: 0.02, less: 100.0, held: true, ..STRAIGHT };
        assert_eq!(lacking(&[leaning, leaning]), [super::Lacking::default(); 2]);
        let unknown = lacking(&[Pressed { less: f64::NAN, ..bowed }, STRAIGHT]);
        assert!(unknown[1].less[0].is_nan());
        // Pressed to its own Euler load it grows without bound.
        let slender = Pressed { ei: 1.0, compression: 10.0, ..bowed };
        assert!(lacking(&[slender, STRAIGHT])[1].less[0].is_infinite());
    }
}
