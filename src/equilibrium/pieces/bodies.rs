//! The posts of a stage as bodies, kept from stage to stage.

use super::build::Subject;
use super::statics::{Bar, Contact, Sideways};
use crate::assembly::model::{Assembly, Member, MemberId, Point, Role, Vector};
use crate::loads::{HeadFacing, LoadState, seen_anew};
use crate::sequence::Stage;
use crate::sequence::changed::{above, touched};
use crate::units::Force;
use std::collections::BTreeMap;
use std::sync::Arc;

/// All that a post brings into a program, the bars aside.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Body {
    pub on: Option<On>,
    /// Levels at which it comes apart when pulled.
    pub cuts: Vec<f64>,
    /// What pushes at its head, and where that is.
    pub facing: HeadFacing,
    pub head: Option<Point>,
    /// Fixed to a slab that carries itself.
    pub secured: bool,
    pub on_ground: bool,
    /// Weights at its nodes: whose, head (false) or foot (true), where, newtons.
    pub weights: Vec<(MemberId, bool, Point, Vector)>,
}

/// What a post stands on.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum On {
    Post(MemberId, crate::equipment::model::Passes),
    Ground { normal: Vector, plate: f64 },
}

/// A bar as a program takes it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct BarOf {
    pub member: MemberId,
    pub ends: [(Option<MemberId>, Point); 2],
}

/// All that programs on some posts and bars of a stage are made of: where two are alike, so are the
/// programs, number for number.
#[derive(Clone, Debug)]
pub(super) struct MadeOf {
    pub posts: Vec<MemberId>,
    pub bodies: Vec<Option<Arc<Body>>>,
    pub bars: Vec<BarOf>,
    pub loaded: bool,
}

impl PartialEq for MadeOf {
    fn eq(&self, other: &Self) -> bool {
        let same = |(a, b): (&Option<Arc<Body>>, &Option<Arc<Body>>)| match (a, b) {
            (Some(a), Some(b)) => Arc::ptr_eq(a, b) || a == b,
            (None, None) => true,
            _ => false,
        };
        self.posts == other.posts
            && self.loaded == other.loaded
            && self.bars == other.bars
            && self.bodies.iter().zip(&other.bodies).all(same)
    }
}

impl MadeOf {
    /// Whether its posts are the very bodies they were, under loads of the same kind.
    pub fn is_still(&self, subject: &Subject<'_>) -> bool {
        let same =
            |(post, body): (&MemberId, &Option<Arc<Body>>)| match (body, subject.body_of(*post)) {
                (Some(body), Some(now)) => Arc::ptr_eq(body, now),
                (None, None) => true,
                _ => false,
            };
        self.loaded == subject.loaded && self.posts.iter().zip(&self.bodies).all(same)
    }
}

/// The posts of a stage as bodies, kept for the next one.
#[derive(Clone, Debug)]
pub(super) struct Bodies {
    pub stage: Stage,
    pub loads: LoadState,
    pub made: Vec<Option<Arc<Body>>>,
}

impl Bodies {
    /// Posts about which nothing differs that a body is made of.
    pub fn same(&self, assembly: &Assembly, stage: &Stage, loads: &LoadState) -> Vec<bool> {
        let count = assembly.members.len();
        let before = &self.loads;
        if before.sails != loads.sails
            || before.edge_lateral != loads.edge_lateral
            || self.stage.strip.secured != stage.strip.secured
        {
            return vec![false; count];
        }
        let touched = touched(assembly, &self.stage, stage);
        // The head counts what its beams have to do with fillers and with other posts.
        let mut off = seen_anew(assembly, &touched);
        for id in touched {
            if assembly.member(id).role == Role::Sill {
                above(assembly, id).for_each(|post| {
                    off.add(post);
                });
            }
        }
        let loaded =
            loads.on.differences(&before.on).chain(loads.at_foot.differences(&before.at_foot));
        loaded.filter_map(|m| assembly.members.get(m)).for_each(|m| {
            off.add(m.id);
        });
        for joint in loads.passed.differences(&before.passed).filter_map(|j| assembly.joints.get(j))
        {
            off.add(joint.member);
            joint.carrier.map(|c| off.add(c));
        }
        (0..count).map(|m| !off.has(MemberId(m as u32))).collect()
    }
}

/// The slab that a post is secured to holds its head sideways, in the plane or both ways.
pub(super) fn secured(
    body: usize,
    head: Point,
    plane: Option<[f64; 2]>,
) -> impl Iterator<Item = Bar> {
    let ways = match plane {
        Some(along) => vec![along],
        None => vec![[1.0, 0.0], [0.0, 1.0]],
    };
    ways.into_iter().map(move |way| Bar {
        ends: [(Some(body), head), (None, head + Vector::new(way[0], way[1], 0.0))],
        pull: f64::INFINITY,
        push: f64::INFINITY,
    })
}

/// What a post's foot does, as number `own` of the bodies.
pub(super) fn foot(
    member: &Member,
    body: &Body,
    (own, number): (usize, &BTreeMap<MemberId, usize>),
    friction: f64,
) -> Option<Contact> {
    let at = member.ends[0];
    Some(match body.on.as_ref()? {
        On::Post(lower, passes) => {
            let fixed = passes.along && passes.across;
            Contact {
                body: own,
                on: number.get(lower).copied(),
                at,
                normal: Vector::z(),
                sideways: if fixed { Sideways::Fixed } else { Sideways::Friction(friction) },
                plate: 0.0,
                uplift: passes.uplift.map_or(0.0, Force::si).max(0.0),
            }
        }
        &On::Ground { normal, plate } => Contact {
            body: own,
            on: None,
            at,
            normal,
            sideways: Sideways::Friction(friction),
            plate: if friction > 0.0 { plate } else { 0.0 },
            uplift: 0.0,
        },
    })
}
