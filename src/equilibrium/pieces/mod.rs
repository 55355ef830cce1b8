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
//! Of lines that stand only the least counts. One that differs from the stage before is not asked for
//! its factor where it surely has more than the least of those that are known: forces like those that
//! carried it then are put in balance with what is on it now and held against every limit, a proof of
//! its own that shares nothing with the solver.
//!
//! What is part of a mechanism is not given a factor here beyond a few posts: that it moves freely
//! is the finding.

mod answer;
mod ask;
mod bodies;
pub mod build;
mod layout;
pub mod overhangs;
pub mod statics;
mod sure;

use super::{Tipping, lasting};
use crate::assembly::model::{Assembly, JointId, MemberId, Vector};
use crate::criteria::Pack;
use crate::criteria::model::Partial;
use crate::findings::Motion;
use crate::loads::LoadState;
use crate::mechanics::Verdict;
use crate::mechanics::stage::cases;
use crate::mechanics::stage::grip::Grip;
use crate::mechanics::stage::idealise::{self, StageFrame};
use crate::mechanics::stage_model::StageMechanics;
use crate::sequence::Stage;
use answer::{Answer, Answered, Known, Place, Together, least_of};
use ask::Ask;
use bodies::{Bodies, MadeOf};
use build::Subject;
use layout::{Layout, Piece};
use overhangs::Overhangs;
use statics::Twist;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

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
    kept: BTreeMap<Key, Known>,
    /// Joints at which posts stand on posts.
    splices: Vec<JointId>,
    layout: Option<Arc<Layout>>,
    /// The posts of the stage before as bodies, with all loads and with those that last.
    bodies: [Option<Bodies>; 2],
    /// What each line and piece was made of at the stage before, of which layout, and what its answers
    /// were.
    made: BTreeMap<Place, (u64, Arc<MadeOf>)>,
    answered: BTreeMap<(Place, usize, Vec<MemberId>), Answered>,
    /// Lines that surely stand more than the least that does, with a factor they stand.
    spared: BTreeMap<(Place, usize), (Arc<MadeOf>, f64)>,
    proofs: usize,
}

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
        Self {
            assembly,
            pack,
            kept: BTreeMap::new(),
            splices: layout::splices(assembly),
            layout: None,
            bodies: [None, None],
            made: BTreeMap::new(),
            answered: BTreeMap::new(),
            spared: BTreeMap::new(),
            proofs: 0,
        }
    }

    /// How often a proof spared a line the question for its factor.
    #[must_use]
    pub fn proofs(&self) -> usize {
        self.proofs
    }

    /// Judges one stage under its sideways loads. `mechanics` says what moves freely.
    #[must_use]
    pub fn stage(
        &mut self,
        stage: &Stage,
        loads: &LoadState,
        mechanics: &StageMechanics,
    ) -> Sideways {
        self.with_overhangs(stage, loads, mechanics, &[]).0
    }

    /// The same, and its small pieces with people on their overhangs; `tipping` are its overhangs by
    /// themselves.
    #[must_use]
    pub fn with_overhangs(
        &mut self,
        stage: &Stage,
        loads: &LoadState,
        mechanics: &StageMechanics,
        tipping: &[Tipping],
    ) -> (Sideways, Overhangs) {
        let frame = Arc::new(idealise::idealise(self.assembly, stage));
        self.of_frame(&frame, stage, loads, mechanics, tipping)
    }

    /// The same with the stage as a frame at hand.
    #[must_use]
    pub fn of_frame(
        &mut self,
        frame: &Arc<StageFrame>,
        stage: &Stage,
        loads: &LoadState,
        mechanics: &StageMechanics,
        tipping: &[Tipping],
    ) -> (Sideways, Overhangs) {
        let mut out = Sideways::default();
        let mut over = Overhangs::default();
        if frame.posts.is_empty() {
            return (out, over);
        }
        let all: Vec<MemberId> = frame.posts.keys().copied().collect();
        if let Some((post, why)) = frame.unknown.first() {
            let why = format!("{}: {why}", self.assembly.name(*post));
            out.unknown.push((all, why));
            return (out, over);
        }
        if let Verdict::Unknown(why) = &mechanics.mechanisms_certain {
            out.unknown.push((all, why.clone()));
            return (out, over);
        }
        let free: BTreeSet<MemberId> =
            mechanics.mechanisms.iter().flat_map(|m| m.members.iter().copied()).collect();
        let lasting = lasting(self.assembly, self.pack, stage, loads);
        let mut states = vec![loads];
        if let std::borrow::Cow::Owned(lasting) = &lasting {
            states.push(lasting);
        }
        let known = self.layout.take();
        let layout = Layout::of(known, self.assembly, &self.splices, stage, frame);
        self.layout = Some(Arc::clone(&layout));
        let beams = overhangs::seen(self.assembly, stage, tipping);
        let last = states.len() - 1;
        for (state, loads) in states.into_iter().enumerate() {
            let mut kept = self.bodies[state].take();
            let of = (self.assembly, self.pack);
            let subject = Subject::with(of, stage, frame, &layout, loads, &mut kept);
            self.bodies[state] = kept;
            for piece in &layout.pieces {
                let elastic = (&free, &mechanics.grip[..]);
                self.piece(&subject, state, piece, elastic, &mut out);
                // With the loads that last.
                if state == last && !beams.is_empty() {
                    let of = (&piece.posts[..], &piece.bars[..]);
                    self.overhangs_of(&subject, loads, of, &free, &beams, &mut over);
                }
            }
        }
        for list in [&mut out.slides, &mut out.tips] {
            list.sort_by(|a, b| a.factor.total_cmp(&b.factor).then_with(|| a.posts.cmp(&b.posts)));
            list.truncate(KEPT);
        }
        out.contested.sort_by(|a, b| a.way.factor.total_cmp(&b.way.factor));
        out.contested.truncate(KEPT);
        (out, over)
    }

    fn piece(
        &mut self,
        subject: &Subject<'_>,
        state: usize,
        piece: &Piece,
        (free, grip): (&BTreeSet<MemberId>, &[Grip]),
        out: &mut Sideways,
    ) {
        let Piece { posts, bars, along, tied } = piece;
        let loose = posts.iter().any(|p| free.contains(p));
        let level = subject.level(posts);
        let axes = cases::axes(self.assembly);
        let mut whole_piece = None;
        for (which, (axis, along)) in axes.into_iter().zip(along).enumerate() {
            let all_reached = along.all_reached;
            let whole = posts.len() <= SMALL || !level || (!loose && (*tied || !all_reached));
            let found: Vec<Together<'_>> = (along.lines)
                .iter()
                .map(|(posts, bars)| {
                    self.together(subject, state, posts, bars, Some((which, axis)))
                })
                .collect();
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
                    let lines = found.iter().filter(|l| !l.posts.iter().any(|p| free.contains(p)));
                    let known: Vec<(Option<Arc<Answer>>, &Together<'_>)> =
                        lines.map(|line| (self.known(&ask, line), line)).collect();
                    let least = least_of(&known, out);
                    let mut ways = Vec::new();
                    for (way, line) in known {
                        if let Some(way) = way {
                            ways.push((way, line));
                        } else if line.posts.iter().any(|p| idle.contains(p))
                            || !self.spares(&ask, line, least)
                        {
                            ways.push((self.answer(&ask, line), line));
                        }
                    }
                    let enough = ways.iter().all(|(way, _)| {
                        way.as_ref().as_ref().is_ok_and(|w| w.iter().all(|w| w.reserve() >= 1.0))
                    });
                    if !whole || (enough && all_reached) {
                        for (way, line) in ways {
                            self.contest(&ask, line, &idle, &way, out);
                            note(&way, line.posts, out);
                        }
                        continue;
                    }
                }
                ask.place.0 += 100;
                let piece = whole_piece
                    .get_or_insert_with(|| self.together(subject, state, posts, bars, None))
                    .clone();
                let way = self.answer(&ask, &piece);
                self.contest(&ask, &piece, &idle, &way, out);
                note(&way, posts, out);
            }
        }
    }
}

/// Whether a motion slides: a foot moves along the floor, and no more off it than the flow rule
/// has it climb; otherwise it tips.
fn goes(subject: &Subject<'_>, posts: &[MemberId], twists: &[Twist], friction: f64) -> Question {
    let largest = largest(subject, posts, twists);
    let mut slides = false;
    for (post, twist) in posts.iter().zip(twists) {
        if !subject.on_ground(*post) {
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

fn note(way: &Answer, posts: &[MemberId], out: &mut Sideways) {
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
        if lacks(way.reserve()) {
            // A bound below what is required, with nothing that gives way, is no verdict: the
            // other of the two questions names what does.
            failing.extend((!way.at_least).then(|| way.clone()));
        }
        if least.as_ref().is_none_or(|l| way.reserve() < l.reserve()) {
            *least = Some(way.clone());
        }
    }
}

/// A reserve below one, or none that can be compared with it.
fn lacks(reserve: f64) -> bool {
    reserve.partial_cmp(&1.0).is_none_or(std::cmp::Ordering::is_lt)
}
