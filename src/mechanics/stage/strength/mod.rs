//! The second-order strength check of a stage.
//!
//! Each post leans by the pack's out-of-plumb, its tubes and jack stand askew by their play, it
//! bows, and its load comes down off the axis of its head; the heads are pushed sideways as in the
//! lateral cases, and each line of posts by at least one worker. All loads are multiplied by the
//! pack's factor on yield, and K + Kg answers. No fibre may yield: `N/(A·fy) + M/(W·fy) ≤ 1`.
//!
//! Why it is on the safe side:
//! - Kg takes the most compression any case brings to each member (lean and sway of this very check
//!   included), rounded up into bands, and no tension. K + Kg is then nowhere stiffer than under
//!   the forces of any one case (more compression never stiffens these members), so that the work
//!   of the loads, and with it the sway, is never less.
//! - For a single moment that is no theorem: where a span of a post is pressed less, what it is crooked by may
//!   no longer relieve the next. Such relief is bounded and put on top (`relief`); without that, posts under
//!   a nailed deck in the tall lobby were used by up to 0.9 % further than said.
//! - A floor is taken apart into its upright planes, lines along x and lines along y, which is nowhere
//!   stiffer (`crate::mechanics::engine::stage_tree`): sways are larger by some hundredths. What a push along
//!   one of them bends in the other, by shortening posts that are braced both ways, is not in the answer.
//! - A share of what heavier posts of its lines bend more is put on top of each post (`neighbours`), for that
//!   and for feet that may be down or up.
//! - That all this is enough is measured, not proven. `tests/mechanics/whole_frame.rs` solves every choice of
//!   signs by itself, on the whole frame with its own forces. Under drawn loads of some tonnes, with nothing
//!   to spare beside the method, the use said is 1.01 times what is due at least (1.001 in some 1400 skewed
//!   draws, of which the test keeps one of the nearest), 1.07 to 1.08 times in the middle on flat floors and
//!   1.15 in the tall lobby. With the loads of the shipped scenes it is 1.48 times at least.
//!   `strength_cases.rs` does so for straight posts, up to many times the loads.
//! - What a pressed bar passes from one line to another by pulling its ends sideways against one another
//!   is taken off the stiffness at both ends, which again is nowhere stiffer. Lines then have nothing to
//!   do with one another.
//! - The compressions are found again after the answer, and the answer made again until none is
//!   larger than what it was made with. They only grow, and the rounds are counted.
//! - Lateral load with lean, eccentricity, crookedness and the push are families whose signs are free of one
//!   another: their moments are added without sign, place by place. Within a family all posts
//!   lean, are loaded off their axis or crooked to one side, the worst for what holds them.
//! - First yield in the outermost fibre leaves out what a tube carries beyond it.
//! - Where feet lift they are released, as in the lateral cases, and what is left is asked: with all up that
//!   may lift, with those that each choice of signs lifts, and with those that clearly pull under it
//!   (`pulling`), beside all feet down; the worst of all counts. With all up and all down alone up to 15 %
//!   less was said than is due where few posts carry nearly all. That these sets are enough is measured, not
//!   proven: of 163 000 posts and axes (42 000 with feet up) under skewed draws 17 were used further than said,
//!   by up to 8 %, none of them among the most used. With a share of what heavier neighbours bend on top, of
//!   127 000 (34 000) of other draws none was.

mod clamped;
pub(super) mod families;
mod first;
mod imperfect;
mod lifted;
mod neighbours;
mod of_frame;
mod piece;
mod pulling;
mod recover;
mod relief;
mod resist;
mod rounds;
mod side;

use super::bands::round_up;
use super::bracing;
use super::effective::{self, Columns};
use super::idealise::StageFrame;
use super::{Heads, cases};
use crate::assembly::{Assembly, MemberId};
use crate::criteria::Pack;
use crate::mechanics::answers::Mechanisms;
use crate::mechanics::engine::stage_tree::{OnTree, TreeSolution};
use crate::mechanics::frame::{Dof, LoadCase};
use crate::mechanics::stage_model::{StageMechanics, Verdict};
use crate::mechanics::strength_model::{LeanFall, PostStrength, Strength};
use crate::sequence::Stage;
use first::First;
pub(super) use of_frame::Before;
use pulling::{Choice, Up, pulling};
use recover::{Data, Family, Places, State, Worst};
use rounds::{Settled, Unsettled, band};
use side::{CROOKED, Side};
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

/// Round-off by which a use may pass one.
const ROUND_OFF: f64 = 1e-9;
/// Bands of what is said of a post beside its use: the compression of its own that its critical one is
/// held against, and that one, which is rounded down.
const LEAST_SAID: f64 = 1.0;
const DIGITS_SAID: u32 = 10;
/// What is said of moment and use is rounded up to so many binary digits, by less than one part in 2·10⁹, and
/// sway by less than a millionth: compressions are in far wider bands, and the digits behind would have to be
/// kept for every stage.
const DIGITS_UP: u32 = 31;
const DIGITS_SWAY: u32 = 20;

/// The stage as the check needs it.
#[derive(Clone, Copy)]
pub(super) struct Subject<'a> {
    pub assembly: &'a Assembly,
    pub pack: &'a Pack,
    pub stage: &'a Stage,
    pub frame: &'a Arc<StageFrame>,
    pub mechanisms: &'a Mechanisms,
    pub pins: &'a [Dof],
    pub weight: &'a LoadCase,
    /// By axis: what pushes the heads sideways.
    pub heads: &'a [Heads],
}

/// Compressions of the frame's members before this check, positive, newtons.
#[derive(Clone, Copy)]
pub(super) struct Start<'a> {
    /// First order, by axis under what pushes the heads sideways.
    pub pushed: &'a [TreeSolution],
    /// Under the weight alone; negative where it pulls.
    pub rest: &'a [f64],
    /// The most that any other case of the stage brings.
    pub most: &'a [f64],
    /// What the weight brings down each piece of a post, at least what was taken down to its foot.
    pub weighed: &'a [f64],
}

/// Judges a stage whose first-order stiffness is factorised.
pub(super) fn judge(
    subject: &Subject<'_>,
    tree: &mut OnTree<'_>,
    columns: &mut Columns,
    before: &mut Before,
    start: Start<'_>,
    out: &mut StageMechanics,
) {
    let factor = subject.pack.yield_factor.value;
    let mut strength = Strength { factor, ..Strength::unknown("not judged") };
    strength.axes = cases::axes(subject.assembly);
    let moving = moving_posts(subject);
    let left_out = |post: MemberId| moving.contains(&post);
    let of_frame = before.of_frame(subject, tree, columns, &strength.axes);
    let mut unknown = of_frame.unknown.clone();

    // In bands as the compressions are: more lean, more off the axis.
    let mut weighed = start.weighed.to_vec();
    band(&mut weighed);
    let sides: Vec<Side> = (strength.axes.iter().zip(subject.heads).zip(&of_frame.lines))
        .map(|((&axis, heads), lines)| Side::new(subject, heads, &weighed, axis, lines))
        .collect();
    let bows = &mut before.places.bows;
    let known = before.first.take();
    let first = match First::new(subject, tree, &of_frame, &sides, start, &weighed, bows, known) {
        Ok(first) => first,
        Err(why) => {
            strength.verdict = Verdict::Unknown(why.to_string());
            before.last = None;
            out.strength = strength;
            return;
        }
    };
    for (which, axis) in strength.axes.iter().enumerate() {
        let axial = &first.lean(which).axial;
        let which = u8::try_from(which).unwrap_or(u8::MAX);
        out.brace_lines.extend(bracing::lines(
            subject.assembly,
            subject.frame,
            which,
            *axis,
            axial,
        ));
    }
    let service = |post: MemberId| -> f64 {
        let members = subject.frame.of_post.get(&post).into_iter().flat_map(Clone::clone);
        round_up(members.map(|k| start.most[k]).fold(0.0, f64::max), LEAST_SAID, DIGITS_SAID)
    };
    let critical = first.critical(subject, &of_frame, &strength.axes, &service, &left_out);
    before.first = Some(first.answered);

    let known = before.last.take();
    let bows = &mut before.places.bows;
    match rounds::settle(subject, tree, &sides, &of_frame, bows, first.compression, known) {
        Ok(mut settled) => {
            let data = Data {
                subject,
                elements: &tree.elements(),
                of_frame: &of_frame,
                compression: &settled.factored,
                critical: &critical,
                left_out: &left_out,
            };
            let places = &mut before.places;
            let mut worst = Vec::new();
            for (which, side) in sides.iter().enumerate() {
                let of = (which, side, &settled);
                lifted_states(&data, of, tree, places, &mut strength, &mut worst, &mut unknown);
            }
            let solved = settled.answered.solutions();
            let states = (sides.iter().zip(settled.first_of.windows(2)).zip(0..)).map(
                |((side, at), which)| State {
                    which,
                    sense: 0,
                    axis: side.axis,
                    families: (std::iter::once(0).chain(at[0]..at[1]))
                        .map(|i| Family { of: &solved[i], bow: i == at[0] + CROOKED })
                        .collect(),
                },
            );
            let states: Vec<State<'_>> = states.collect();
            let otherwise = settled.answered.otherwise();
            let (more, not) = recover::all_posts(&data, &states, otherwise, places);
            worst.extend(more);
            unknown.extend(not);
            let mut posts = per_post(subject, worst, &critical, &service, factor);
            neighbours::add(&mut posts, &of_frame.lines, &|post| of_frame.weakest(post));
            posts.iter_mut().for_each(said);
            strength.posts = posts.into();
            settled.answered.seen();
            before.last = Some(settled.answered);
        }
        Err(Unsettled::Unstable) => strength.unstable = true,
        Err(Unsettled::NotInTime) => {
            let why = "compressions with lean and sway did not settle".to_owned();
            unknown.extend(subject.frame.posts.keys().map(|&p| (p, why.clone())));
        }
    }
    unknown.retain(|(post, _)| !left_out(*post));
    unknown.sort();
    unknown.dedup_by_key(|u| u.0);
    strength.posts.retain(|p| unknown.binary_search_by_key(&p.post, |u| u.0).is_err());
    strength.unknown = unknown;
    strength.verdict = verdict(subject, &strength);
    second_order_sways(&strength, out);
    out.strength = strength;
}

/// Judges a direction in the senses in which feet lift.
fn lifted_states(
    data: &Data<'_>,
    (which, side, settled): (usize, &Side, &Settled),
    tree: &mut OnTree<'_>,
    places: &mut Places,
    strength: &mut Strength,
    worst: &mut Vec<Worst>,
    unknown: &mut Vec<(MemberId, String)>,
) {
    let subject = data.subject;
    let (solved, up) = (settled.answered.solutions(), &settled.up);
    let at = settled.first_of[which]..settled.first_of[which + 1];
    for sense in [1.0, -1.0] {
        let mut up_known = up[at.clone()].to_vec();
        up_known[0] = up[0].iter().zip(&up_known[0]).map(|(a, b)| a + sense * b).collect();
        let up = Up { at_rest: &up[0], by: &up_known };
        if pulling(up, Choice::ANY).is_empty() {
            continue;
        }
        let mut known = solved[at.clone()].to_vec();
        known[0] = solved[0].and(sense, &known[0]);
        let ask = lifted::Ask {
            data,
            which,
            side,
            sense,
            factor: strength.factor,
            compression: &settled.compression,
            stiffened: settled.answered.stiffened(),
            known: &known,
            up,
        };
        for answer in lifted::judge(&ask, tree, places) {
            match answer {
                lifted::Answer::Stands(more, not) => {
                    worst.extend(more);
                    unknown.extend(not);
                }
                lifted::Answer::Falls(fall) => strength.falls.push(fall),
                lifted::Answer::Unstable => strength.unstable = true,
                lifted::Answer::Unknown(why) => {
                    let case = case_words(strength.axes[which], sense);
                    let all = subject.frame.posts.keys().filter(|p| !(data.left_out)(**p));
                    unknown.extend(all.map(|&p| (p, format!("{case}: {why}"))));
                }
            }
        }
    }
}

fn verdict(subject: &Subject<'_>, strength: &Strength) -> Verdict {
    let yields = strength.posts.iter().any(|p| !(p.usage <= 1.0 + ROUND_OFF));
    if strength.unstable || yields || !strength.falls.is_empty() {
        return Verdict::NotMet;
    }
    match strength.unknown.first() {
        Some((post, why)) => Verdict::Unknown(format!("{}: {why}", subject.assembly.name(*post))),
        None => Verdict::Met,
    }
}

/// Posts that a mechanism moves.
fn moving_posts(subject: &Subject<'_>) -> BTreeSet<MemberId> {
    let moves = |node: usize| {
        subject.mechanisms.motions.iter().any(|m| m[node][..3].iter().any(|v| v.abs() > 1e-6))
    };
    let frame = subject.frame;
    frame
        .posts
        .iter()
        .filter(|(_, chain)| chain.iter().any(|&(_, node)| moves(node)))
        .map(|(&post, _)| post)
        .collect()
}

fn case_words(axis: [f64; 2], sense: f64) -> String {
    let direction = [axis[0] * sense, axis[1] * sense];
    format!("lateral and lean, {}", cases::direction_words(direction))
}

/// The worst of each post and axis, with its critical compression.
fn per_post(
    subject: &Subject<'_>,
    mut worst: Vec<Worst>,
    critical: &BTreeMap<MemberId, Vec<f64>>,
    service: &dyn Fn(MemberId) -> f64,
    factor: f64,
) -> Vec<PostStrength> {
    worst.sort_by(|a, b| {
        a.post.cmp(&b.post).then(a.which.cmp(&b.which)).then(b.usage.total_cmp(&a.usage))
    });
    let mut out: Vec<PostStrength> = Vec::new();
    for w in worst {
        if let Some(last) = out.last_mut()
            && (last.post, last.axis) == (w.post, w.which)
        {
            last.sway = last.sway.max(w.sway / factor);
            continue;
        }
        let least =
            critical.get(&w.post).and_then(|c| c.get(usize::from(w.which))).copied().unwrap_or(0.0);
        let ei = subject.assembly.library.posts.get(&subject.assembly.member(w.post).part);
        out.push(PostStrength {
            post: w.post,
            axis: w.which,
            compression: w.compression,
            moment: w.moment,
            usage: w.usage,
            at: w.at,
            sway: w.sway / factor,
            critical: least,
            effective_length: effective::effective_length(
                ei.map_or(0.0, |part| part.outer.ei()),
                least,
            ),
            service: service(w.post),
        });
    }
    out
}

/// Rounds what is said of a post up by next to nothing: a use of one stays one.
fn said(post: &mut PostStrength) {
    post.moment = round_up(post.moment, 0.0, DIGITS_UP);
    post.usage = round_up(post.usage, 0.0, DIGITS_UP);
    post.sway = round_up(post.sway, 0.0, DIGITS_SWAY);
}

/// Puts the largest second-order sway of each direction beside the first-order one.
fn second_order_sways(strength: &Strength, out: &mut StageMechanics) {
    if strength.unstable || !strength.falls.is_empty() || !strength.unknown.is_empty() {
        return;
    }
    for sway in &mut out.sways {
        let along = |axis: &[f64; 2]| {
            (axis[0] * sway.direction[0] + axis[1] * sway.direction[1]).abs() > 1.0 - 1e-9
        };
        let Some(which) = strength.axes.iter().position(along) else { continue };
        sway.second_order = strength
            .posts
            .iter()
            .filter(|p| usize::from(p.axis) == which)
            .map(|p| p.sway)
            .reduce(f64::max);
    }
}

/// A fall for the list.
fn fall(subject: &Subject<'_>, case: String, motion: &[[f64; 6]]) -> LeanFall {
    let (members, motion) =
        super::motions::name_motion(subject.assembly, subject.stage, subject.frame, motion);
    LeanFall { case, members, motion }
}
