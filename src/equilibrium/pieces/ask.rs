//! One question about bodies: a piece or line, pushed one way, with the pack's factors.

use super::build::Subject;
use super::statics::{Blocks, Forces, Growth, growth_by};
use super::sure::surely_grows;
use super::{
    Answer, Contested, HOLDS, IDLE, Judge, Key, Known, Question, ROUNDS, Sideways, Together, Way,
    goes,
};
use crate::assembly::model::MemberId;
use crate::criteria::Pack;
use crate::criteria::model::Partial;
use crate::findings::Motion;
use crate::mechanics::answers::Unknown;
use crate::mechanics::stage::{cases, motions};
use std::collections::BTreeSet;
use std::sync::Arc;

/// A line is spared where it has more than the least by this share: far more than the solver's answers
/// are off by, which are held to a hundredth of it.
const CLEARLY: f64 = 1e-3;
/// Lines of so many posts are always asked: it costs little, and where the solver comes to no end with one,
/// as it does now and then with a few posts, the stage has to say so whatever was judged before it.
const FEW: usize = 4;

impl Judge<'_> {
    /// The factor against sliding, and against tipping.
    pub(super) fn ask(
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

    /// Whether a line surely stands more than the `least` reserves against sliding and tipping: then
    /// its factor would change nothing that is said of the stage.
    pub(super) fn spares(&mut self, ask: &Ask<'_>, of: &Together<'_>, least: [f64; 2]) -> bool {
        let [slide, tip] = ask.required;
        let enough = tip.max(1.0).max(least[0]).max(tip * least[1]) * (1.0 + CLEARLY);
        if of.posts.len() <= FEW
            || ask.partial.is_some()
            || !ask.idle.is_empty()
            || !enough.is_finite()
        {
            return false;
        }
        let Some((_, axis)) = of.axis else { return false };
        let (place, which, _) = of.key(ask);
        if let Some((made_of, factor)) = self.spared.get(&(place, which))
            && *factor >= enough
            && (Arc::ptr_eq(made_of, &of.made_of) || *made_of == of.made_of)
        {
            return true;
        }
        let (which, state) = ask.place;
        let key: Key = (of.posts[0], true, which, state, Question::Slides, 0);
        let Some(known) = self.kept.get(&key) else { return false };
        if !matches!(known.growth, Ok(Growth::To(..))) {
            return false;
        }
        let friction = (ask.subject.pack.friction.value / slide, &ask.idle);
        let blocks = ask.subject.blocks(of.posts, of.bars, ask.direction, Some(axis), friction);
        let surely = surely_grows(&blocks, &known.forces, enough);
        if surely {
            self.spared.insert((place, which), (Arc::clone(&of.made_of), enough));
            self.proofs += 1;
        }
        surely
    }

    /// What is enough, asked again without the friction of feet that the elastic forces leave
    /// unloaded.
    pub(super) fn contest(
        &mut self,
        ask: &Ask<'_>,
        of: &Together<'_>,
        idle: &BTreeSet<MemberId>,
        found: &Answer,
        out: &mut Sideways,
    ) {
        let posts = of.posts;
        let idle: BTreeSet<MemberId> = posts.iter().copied().filter(|p| idle.contains(p)).collect();
        let Ok(found) = found else { return };
        if idle.is_empty() || found.iter().any(|w| w.reserve() < 1.0) {
            return;
        }
        let kindly = found.iter().map(Way::reserve).fold(f64::INFINITY, f64::min);
        let smooth = Ask { idle: idle.clone(), ..ask.clone() };
        match self.answer(&smooth, of).as_ref() {
            Ok(ways) => {
                let worst = ways.iter().min_by(|a, b| a.reserve().total_cmp(&b.reserve()));
                out.contested.extend(worst.filter(|w| w.reserve() < 1.0).map(|way| Contested {
                    kindly: kindly * way.required,
                    way: way.clone(),
                    idle: idle.into_iter().collect(),
                }));
            }
            Err(unknown) => out.unknown.push((posts.to_vec(), unknown.to_string())),
        }
    }

    /// How far the load may grow, under the pack's partial factors if it has some.
    pub(super) fn grown(
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
        if let Some(known) = self.kept.get(&key)
            && known.blocks == blocks
        {
            return known.growth.clone();
        }
        let (growth, forces) = match growth_by(&blocks) {
            Ok((growth, forces)) => (Ok(growth), forces),
            Err(unknown) => (Err(unknown), Forces::new()),
        };
        self.kept.insert(key, Known { blocks, growth: growth.clone(), forces });
        growth
    }
}

/// One direction of push on one stage.
#[derive(Clone)]
pub(super) struct Ask<'a> {
    pub(super) subject: &'a Subject<'a>,
    pub(super) place: (usize, usize),
    pub(super) direction: [f64; 2],
    /// Sliding, tipping.
    pub(super) required: [f64; 2],
    pub(super) partial: Option<Partial>,
    /// Feet that hold nothing but what presses on them.
    pub(super) idle: BTreeSet<MemberId>,
}

impl<'a> Ask<'a> {
    pub(super) fn new(
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

    pub(super) fn way(
        &self,
        posts: &[MemberId],
        factor: f64,
        required: f64,
        at_least: bool,
    ) -> Way {
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
    pub(super) fn show(&self, posts: &[MemberId], held: &Growth, flat: bool, way: &mut Way) {
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
