//! Small pieces with overhangs, in the wind: beam, clips, posts and feet as rigid bodies.
//!
//! The see-saw of one beam ([`crate::equilibrium::tipping`]) ends at the post that holds it down, and
//! a piece under its sideways loads ([`super`]) has nobody on its walkway. Here both come together:
//! the overhanging beams of one side are bodies on their heads, pressed and held down as joints and
//! clips can, the posts below are bodies with what else stands on them, the bars between them and
//! feet that only press. What lies past the turning supports, with people, rail and wind on it, and
//! notional lateral or wind on the piece towards that side, may all grow to the factor; what lies
//! behind holds.
//!
//! People are at their worst on the beam that is the nearest to tipping by itself, and the access load
//! is on the others. Feet that bear hold sideways: whether it slides is the affair of the sideways
//! loads alone. Rail and wind on the form turn the beam as a couple.
//!
//! Pieces of more than a dozen posts are not asked: they are broad, and each of their beams is judged
//! by itself and with those that pull on the same posts. Nor are pieces that move freely.
//!
//! Holds if: the programs of single beams are their see-saws, on a light post its weight decides, and
//! a tower goes about its outer plates (`tests/equilibrium/overhangs.rs`, moments worked by hand).

use super::build::Subject;
use super::statics::{Blocks, Contact, Growth, Sideways};
use super::{Ask, HOLDS, Judge, Question, Way};
use crate::assembly::MemberId;
use crate::assembly::model::{Assembly, Joint, JointKind, Role, Vector};
use crate::equilibrium::Tipping;
use crate::loads::{LoadState, hold_down, passes};
use crate::mechanics::answers::Unknown;
use crate::sequence::Stage;
use std::collections::{BTreeMap, BTreeSet};

/// Overhangs of one side of a piece, with the posts that hold them.
#[derive(Clone, Debug, PartialEq)]
pub struct Overhang {
    /// The beams, and the one of them with people on it at their worst.
    pub beams: Vec<MemberId>,
    pub peopled: MemberId,
    /// Every beam by itself keeps the balance about its support, clip included: it is what holds
    /// them that goes.
    pub beams_alone_hold: bool,
    /// Direction is that of the overhang; the factor is on all that turns it.
    pub way: Way,
}

/// What statics says of overhangs that are held down.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Overhangs {
    /// The worst of each piece and side.
    pub all: Vec<Overhang>,
    pub unknown: Vec<(Vec<MemberId>, String)>,
}

/// Directions that differ by less are one.
const ONE_WAY: f64 = 1e-6;
/// Pieces of so many posts are asked.
const DOZEN: usize = 12;

impl Judge<'_> {
    /// Judges one piece of a stage, if it is small, holds together and has overhangs. `lasting` are the
    /// loads the subject was made with.
    pub(super) fn overhangs_of(
        &mut self,
        subject: &Subject<'_>,
        lasting: &LoadState,
        (posts, bars): (&[MemberId], &[usize]),
        free: &BTreeSet<MemberId>,
        all: &[Seen<'_>],
        out: &mut Overhangs,
    ) {
        if posts.len() > DOZEN || posts.iter().any(|p| free.contains(p)) {
            return;
        }
        let own = all.iter().filter(|s| s.posts.iter().any(|p| posts.contains(p)));
        for side in sides(own) {
            match self.side(subject, lasting, (posts, bars), &side) {
                Ok(found) => out.all.push(found),
                Err(why) => {
                    let beams = side.iter().map(|s| s.tipping.member).collect();
                    out.unknown.push((beams, why.to_string()));
                }
            }
        }
    }

    fn side(
        &mut self,
        subject: &Subject<'_>,
        lasting: &LoadState,
        (posts, bars): (&[MemberId], &[usize]),
        side: &[&Seen<'_>],
    ) -> Result<Overhang, Unknown> {
        let nearest =
            |a: &&&Seen<'_>, b: &&&Seen<'_>| a.tipping.factor.total_cmp(&b.tipping.factor);
        let Some(peopled) = side.iter().min_by(nearest).map(|s| s.tipping.member) else {
            return Err(Unknown::NotConverged("no overhang".into()));
        };
        let direction = side[0].outward;
        let mut ask = Ask::new(subject, self.pack, (200, 0), direction);
        if ask.partial.is_none() {
            ask.required = [self.pack.overturning.value; 2];
        }
        let beams: BTreeSet<MemberId> = side.iter().map(|s| s.tipping.member).collect();
        let rest: Vec<usize> =
            bars.iter().copied().filter(|&k| !beams.contains(&subject.frame.of[k])).collect();
        let mut blocks = subject.blocks(posts, &rest, direction, None, (HOLDS, &ask.idle));
        // What turns for good grows by less than what comes and goes.
        let lasts = ask.partial.map_or(1.0, |p| {
            let factor = if subject.loaded { p.variable } else { p.turning };
            factor / p.variable
        });
        for seen in side {
            let of = Body { subject, posts, lasting, lasts };
            of.add(seen, seen.tipping.member == peopled, &mut blocks);
        }
        let grown = self.grown((peopled, &ask, Question::Overhangs), blocks)?;
        let mut way = ask.way(posts, grown.factor(), ask.required[1], false);
        let names: Vec<&str> = beams.iter().map(|&b| subject.assembly.name(b)).collect();
        way.case = format!(
            "what lies past the last support of {}, with notional lateral or wind that way",
            names.join(", ")
        );
        show(posts, &grown, &ask, &mut way);
        Ok(Overhang {
            beams_alone_hold: side.iter().all(|s| s.tipping.factor >= s.tipping.required),
            peopled,
            beams: beams.into_iter().collect(),
            way,
        })
    }
}

/// Names the posts that go, as the sideways cases do.
fn show(posts: &[MemberId], grown: &Growth, ask: &Ask<'_>, way: &mut Way) {
    let Some(twists) = grown.motion() else { return };
    let bodies = &twists[..posts.len().min(twists.len())];
    let own = match grown {
        Growth::To(factor, _) => Growth::To(*factor, bodies.to_vec()),
        _ => Growth::Not(bodies.to_vec()),
    };
    ask.show(posts, &own, false, way);
}

/// The overhangs of a stage that are those of beams.
pub(super) fn seen<'a>(
    assembly: &'a Assembly,
    stage: &Stage,
    tipping: &'a [Tipping],
) -> Vec<Seen<'a>> {
    let beams = tipping.iter().filter(|t| assembly.member(t.member).role != Role::Sheet);
    beams.filter_map(|t| Seen::new(assembly, stage, t)).collect()
}

/// An overhang with where it points and what it lies on.
pub(super) struct Seen<'a> {
    tipping: &'a Tipping,
    outward: [f64; 2],
    supports: Vec<&'a Joint>,
    posts: Vec<MemberId>,
}

impl<'a> Seen<'a> {
    fn new(assembly: &'a Assembly, stage: &Stage, tipping: &'a Tipping) -> Option<Self> {
        let member = assembly.member(tipping.member);
        let fulcrum = assembly.joint(tipping.fulcrum);
        let supports: Vec<&Joint> = assembly
            .joints_of(member.id)
            .iter()
            .map(|&j| assembly.joint(j))
            .filter(|j| j.member == member.id)
            .filter(|j| matches!(j.kind, JointKind::Head | JointKind::Rest))
            .filter(|j| passes(assembly, stage, j.id).is_some_and(|p| p.bearing))
            .collect();
        // Which end is past the support: the one so far from it.
        let over = member.length() - fulcrum.member_at;
        let sense =
            if (over - tipping.overhang).abs() < (fulcrum.member_at - tipping.overhang).abs() {
                1.0
            } else {
                -1.0
            };
        let run = member.direction() * sense;
        let flat = run.x.hypot(run.y);
        let posts = supports
            .iter()
            .filter_map(|j| j.carrier)
            .filter(|&c| assembly.member(c).is_post())
            .collect();
        (flat > 0.5).then(|| Self {
            tipping,
            outward: [run.x / flat, run.y / flat],
            supports,
            posts,
        })
    }
}

/// Overhangs by the way they point.
fn sides<'a>(own: impl Iterator<Item = &'a Seen<'a>>) -> Vec<Vec<&'a Seen<'a>>> {
    let mut out: Vec<Vec<&Seen<'_>>> = Vec::new();
    for seen in own {
        let same = |s: &&mut Vec<&Seen<'_>>| {
            (0..2).all(|k| (s[0].outward[k] - seen.outward[k]).abs() < ONE_WAY)
        };
        match out.iter_mut().find(same) {
            Some(side) => side.push(seen),
            None => out.push(vec![seen]),
        }
    }
    out
}

/// A beam in the making as a body.
struct Body<'a, 'b> {
    subject: &'b Subject<'a>,
    posts: &'b [MemberId],
    lasting: &'b LoadState,
    /// Lasting load past the support, as a share of what grows.
    lasts: f64,
}

impl Body<'_, '_> {
    fn add(&self, seen: &Seen<'_>, peopled: bool, out: &mut Blocks) {
        let assembly = self.subject.assembly;
        let beam = assembly.member(seen.tipping.member);
        let fulcrum = assembly.joint(seen.tipping.fulcrum);
        let body = out.bodies.len();
        out.bodies.push(fulcrum.at);
        let index: BTreeMap<MemberId, usize> =
            self.posts.iter().enumerate().map(|(k, &post)| (post, k)).collect();
        let down = |force: f64| Vector::new(0.0, 0.0, -force);
        for joint in &seen.supports {
            let on = joint.carrier.and_then(|c| index.get(&c).copied());
            let stage = self.subject.stage;
            let fixed = passes(assembly, stage, joint.id).is_some_and(|p| p.along && p.across);
            out.contacts.push(Contact {
                body,
                on,
                at: joint.at,
                normal: Vector::z(),
                sideways: if fixed { Sideways::Fixed } else { Sideways::Friction(HOLDS) },
                plate: 0.0,
                // What is not followed further is not counted on to hold down.
                uplift: on.map_or(0.0, |_| hold_down(assembly, stage, joint.id)),
            });
            // What the beam brought to that head it now brings as a body.
            if let (Some(on), Some(post)) = (on, joint.carrier) {
                let brought: f64 = self.lasting.on[post.index()]
                    .iter()
                    .filter(|l| l.by == Some(beam.id))
                    .map(|l| l.force)
                    .sum();
                let head = self.subject.frame.head(post);
                let at = head.map_or(joint.at, |n| self.subject.frame.frame.nodes[n]);
                // Off what bears there already, so that no weight is counted as pulling up.
                match out.dead.iter_mut().find(|d| d.0 == on && (d.1 - at).norm() < 1e-9) {
                    Some(bears) => bears.2 -= down(brought),
                    None => out.dead.push((on, at, down(-brought))),
                }
            }
        }
        let sense =
            if seen.outward[0] * beam.direction().x + seen.outward[1] * beam.direction().y > 0.0 {
                1.0
            } else {
                -1.0
            };
        for load in self.lasting.on[beam.id.index()].iter() {
            let (from, to) = (load.from.min(load.to), load.from.max(load.to));
            let edge = fulcrum.member_at;
            let even = (load.centre - 0.5 * (from + to)).abs() < 1e-9;
            let parts = if from < edge && to > edge && even {
                let share = (to - edge) / (to - from);
                vec![
                    (0.5 * (from + edge), load.force * (1.0 - share)),
                    (0.5 * (edge + to), load.force * share),
                ]
            } else {
                vec![(load.centre, load.force)]
            };
            for (at, force) in parts {
                let turns = sense * (at - edge) > 0.0;
                let list = if turns { &mut out.live } else { &mut out.dead };
                let force = if turns { force.max(0.0) * self.lasts } else { force };
                list.push((body, beam.at(at), down(force)));
            }
        }
        let out_there = |lever: f64| beam.at(fulcrum.member_at + sense * lever);
        let access = || seen.tipping.access.iter();
        let people: Vec<(f64, f64)> =
            if peopled { seen.tipping.people.clone() } else { access().copied().collect() };
        for (lever, force) in people {
            out.live.push((body, out_there(lever), down(force)));
        }
        if seen.tipping.couple > 0.0 {
            out.live.push((body, out_there(1.0), down(seen.tipping.couple)));
            out.live.push((body, fulcrum.at, down(-seen.tipping.couple)));
        }
    }
}
