//! What no post is free of: play where tubes join, and a bow. As offsets of its axis.
//!
//! - *Telescope*: the tubes stand at an angle of `play · (Dᵢ − dₒ)/overlap` to one another, and side
//!   by side by half of the clearance and half of the pin's play.
//! - *Jack*: it stands askew in the post by its own angle.
//! - *Bow*: a parabola from foot to head.
//!
//! Offsets of straight pieces act on a frame as pairs of forces C·slope at their ends, a bow as a
//! load C·curvature across the piece with as much less at its ends: exact for the beam-column
//! equation, whose offsets enter through C·(u + u₀)″ alone. A step between the tubes acts as a moment
//! C·step there; it may help or hurt the angle, and is added without sign.

use crate::assembly::model::{Assembly, Member, MemberId};
use crate::criteria::Pack;
use crate::equipment::model::{Post, Section};
use crate::mechanics::stage::idealise::StageFrame;
use std::collections::BTreeMap;

/// Pieces of a post shorter than this are none, metres.
const SAME_STATION: f64 = 0.005;

/// Offsets of all posts of a stage, by frame member.
#[derive(Clone, Debug, Default)]
pub(super) struct Offsets {
    /// Metres sideways per metre of length, towards the upper end.
    pub slope: Vec<f64>,
    /// 1/m, to the same side.
    pub curvature: Vec<f64>,
    /// Sum of the steps of a post, metres.
    pub step: BTreeMap<MemberId, f64>,
    /// Posts that do not state what is needed.
    pub unknown: Vec<(MemberId, String)>,
}

impl Offsets {
    pub(super) fn new(assembly: &Assembly, pack: &Pack, frame: &StageFrame) -> Self {
        let n = frame.frame.members.len();
        let mut out = Self {
            slope: vec![0.0; n],
            curvature: vec![0.0; n],
            step: BTreeMap::new(),
            unknown: Vec::new(),
        };
        for &post in frame.posts.keys() {
            if let Err(why) = out.add(assembly, pack, frame, post) {
                out.unknown.push((post, why));
            }
        }
        out
    }

    fn add(
        &mut self,
        assembly: &Assembly,
        pack: &Pack,
        frame: &StageFrame,
        id: MemberId,
    ) -> Result<(), String> {
        let post = assembly.member(id);
        let Some(part) = assembly.library.posts.get(&post.part) else {
            return Err(format!("no post part \"{}\" in the equipment", post.part));
        };
        let (Some(chain), Some(members)) = (frame.posts.get(&id), frame.of_post.get(&id)) else {
            return Err("not in the frame".to_owned());
        };
        let length = post.length();
        let kinks = kinks(assembly, pack, post, part)?;
        let sideways = |station: f64| -> f64 {
            kinks
                .iter()
                .map(|kink| {
                    let (low, high) = (kink.at, length - kink.at);
                    kink.angle * (station * high).min((length - station) * low) / length
                })
                .sum()
        };
        let bow = pack.bow.value * length;
        let parabola = |s: f64| 4.0 * bow * s * (length - s) / (length * length);
        for (k, pair) in members.clone().zip(chain.windows(2)) {
            let (low, high) = (pair[0].0, pair[1].0);
            let rise = sideways(high) - sideways(low) + parabola(high) - parabola(low);
            self.slope[k] = rise / (high - low);
            self.curvature[k] = 8.0 * bow / (length * length);
        }
        self.step.insert(id, kinks.iter().map(|kink| kink.step).sum());
        Ok(())
    }
}

/// An angle between two pieces of a post.
struct Kink {
    /// Station of the node it is at.
    at: f64,
    angle: f64,
    step: f64,
}

fn kinks(
    assembly: &Assembly,
    pack: &Pack,
    post: &Member,
    part: &Post,
) -> Result<Vec<Kink>, String> {
    let mut kinks = Vec::new();
    let length = post.length();
    let jack = post.jack.as_ref().map_or(0.0, |(_, extension)| *extension);
    if let Some((name, _)) = &post.jack
        && jack > SAME_STATION
    {
        let tilt = assembly
            .library
            .jacks
            .get(name)
            .ok_or_else(|| format!("no jack \"{name}\" in the equipment"))?
            .tilt
            .ok_or_else(|| format!("jack \"{name}\" does not state its tilt in the post"))?;
        kinks.push(Kink { at: jack, angle: tilt.si().tan(), step: 0.0 });
    }
    let top = jack + part.outer_length.si();
    if length - top <= SAME_STATION {
        return Ok(kinks);
    }
    let drawn = part
        .telescope(length - jack)
        .ok_or_else(|| format!("drawn out beyond the reach of \"{}\"", post.part))?;
    let play = part
        .pin_play
        .ok_or_else(|| format!("\"{}\" does not state the play of its pin", post.part))?;
    let clearance = clearance(&part.outer, &part.inner).ok_or_else(|| {
        format!("the tubes of \"{}\" are not round, or do not fit in one another", post.part)
    })?;
    if drawn.overlap <= SAME_STATION {
        return Err(format!("the tubes of \"{}\" do not overlap", post.part));
    }
    // The angle is somewhere in the overlap; where it throws the post out most is taken. The node
    // is at the top of the overlap, with the angle that gives as much there.
    let middle = (0.5 * length).clamp(top - drawn.overlap, top);
    let worse = middle * (length - middle) / (top * (length - top));
    kinks.push(Kink {
        at: top,
        angle: pack.telescope_play.value * clearance / drawn.overlap * worse,
        step: 0.5 * (clearance + play.si()),
    });
    Ok(kinks)
}

/// Inside of the outer tube less outside of the inner one, metres; `None` where there is no such
/// round tube. The inside follows from the outside and the area.
fn clearance(outer: &Section, inner: &Section) -> Option<f64> {
    let outside = outer.outside.si();
    let hollow = outside * outside - 4.0 * outer.area.si() / std::f64::consts::PI;
    let clear = (hollow > 0.0).then(|| hollow.sqrt() - inner.outside.si())?;
    (clear >= 0.0).then_some(clear)
}
