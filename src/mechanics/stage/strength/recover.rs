//! From displacements to the worst place of each post.

use super::Subject;
use super::clamped::joint_moment;
use super::families::Bows;
use super::of_frame::OfFrame;
use super::piece::along;
use super::relief::{self, Pressed};
use crate::assembly::model::MemberId;
use crate::mechanics::bent::Bends;
use crate::mechanics::element::Element;
use crate::mechanics::engine::stage_tree::TreeSolution;
use crate::mechanics::stage::bands::round_down;
use std::collections::BTreeMap;
use std::ops::Range;

/// Effects of one family of loads in one direction.
pub(super) struct Family<'a> {
    pub of: &'a TreeSolution,
    /// The posts' bow is among its loads.
    pub bow: bool,
}

/// A direction with its families.
pub(super) struct State<'a> {
    pub which: u8,
    /// Which of the states of its direction it is; 0: with all feet down.
    pub sense: u8,
    pub axis: [f64; 2],
    pub families: Vec<Family<'a>>,
}

impl State<'_> {
    pub(super) fn with_feet_up(&self) -> bool {
        self.sense != 0
    }
}

/// The worst place of a post in one direction.
#[derive(Clone, Copy, Debug)]
pub(super) struct Worst {
    pub post: MemberId,
    pub which: u8,
    pub compression: f64,
    pub moment: f64,
    pub usage: f64,
    pub at: f64,
    /// Head, in the state, metres.
    pub sway: f64,
}

/// Posts that could not be worked out, and why.
pub(super) type Unanswered = Vec<(MemberId, String)>;

/// Of least critical compressions: so many binary digits count.
pub(super) const DIGITS: u32 = 6;

/// All that does not depend on the direction.
pub(super) struct Data<'a> {
    pub subject: &'a Subject<'a>,
    pub elements: &'a [Element],
    pub of_frame: &'a OfFrame,
    /// Compression of each frame member in the state, positive.
    pub compression: &'a [f64],
    /// Compression at which each post would buckle, direction by direction; see `effective`.
    pub critical: &'a BTreeMap<MemberId, Vec<f64>>,
    /// Posts that are not asked.
    pub left_out: &'a dyn Fn(MemberId) -> bool,
}

/// The worst places of posts, kept with all that they were worked out from.
#[derive(Clone, Debug, Default)]
pub(super) struct Places {
    kept: BTreeMap<(MemberId, u8, u8), Known>,
    words: Vec<u64>,
    bends: Bends,
    /// Counts the stages of which all posts were asked.
    stage: u64,
    pub(super) bows: Bows,
}

#[derive(Clone, Debug)]
struct Known {
    words: Vec<u64>,
    /// Least critical compression that was counted with.
    least: f64,
    worst: Worst,
    /// The last stage at which it was right.
    stage: u64,
}

/// The worst place of each post in each direction with all feet down; posts that could not be worked out by
/// name. `otherwise`: by frame member, whether anything of it may be otherwise than when this was asked last.
pub(super) fn all_posts(
    data: &Data<'_>,
    states: &[State<'_>],
    otherwise: &[bool],
    places: &mut Places,
) -> (Vec<Worst>, Unanswered) {
    places.stage += 1;
    posts(data, states, Some(otherwise), places)
}

/// The same of some posts in a state.
pub(super) fn some_posts(
    data: &Data<'_>,
    state: State<'_>,
    places: &mut Places,
) -> (Vec<Worst>, Unanswered) {
    posts(data, &[state], None, places)
}

fn posts(
    data: &Data<'_>,
    states: &[State<'_>],
    otherwise: Option<&[bool]>,
    places: &mut Places,
) -> (Vec<Worst>, Unanswered) {
    let frame = data.subject.frame;
    let (mut out, mut unknown) = (Vec::new(), Vec::new());
    for (&post, members) in &frame.of_post {
        if (data.left_out)(post) {
            continue;
        }
        let beside = data.of_frame.beside.get(&post).map_or(&[][..], |beside| &beside[..]);
        // Rounded, so that a little more drift somewhere else makes no other number of it.
        let least = data.critical.get(&post).and_then(|c| c.iter().copied().reduce(f64::min));
        let least = round_down(least.unwrap_or(0.0), DIGITS);
        let mut all = members.clone().chain(beside.iter().map(|beside| beside.bar));
        let as_before = otherwise.is_some_and(|otherwise| !all.any(|k| otherwise[k]));
        for state in states {
            let key = (post, state.which, state.sense);
            if as_before
                && let Some(known) = places.kept.get_mut(&key)
                && known.stage + 1 == places.stage
                && known.least.to_bits() == least.to_bits()
            {
                known.stage = places.stage;
                out.push(known.worst);
                continue;
            }
            let held = &data.of_frame.held[usize::from(state.which)];
            let extra = joint_moment(data, state, (post, members.clone()), beside, least);
            let mut words = std::mem::take(&mut places.words);
            worked_out_from(data, state, (post, members.clone()), (extra, held), &mut words);
            let stage = places.stage;
            match places.kept.get_mut(&key).filter(|known| known.words == words) {
                Some(known) => {
                    (known.least, known.stage) = (least, stage);
                    out.push(known.worst);
                }
                None => {
                    let of = (post, members.clone());
                    match worst(data, &mut places.bends, state, of, (extra, held)) {
                        Ok(worst) => {
                            out.push(worst);
                            let words = words.clone();
                            places.kept.insert(key, Known { words, least, worst, stage });
                        }
                        Err(why) => unknown.push((post, why.to_owned())),
                    }
                }
            }
            places.words = words;
        }
    }
    (out, unknown)
}

/// All that the worst place of a post follows from.
fn worked_out_from(
    data: &Data<'_>,
    state: &State<'_>,
    (post, members): (MemberId, Range<usize>),
    (extra, held): (f64, &[bool]),
    words: &mut Vec<u64>,
) {
    words.clear();
    words.push(extra.to_bits());
    words.push(state.families.len() as u64);
    for k in members {
        let resist = data.of_frame.resist[k].map_or([0.0; 2], |r| [r.axial, r.moment]);
        words.extend(resist.map(f64::to_bits));
        words.push(u64::from(data.of_frame.numbers[k]));
        words.push(data.compression[k].to_bits());
        words.push(data.of_frame.offsets.curvature[k].to_bits());
        words.extend(state.families.iter().map(|f| f.of.axial[k].to_bits()));
    }
    for &(station, node) in data.subject.frame.posts.get(&post).into_iter().flatten() {
        words.push(station.to_bits());
        words.push(u64::from(held[node]));
        for family in &state.families {
            words.extend(family.of.displacement[node].map(f64::to_bits));
        }
    }
}

fn worst(
    data: &Data<'_>,
    bends: &mut Bends,
    state: &State<'_>,
    (post, members): (MemberId, Range<usize>),
    (extra, held): (f64, &[bool]),
) -> Result<Worst, &'static str> {
    let frame = data.subject.frame;
    let mut worst = Worst {
        post,
        which: state.which,
        compression: 0.0,
        moment: 0.0,
        usage: 0.0,
        at: 0.0,
        sway: sway(frame.head(post), state),
    };
    let chain = frame.posts.get(&post).unwrap_or_default();
    let mut pieces = Vec::with_capacity(members.len());
    for k in members.clone() {
        let bent = bends.of(data.of_frame.numbers[k], &data.elements[k], data.compression[k]);
        let (Some(_), Some(bent)) = (data.of_frame.resist[k], bent) else {
            return Err("compressed to near the buckling load of one of its pieces");
        };
        pieces.push(along(data, state, (k, &bent)).ok_or("its moments could not be worked out")?);
    }
    let pressed: Vec<Pressed> = (members.clone().zip(&pieces).zip(chain.windows(2)))
        .map(|((k, piece), ends)| Pressed {
            length: ends[1].0 - ends[0].0,
            slope: data.of_frame.offsets.slope[k],
            curvature: data.of_frame.offsets.curvature[k],
            ei: data.elements[k].bending[0].min(data.elements[k].bending[1]),
            compression: data.compression[k],
            less: piece.less.clamp(0.0, data.compression[k]),
            held: held[ends[1].1],
        })
        .collect();
    let lacking = relief::lacking(&pressed);
    for (((k, piece), ends), lacking) in members.zip(&pieces).zip(chain.windows(2)).zip(&lacking) {
        let Some(resist) = data.of_frame.resist[k] else { continue };
        piece.take(&resist, [ends[0].0, ends[1].0], (extra, lacking), &mut worst);
    }
    if worst.usage.is_finite() { Ok(worst) } else { Err("its moments are not finite") }
}

fn sway(head: Option<usize>, state: &State<'_>) -> f64 {
    let Some(head) = head else { return 0.0 };
    state
        .families
        .iter()
        .map(|f| {
            (f.of.displacement[head][0] * state.axis[0]
                + f.of.displacement[head][1] * state.axis[1])
                .abs()
        })
        .sum()
}
