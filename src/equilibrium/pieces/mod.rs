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
//! Where the pack has partial factors on balance, what holds is taken with the one for what holds,
//! what turns in the motion that is found with the one for what turns, and the sideways load may grow
//! by the one for variable actions. Which weight turns depends on the motion: it is taken so, the
//! program asked again, and the least answer kept, until nothing changes.
//!
//! The kindest sharing of friction may count on a foot that the elastic forces leave unloaded. Where
//! some are, what is enough is asked again with those feet as smooth supports. If it is not enough
//! then, the two ways of reckoning contradict each other and it is [`Contested`]: neither shown to
//! fall nor shown to stand.
//!
//! What is part of a mechanism is not given a factor here beyond a few posts: that it moves freely
//! is the finding.

pub mod build;
pub mod overhangs;
pub mod statics;

use super::lasting;
use crate::assembly::model::{Assembly, MemberId, Vector};
use crate::criteria::Pack;
use crate::criteria::model::Partial;
use crate::findings::Motion;
use crate::loads::LoadState;
use crate::mechanics::Verdict;
use crate::mechanics::answers::Unknown;
use crate::mechanics::stage::grip::Grip;
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
    /// Partial factors in it, where the pack has them instead of one on the whole.
    pub partial: Option<Partial>,
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
    /// Enough by statics, not so without the friction of feet that the elastic forces leave unloaded.
    pub contested: Vec<Contested>,
    /// Why a piece or line could not be judged, with its posts.
    pub unknown: Vec<(Vec<MemberId>, String)>,
}

/// What stands only by the friction of feet that bear nothing elastically.
#[derive(Clone, Debug, PartialEq)]
pub struct Contested {
    /// With those feet as smooth supports.
    pub way: Way,
    /// By statics as kind as can be.
    pub kindly: f64,
    pub idle: Vec<MemberId>,
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
type Key = (MemberId, bool, usize, usize, Question, u8);

#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Question {
    Slides,
    Tips,
    Overhangs,
}

/// Rounds of taking what turns with its own factor.
const ROUNDS: u8 = 4;
/// Rounds with feet that bear nothing as smooth supports are kept from here on.
const IDLE: u8 = 100;

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
                let elastic = (&free, &mechanics.grip[..]);
                self.piece(&subject, state, (&posts, &bars), &lines, elastic, &mut out);
            }
        }
        for list in [&mut out.slides, &mut out.tips] {
            list.sort_by(|a, b| a.factor.total_cmp(&b.factor).then_with(|| a.posts.cmp(&b.posts)));
            list.truncate(KEPT);
        }
        out.contested.sort_by(|a, b| a.way.factor.total_cmp(&b.way.factor));
        out.contested.truncate(KEPT);
        out
    }

    fn piece(
        &mut self,
        subject: &Subject<'_>,
        state: usize,
        (posts, bars): (&[MemberId], &[usize]),
        lines: &[Lines],
        (free, grip): (&BTreeSet<MemberId>, &[Grip]),
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
                let idle: BTreeSet<MemberId> = grip
                    .iter()
                    .filter(|g| (0..2).all(|k| (g.direction[k] - direction[k]).abs() < 1e-9))
                    .flat_map(|g| g.idle.iter().copied())
                    .collect();
                let place = (2 * which + sense, state);
                let mut ask = Ask::new(subject, self.pack, place, direction);
                if !whole || (level && posts.len() > SMALL) {
                    let mut ways = Vec::new();
                    for (line, bars) in found.iter().map(|l| (&l.0, &l.1)) {
                        if !line.iter().any(|p| free.contains(p)) {
                            ways.push((self.ask(&ask, line, bars, Some(axis)), (line, bars)));
                        }
                    }
                    let enough = ways.iter().all(|(way, _)| {
                        way.as_ref().is_ok_and(|w| w.iter().all(|w| w.reserve() >= 1.0))
                    });
                    if !whole || (enough && posts.iter().all(|p| reached.contains(p))) {
                        for (way, (line, bars)) in ways {
                            self.contest(&ask, (line, bars, Some(axis)), &idle, &way, out);
                            note(way, line, out);
                        }
                        continue;
                    }
                }
                ask.place.0 += 100;
                let way = self.ask(&ask, posts, bars, None);
                self.contest(&ask, (posts, bars, None), &idle, &way, out);
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
        // A factor on the whole of sliding is one on friction; partial factors leave that as it is.
        let scale = if ask.partial.is_some() { 1.0 } else { slide };
        let friction = ask.subject.pack.friction.value / scale;
        let of =
            |friction| ask.subject.blocks(posts, bars, ask.direction, plane, (friction, &ask.idle));
        let first = posts[0];
        let held = self.grown((first, ask, Question::Slides), of(friction))?;
        // More friction carries no less: what is enough with little is enough with much.
        let tipping = if held.factor() >= tip {
            ask.way(posts, held.factor(), tip, held.motion().is_some())
        } else {
            let over = self.grown((first, ask, Question::Tips), of(HOLDS))?;
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
        let mut sliding = ask.way(posts, held.factor() * scale, slide, bound);
        if slides {
            ask.show(posts, &held, flat, &mut sliding);
        }
        Ok([sliding, tipping])
    }

    /// What is enough, asked again without the friction of feet that the elastic forces leave
    /// unloaded.
    fn contest(
        &mut self,
        ask: &Ask<'_>,
        (posts, bars, plane): (&[MemberId], &[usize], Option<[f64; 2]>),
        idle: &BTreeSet<MemberId>,
        found: &Result<[Way; 2], Unknown>,
        out: &mut Sideways,
    ) {
        let idle: BTreeSet<MemberId> = posts.iter().copied().filter(|p| idle.contains(p)).collect();
        let Ok(found) = found else { return };
        if idle.is_empty() || found.iter().any(|w| w.reserve() < 1.0) {
            return;
        }
        let kindly = found.iter().map(Way::reserve).fold(f64::INFINITY, f64::min);
        let smooth = Ask { idle: idle.clone(), ..ask.clone() };
        match self.ask(&smooth, posts, bars, plane) {
            Ok(ways) => {
                let worst = ways.into_iter().min_by(|a, b| a.reserve().total_cmp(&b.reserve()));
                out.contested.extend(worst.filter(|w| w.reserve() < 1.0).map(|way| Contested {
                    kindly: kindly * way.required,
                    way,
                    idle: idle.into_iter().collect(),
                }));
            }
            Err(unknown) => out.unknown.push((posts.to_vec(), unknown.to_string())),
        }
    }

    /// How far the load may grow, under the pack's partial factors if it has some.
    fn grown(
        &mut self,
        (first, ask, question): (MemberId, &Ask<'_>, Question),
        mut blocks: Blocks,
    ) -> Result<Growth, Unknown> {
        let (which, state) = ask.place;
        let idle = if ask.idle.is_empty() { 0 } else { IDLE };
        let key = |round: u8| (first, blocks.plane.is_some(), which, state, question, idle + round);
        let keys: Vec<Key> = (0..=ROUNDS).map(key).collect();
        let Some(partial) = ask.partial else { return self.keep(keys[0], blocks) };
        let turning = if ask.subject.loaded { partial.variable } else { partial.turning };
        let bare = blocks.dead.clone();
        for (_, _, force) in &mut blocks.dead {
            *force *= partial.holding;
        }
        let mut least = self.keep(keys[0], blocks.clone())?;
        for key in &keys[1..] {
            let Some(motion) = least.motion() else { break };
            let next: Vec<_> = bare
                .iter()
                .map(|&(body, at, force)| {
                    let work = force.dot(&motion[body].at(at - blocks.bodies[body]));
                    let turns = work > 1e-6 * force.norm();
                    (body, at, force * if turns { turning } else { partial.holding })
                })
                .collect();
            if next == blocks.dead {
                break;
            }
            blocks.dead = next;
            let grown = self.keep(*key, blocks.clone())?;
            if grown.factor() >= least.factor() {
                break;
            }
            least = grown;
        }
        Ok(least)
    }

    /// The answer to a program, from what is kept if it is the same.
    fn keep(&mut self, key: Key, blocks: Blocks) -> Result<Growth, Unknown> {
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
#[derive(Clone)]
struct Ask<'a> {
    subject: &'a Subject<'a>,
    place: (usize, usize),
    direction: [f64; 2],
    /// Sliding, tipping.
    required: [f64; 2],
    partial: Option<Partial>,
    /// Feet that hold nothing but what presses on them.
    idle: BTreeSet<MemberId>,
}

impl<'a> Ask<'a> {
    fn new(
        subject: &'a Subject<'a>,
        pack: &Pack,
        place: (usize, usize),
        direction: [f64; 2],
    ) -> Self {
        let partial = pack.partial();
        let required = match partial {
            Some(partial) => [partial.variable; 2],
            None => [pack.sliding.value, pack.overturning.value],
        };
        Self { subject, place, direction, required, partial, idle: BTreeSet::new() }
    }

    fn way(&self, posts: &[MemberId], factor: f64, required: f64, at_least: bool) -> Way {
        let people = if self.place.1 > 0 { ", nobody on it" } else { "" };
        Way {
            factor,
            at_least,
            required,
            partial: self.partial,
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
