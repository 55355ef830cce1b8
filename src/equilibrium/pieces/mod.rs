//! Each connected piece of a stage under its sideways loads: what slides and what tips.
//!
//! A piece is looked at line by line where its lines carry their own push: the posts of a line,
//! the bars along it and the diagonals in its plane, as rigid bodies ([`statics`]). Any balance of
//! a line is one of the whole, so a line's factor is a lower bound for it. Where a line alone is
//! not enough and the piece has something that ties its lines together (plan braces, a deck that
//! holds), the whole piece is asked in space; small pieces always are.
//!
//! Two factors, each against its own requirement:
//! - *sliding*: friction is divided by the required factor, and the load may grow to `k`; the
//!   factor is `k` times the required one. On a block it is μW/H.
//! - *tipping*: feet that bear hold sideways; the load may grow to the factor. On a block it is
//!   W·b/(2·H·h). A plate counts less the lean that is allowed: a post so far out of plumb has spent
//!   that of it.
//!
//! The program shares the friction as kindly as it can be shared. Beside it stands what the elastic
//! forces say of the first foot to slip ([`crate::mechanics::stage::grip`]). A stage is judged with
//! all its loads, and again without the people on it, who may walk off.
//!
//! What is part of a mechanism is not given a factor here beyond a few posts: that it moves freely
//! is the finding.

pub mod build;
pub mod statics;

use super::lasting;
use crate::assembly::model::{Assembly, MemberId, Vector};
use crate::criteria::Pack;
use crate::findings::Motion;
use crate::loads::LoadState;
use crate::mechanics::Verdict;
use crate::mechanics::answers::Unknown;
use crate::mechanics::stage::idealise;
use crate::mechanics::stage::{cases, lines, motions};
use crate::mechanics::stage_model::StageMechanics;
use crate::sequence::Stage;
use build::Subject;
use statics::{Blocks, Growth, Twist, growth};
use std::collections::{BTreeMap, BTreeSet};

/// Sideways hold of a bearing foot, over what it bears, where only tipping is asked. A foot about to
/// lift holds no more than that; the answer is less than with feet that are pinned by as little.
const HOLDS: f64 = 100.0;
/// Pieces of so many posts are judged in space whatever holds them.
const SMALL: usize = 6;
/// Failing cases that are kept, worst first.
const KEPT: usize = 8;
/// A foot moves if it does so by this share of the largest movement.
const MOVES: f64 = 0.02;

/// A factor, and what gives way at it.
#[derive(Clone, Debug, PartialEq)]
pub struct Way {
    /// Infinite where the load may grow without limit.
    pub factor: f64,
    /// The factor is a proven lower bound: the load may grow further.
    pub at_least: bool,
    pub required: f64,
    /// The posts that were looked at together: a line, or the piece.
    pub posts: Vec<MemberId>,
    /// Plan direction of the sideways load, and its words.
    pub direction: [f64; 2],
    pub case: String,
    /// What gives way, and how; empty for a bound.
    pub members: Vec<MemberId>,
    pub motion: Motion,
}

impl Way {
    /// Factor over required.
    #[must_use]
    pub fn reserve(&self) -> f64 {
        self.factor / self.required
    }
}

/// What statics says of the pieces of a stage under their sideways loads.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Sideways {
    /// The least of all pieces, lines and directions.
    pub sliding: Option<Way>,
    pub tipping: Option<Way>,
    /// Those below what is required, worst first; the rest of many is left out.
    pub slides: Vec<Way>,
    pub tips: Vec<Way>,
    /// Why a piece or line could not be judged, with its posts.
    pub unknown: Vec<(Vec<MemberId>, String)>,
}

/// Judges the stages of one assembly. What was worked out for the same bodies under the same loads
/// is used again, number for number, so that the answers are those of making them anew.
#[derive(Clone, Debug)]
pub struct Judge<'a> {
    assembly: &'a Assembly,
    pack: &'a Pack,
    kept: BTreeMap<Key, (Blocks, Result<Growth, Unknown>)>,
}

/// Lines of posts along an axis, with the bars in them.
type Lines = Vec<(Vec<MemberId>, Vec<usize>)>;

/// Place in what is kept: first post, how many, direction, state of loads, question.
type Key = (MemberId, bool, usize, usize, Question);

#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Question {
    Slides,
    Tips,
}

impl<'a> Judge<'a> {
    #[must_use]
    pub fn new(assembly: &'a Assembly, pack: &'a Pack) -> Self {
        Self { assembly, pack, kept: BTreeMap::new() }
    }

    /// Judges one stage. `mechanics` says what moves freely.
    #[must_use]
    pub fn stage(
        &mut self,
        stage: &Stage,
        loads: &LoadState,
        mechanics: &StageMechanics,
    ) -> Sideways {
        let mut out = Sideways::default();
        let frame = idealise::idealise(self.assembly, stage);
        if frame.posts.is_empty() {
            return out;
        }
        let all: Vec<MemberId> = frame.posts.keys().copied().collect();
        if let Some((post, why)) = frame.unknown.first() {
            let why = format!("{}: {why}", self.assembly.name(*post));
            out.unknown.push((all, why));
            return out;
        }
        if let Verdict::Unknown(why) = &mechanics.mechanisms_certain {
            out.unknown.push((all, why.clone()));
            return out;
        }
        let free: BTreeSet<MemberId> =
            mechanics.mechanisms.iter().flat_map(|m| m.members.iter().copied()).collect();
        let lasting = lasting(self.assembly, self.pack, stage, loads);
        let mut states = vec![loads];
        if let std::borrow::Cow::Owned(lasting) = &lasting {
            states.push(lasting);
        }
        let lines: Vec<Lines> = cases::axes(self.assembly)
            .into_iter()
            .map(|axis| lines::in_line(&frame, axis))
            .collect();
        for (state, loads) in states.into_iter().enumerate() {
            let subject = Subject::new(self.assembly, self.pack, stage, &frame, loads);
            for (posts, bars) in subject.pieces() {
                self.piece(&subject, state, (&posts, &bars), &lines, &free, &mut out);
            }
        }
        for list in [&mut out.slides, &mut out.tips] {
            list.sort_by(|a, b| a.factor.total_cmp(&b.factor).then_with(|| a.posts.cmp(&b.posts)));
            list.truncate(KEPT);
        }
        out
    }

    fn piece(
        &mut self,
        subject: &Subject<'_>,
        state: usize,
        (posts, bars): (&[MemberId], &[usize]),
        lines: &[Lines],
        free: &BTreeSet<MemberId>,
        out: &mut Sideways,
    ) {
        let loose = posts.iter().any(|p| free.contains(p));
        let level = subject.level(posts);
        let axes = cases::axes(self.assembly);
        let own = |line: &&(Vec<MemberId>, Vec<usize>)| {
            line.0.first().is_some_and(|p| posts.binary_search(p).is_ok())
        };
        let by_axis: Vec<Vec<&(Vec<MemberId>, Vec<usize>)>> =
            lines.iter().map(|lines| lines.iter().filter(own).collect()).collect();
        // Bars that lie in no line of either axis tie lines together.
        let in_lines: BTreeSet<usize> =
            by_axis.iter().flatten().flat_map(|l| l.1.iter().copied()).collect();
        let tied = bars.iter().any(|k| !in_lines.contains(k));
        for (which, (axis, found)) in axes.into_iter().zip(by_axis).enumerate() {
            let reached: BTreeSet<MemberId> =
                found.iter().flat_map(|l| l.0.iter().copied()).collect();
            let whole = posts.len() <= SMALL
                || !level
                || (!loose && tied)
                || (!loose && posts.iter().any(|p| !reached.contains(p)));
            for (sense, turn) in [1.0, -1.0].into_iter().enumerate() {
                let direction = [axis[0] * turn, axis[1] * turn];
                let mut ask = Ask {
                    subject,
                    place: (2 * which + sense, state),
                    direction,
                    required: [self.pack.sliding.value, self.pack.overturning.value],
                };
                if !whole || (level && posts.len() > SMALL) {
                    let mut ways = Vec::new();
                    for (line, bars) in found.iter().map(|l| (&l.0, &l.1)) {
                        if !line.iter().any(|p| free.contains(p)) {
                            ways.push((self.ask(&ask, line, bars, Some(axis)), line));
                        }
                    }
                    let enough = ways.iter().all(|(way, _)| {
                        way.as_ref().is_ok_and(|w| w.iter().all(|w| w.reserve() >= 1.0))
                    });
                    if !whole || (enough && posts.iter().all(|p| reached.contains(p))) {
                        ways.into_iter().for_each(|(way, line)| note(way, line, out));
                        continue;
                    }
                }
                ask.place.0 += 100;
                let way = self.ask(&ask, posts, bars, None);
                note(way, posts, out);
            }
        }
    }

    /// The factor against sliding, and against tipping.
    fn ask(
        &mut self,
        ask: &Ask<'_>,
        posts: &[MemberId],
        bars: &[usize],
        plane: Option<[f64; 2]>,
    ) -> Result<[Way; 2], Unknown> {
        let [slide, tip] = ask.required;
        let friction = ask.subject.pack.friction.value / slide;
        let blocks = ask.subject.blocks(posts, bars, ask.direction, plane, friction);
        let first = posts[0];
        let held = self.grown((first, ask, Question::Slides), blocks)?;
        // More friction carries no less: what is enough with little is enough with much.
        let tipping = if held.factor() >= tip {
            ask.way(posts, held.factor(), tip, held.motion().is_some())
        } else {
            let blocks = ask.subject.blocks(posts, bars, ask.direction, plane, HOLDS);
            let over = self.grown((first, ask, Question::Tips), blocks)?;
            let mut tipping = ask.way(posts, over.factor(), tip, false);
            ask.show(posts, &over, false, &mut tipping);
            tipping
        };
        let flat = held
            .motion()
            .is_some_and(|m| goes(ask.subject, posts, m, friction) == Question::Slides);
        // What gives way for want of friction has slid, even if something lifts with it.
        let slides = flat || (held.motion().is_some() && tipping.reserve() >= 1.0);
        let bound = held.motion().is_some() && !slides;
        let mut sliding = ask.way(posts, held.factor() * slide, slide, bound);
        if slides {
            ask.show(posts, &held, flat, &mut sliding);
        }
        Ok([sliding, tipping])
    }

    fn grown(
        &mut self,
        (first, ask, question): (MemberId, &Ask<'_>, Question),
        blocks: Blocks,
    ) -> Result<Growth, Unknown> {
        let (which, state) = ask.place;
        let key = (first, blocks.plane.is_some(), which, state, question);
        if let Some((known, growth)) = self.kept.get(&key)
            && *known == blocks
        {
            return growth.clone();
        }
        let grown = growth(&blocks);
        self.kept.insert(key, (blocks, grown.clone()));
        grown
    }
}

/// One direction of push on one stage.
struct Ask<'a> {
    subject: &'a Subject<'a>,
    place: (usize, usize),
    direction: [f64; 2],
    /// Sliding, tipping.
    required: [f64; 2],
}

impl Ask<'_> {
    fn way(&self, posts: &[MemberId], factor: f64, required: f64, at_least: bool) -> Way {
        let people = if self.place.1 > 0 { ", nobody on it" } else { "" };
        Way {
            factor,
            at_least,
            required,
            posts: posts.to_vec(),
            direction: self.direction,
            case: format!(
                "notional lateral and wind, {}{people}",
                cases::direction_words(self.direction)
            ),
            members: Vec::new(),
            motion: Motion::default(),
        }
    }

    /// Fills in what gives way, where the factor is below what is required.
    fn show(&self, posts: &[MemberId], held: &Growth, flat: bool, way: &mut Way) {
        let Some(twists) = held.motion().filter(|_| way.reserve() < 1.0) else { return };
        let subject = self.subject;
        let mut nodes = vec![[0.0; 6]; subject.frame.frame.nodes.len()];
        for (&post, twist) in posts.iter().zip(twists) {
            let foot = subject.assembly.member(post).ends[0];
            let Some(chain) = subject.frame.posts.get(&post) else { continue };
            for &(_, node) in chain {
                let mut moves = twist.at(subject.frame.frame.nodes[node] - foot);
                if flat {
                    // Sliding is along the floor; that it climbs is the flow rule's doing.
                    moves.z = 0.0;
                }
                nodes[node][..3].copy_from_slice(moves.as_slice());
            }
        }
        (way.members, way.motion) =
            motions::name_motion(subject.assembly, subject.stage, subject.frame, &nodes);
    }
}

/// Whether a motion slides: a foot moves along the floor, and no more off it than the flow rule
/// has it climb; otherwise it tips.
fn goes(subject: &Subject<'_>, posts: &[MemberId], twists: &[Twist], friction: f64) -> Question {
    let largest = largest(subject, posts, twists);
    let on_ground: BTreeSet<MemberId> = subject.frame.feet.iter().map(|&(_, p)| p).collect();
    let mut slides = false;
    for (post, twist) in posts.iter().zip(twists) {
        if !on_ground.contains(post) {
            continue;
        }
        let along = twist.moves.x.hypot(twist.moves.y);
        // A plate that turns about its edge lifts its middle.
        let plate = subject.plate(subject.assembly.member(*post));
        let turns = plate * twist.turns[0].hypot(twist.turns[1]);
        if twist.moves.z - friction * along - turns > MOVES * largest {
            return Question::Tips;
        }
        slides |= along > MOVES * largest;
    }
    if slides { Question::Slides } else { Question::Tips }
}

fn largest(subject: &Subject<'_>, posts: &[MemberId], twists: &[Twist]) -> f64 {
    posts
        .iter()
        .zip(twists)
        .flat_map(|(&post, twist)| {
            let ends = subject.assembly.member(post).ends;
            [twist.moves, twist.at(ends[1] - ends[0])]
        })
        .map(|v: Vector| v.norm())
        .fold(f64::MIN_POSITIVE, f64::max)
}

fn note(way: Result<[Way; 2], Unknown>, posts: &[MemberId], out: &mut Sideways) {
    let [sliding, tipping] = match way {
        Ok(ways) => ways,
        Err(unknown) => {
            out.unknown.push((posts.to_vec(), unknown.to_string()));
            return;
        }
    };
    for (way, least, failing) in
        [(sliding, &mut out.sliding, &mut out.slides), (tipping, &mut out.tipping, &mut out.tips)]
    {
        if way.reserve().partial_cmp(&1.0).is_none_or(std::cmp::Ordering::is_lt) {
            // A bound below what is required, with nothing that gives way, is no verdict: the
            // other of the two questions names what does.
            failing.extend((!way.at_least).then(|| way.clone()));
        }
        if least.as_ref().is_none_or(|l| way.reserve() < l.reserve()) {
            *least = Some(way);
        }
    }
}
