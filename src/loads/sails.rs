//! What stands up from the deck and catches the wind: edge forms, and material stacked on it.
//!
//! The wind on a flat face is q·c·A. It acts at the middle of the face, above the head that takes
//! it, and is shared by the posts as they share the weight of what is stacked. Where a scene gives
//! no height, one on the safe side is taken, and [`LoadState::assumed`] says so: the wind on what
//! nobody measured is not left out.
//!
//! Holds if: one stack on one post has q·c·A by hand, in both directions, and the shares of a stack
//! between posts are those of its weight (`tests/loads/wind.rs`).

use super::ledge::Ledge;
use super::{LoadState, sheet};
use crate::assembly::{Assembly, JointKind, MemberId, Role};
use crate::scene::model::{LoadKind, LoadPlace, LoadText};
use crate::sequence::Stage;
use crate::sequence::model::StageLoad;
use std::borrow::Cow;

/// Force coefficient of a flat face: boards and stacks.
/// Source: EN 1991-1-4 7.4.3, signboards, 1.80 (from memory). ASCE/SEI 7 has 1.6 to 2.0 on flat
/// members of open frames, Table 29.4-2 (seen in print). A closed stack has less.
pub const FLAT_COEFFICIENT: f64 = 1.8;

/// Density of stacked material of which only the weight is known, kg/m³: timber with air between,
/// so that the stack is taken higher than most are. Choice of this project.
pub const LOOSE: f64 = 300.0;

/// Height of an edge form that the scene does not give, metres. Choice of this project: deeper than
/// the edge of most slabs.
pub const FORM_HEIGHT: f64 = 0.5;

/// A face above a head.
#[derive(Clone, Debug, PartialEq)]
pub struct Sail {
    pub post: MemberId,
    /// `edge form`, or the name of a load of the stage.
    pub what: Cow<'static, str>,
    /// The beam whose piece of the edge it is, for an edge form.
    pub on: Option<MemberId>,
    /// The post's share of the face, square metres: with the wind along its block's axis, and across.
    pub area: [f64; 2],
    /// Height of the middle of the face above the head, metres.
    pub above: f64,
}

/// A stack as the wind finds it: height, and width of the face for a wind in a plan direction.
struct Stack {
    height: f64,
    /// Sides along the plan's x and y.
    sides: [f64; 2],
    assumed: bool,
}

impl Stack {
    /// None for what has no face to speak of.
    fn of(load: &LoadText, assembly: &Assembly) -> Option<Self> {
        let given = load.stack.as_ref();
        if given.is_none() && load.kind != LoadKind::Bundle {
            return None;
        }
        let height = given.map(|s| s.height.si());
        let across = given.and_then(|s| s.across).map(crate::units::Length::si);
        let density = LOOSE * super::placing::GRAVITY;
        let made = |sides: [f64; 2], loose: f64| Self {
            height: height.unwrap_or(loose),
            sides,
            assumed: height.is_none(),
        };
        let cube = |weight: f64| {
            let side = (weight / density).cbrt();
            // Of what is given a height but no width, as wide as its weight makes it.
            let wide = height.map_or(side, |h| (weight / density / h.max(1e-3)).sqrt().max(side));
            made([across.unwrap_or(wide); 2], side)
        };
        match &load.on {
            LoadPlace::Area { from, to, load } => Some(made(
                [(to.0.si() - from.0.si()).abs(), (to.1.si() - from.1.si()).abs()],
                load.si() / density,
            )),
            LoadPlace::Point { weight, .. } => Some(cube(weight.si())),
            LoadPlace::Lump { mass, .. } => Some(cube(mass.si() * super::placing::GRAVITY)),
            LoadPlace::Line { member, load } => {
                let length = assembly.find(member).map_or(0.0, |m| assembly.member(m).length());
                Some(made([across.unwrap_or(length); 2], (load.si() / density).sqrt()))
            }
            LoadPlace::Along { weight, .. } => Some(cube(weight.si())),
            LoadPlace::Pour { .. } | LoadPlace::Layer { .. } | LoadPlace::Heap { .. } => None,
        }
    }

    /// Area of its face for a wind along a plan direction, square metres.
    fn face(&self, direction: [f64; 2]) -> f64 {
        let [x, y] = self.sides;
        self.height * (x * direction[1].abs() + y * direction[0].abs())
    }
}

/// Whether a load is something the wind finds, so that its way down must be known.
pub(super) fn catches(load: &LoadText, assembly: &Assembly) -> bool {
    Stack::of(load, assembly).is_some_and(|s| s.height > 0.0)
}

/// Adds the faces of a stack to the posts that carry it; `heads` is what each gets of its weight,
/// `level` that of the deck beneath.
pub(super) fn stacked(
    assembly: &Assembly,
    load: &StageLoad,
    heads: &[(MemberId, f64)],
    level: f64,
    state: &mut LoadState,
) {
    let Some(stack) = Stack::of(&load.text, assembly) else { return };
    let total: f64 = heads.iter().map(|h| h.1.max(0.0)).sum();
    if !(total > 0.0 && stack.height.is_finite()) {
        return;
    }
    if stack.assumed {
        state.assumed.push(format!(
            "{} is taken {:.2} m high for the wind, as loose timber of {LOOSE:.0} kg/m³",
            load.text.name, stack.height
        ));
    }
    for &(post, weight) in heads {
        let member = assembly.member(post);
        let [x, y] = sheet::axis_of(assembly, member);
        let share = weight.max(0.0) / total;
        let head = member.ends[0].z.max(member.ends[1].z);
        if share > 0.0 {
            state.sails.push(Sail {
                post,
                what: Cow::Owned(load.text.name.clone()),
                on: None,
                area: [share * stack.face([x, y]), share * stack.face([-y, x])],
                above: (level - head).max(0.0) + 0.5 * stack.height,
            });
        }
    }
}

/// The form on a beam's piece of a slab edge: its face and the height of its middle above the
/// support it turns about. `brought` is the load that sets it down, where a step does.
pub(super) fn form(
    assembly: &Assembly,
    ledge: &Ledge<'_>,
    brought: Option<&StageLoad>,
    state: &mut LoadState,
) {
    let stated = brought
        .and_then(|l| l.text.stack.as_ref())
        .map(|s| s.height)
        .or_else(|| ledge.overhang.edge_form.as_ref().and_then(|f| f.height));
    let height = stated.map_or(FORM_HEIGHT, crate::units::Length::si);
    let post = assembly
        .joints_of(ledge.member)
        .iter()
        .map(|&j| assembly.joint(j))
        .find(|j| {
            j.member == ledge.member
                && j.kind == JointKind::Head
                && (j.member_at - ledge.from).abs() < 1e-9
        })
        .and_then(|j| j.carrier);
    let Some(post) = post else { return };
    if stated.is_none() {
        state.assumed.push(format!(
            "the edge form on {} is taken {FORM_HEIGHT} m high for the wind",
            assembly.name(ledge.member)
        ));
    }
    let depth = beam_depth(assembly, ledge.member);
    // Both ways alike: an edge runs on round the corner.
    state.sails.push(Sail {
        post,
        what: super::EDGE_FORM.into(),
        on: Some(ledge.member),
        area: [height * ledge.width(); 2],
        above: depth + 0.5 * height,
    });
}

fn beam_depth(assembly: &Assembly, beam: MemberId) -> f64 {
    let part = &assembly.member(beam).part;
    assembly.library.beams.get(part).map_or(0.0, |b| b.depth.si())
}

/// Level of what a load lies on: the highest of these members.
pub(super) fn level(assembly: &Assembly, stage: &Stage, on: &[MemberId]) -> f64 {
    on.iter()
        .filter(|&&m| stage.state(m).is_there())
        .map(|&m| {
            let member = assembly.member(m);
            let top = member.ends[0].z.max(member.ends[1].z);
            top + if member.role == Role::Sheet { 0.0 } else { beam_depth(assembly, m) }
        })
        .fold(f64::NEG_INFINITY, f64::max)
}
