//! A stage's posts reckoned in second order from the whole frame, case by case.
//!
//! The frame is one sparse matrix (`Model`: exact elements, K + Kg, nothing condensed, nothing taken
//! apart), each case is solved with its own axial forces, found again until they rest, and every
//! imperfection acts with the force that is there. Nothing of the strength check, of the tree or of the
//! upright planes is used. What is reckoned:
//!
//! - the weight, the heads pushed sideways, and lines pushed by a worker as far as that is more;
//! - posts that lean, are crooked by play and bow, and are loaded off the axis of their heads: offsets of the
//!   axis act on a piece compressed by C as pairs C·slope at its ends and a load C·curvature across it
//!   (Timoshenko and Gere, *Theory of Elastic Stability*, 2nd ed., ch. 1; from memory);
//! - tubes side by side, and diagonals clamped beside the axes of posts: couples of force and arm;
//! - each with a sign of its own, the same for all posts.
//!
//! A foot that pulls when the forces rest is let go, one that comes down again is put down, and the forces
//! are found again. A case without balance is not reckoned, nor one whose feet do not settle.

use standwell::assembly::{Assembly, Member, MemberId, Role};
use standwell::criteria::Pack;
use standwell::equipment::model::Section;
use standwell::loads::{LoadState, head_lateral_along};
use standwell::mechanics::answers::Solution;
use standwell::mechanics::frame::{ElementForm, Frame, LoadCase};
use standwell::mechanics::model::Model;
use standwell::mechanics::stage::idealise::{PieceOf, StageFrame, idealise};
use standwell::mechanics::stage::{cases, lines};
use standwell::sequence::Stage;
use std::collections::{BTreeMap, BTreeSet};

/// Places along a piece.
const PLACES: usize = 16;
/// Forces rest when none moves by more than this share of the largest; so far that feet are looked at, and
/// so far that they are believed.
const NEARLY_AT_REST: f64 = 1e-4;
const AT_REST: f64 = 1e-9;
const MOST_ROUNDS: usize = 25;

/// Signs of what is free of one another; zero leaves it out.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Signs {
    /// Sideways force at the heads with the lean of all posts.
    pub lateral: f64,
    pub eccentric: f64,
    /// Play and bow.
    pub crooked: f64,
    pub push: f64,
    /// Tubes side by side.
    pub step: f64,
    /// The side on which diagonals are clamped.
    pub beside: f64,
}

impl Signs {
    /// Every choice, with no push besides; the last two together, or left out.
    pub fn all(beside_axes: bool) -> Vec<Self> {
        let both = [1.0, -1.0];
        let own: &[f64] = if beside_axes { &both } else { &[0.0] };
        let mut out = Vec::new();
        for lateral in both {
            for eccentric in both {
                for crooked in both {
                    for push in [1.0, 0.0, -1.0] {
                        for &own in own {
                            let (step, beside) = (own, own);
                            out.push(Self { lateral, eccentric, crooked, push, step, beside });
                        }
                    }
                }
            }
        }
        out
    }
}

/// A diagonal at a node of a post: its frame member, and its couple per newton of tension when it is
/// clamped on one side.
struct Clamped {
    bar: usize,
    node: usize,
    couple: [f64; 2],
}

/// A stage made ready.
pub struct Reckoned<'a> {
    assembly: &'a Assembly,
    pack: &'a Pack,
    pub frame: StageFrame,
    weight: LoadCase,
    axes: Vec<[f64; 2]>,
    /// By axis: node and force.
    sideways: Vec<Vec<(usize, f64)>>,
    pushed: Vec<Vec<(usize, f64)>>,
    /// By frame member, per metre, and 1/m.
    slope: Vec<f64>,
    curvature: Vec<f64>,
    /// Frame member below, node, metres.
    steps: Vec<(usize, usize, f64)>,
    clamped: Vec<Clamped>,
}

/// A case at rest.
pub struct Rest {
    pub solution: Solution,
    pub case: LoadCase,
    pub lifted: BTreeSet<usize>,
}

impl<'a> Reckoned<'a> {
    pub fn new(assembly: &'a Assembly, pack: &'a Pack, stage: &Stage, loads: &LoadState) -> Self {
        let frame = idealise(assembly, stage);
        let weight = cases::weight(assembly, loads, &frame);
        let axes = cases::axes(assembly);
        let (mut sideways, mut pushed) = (Vec::new(), Vec::new());
        for &axis in &axes {
            let force = |post| head_lateral_along(assembly, pack, stage, loads, post, axis);
            let at: BTreeMap<MemberId, (usize, f64)> = frame
                .posts
                .keys()
                .map(|&post| (post, (frame.head(post).unwrap(), force(post))))
                .collect();
            pushed.push(worker(pack, &frame, axis, &at));
            sideways.push(at.into_values().collect());
        }
        let count = frame.frame.members.len();
        let mut out = Self {
            assembly,
            pack,
            weight,
            axes,
            sideways,
            pushed,
            slope: vec![0.0; count],
            curvature: vec![0.0; count],
            steps: Vec::new(),
            clamped: clamped(assembly, &frame),
            frame,
        };
        out.bend_posts();
        out
    }

    /// The axis of each post as it stands: a triangle for each angle between its pieces, and a parabola.
    fn bend_posts(&mut self) {
        for (&id, chain) in self.frame.posts.iter() {
            let post = self.assembly.member(id);
            let part = &self.assembly.library.posts[&post.part];
            let length = post.length();
            let mut triangles: Vec<(f64, f64)> = Vec::new();
            let jack = post.jack.as_ref().map_or(0.0, |(_, extension)| *extension);
            if jack > 0.005 {
                let name = &post.jack.as_ref().unwrap().0;
                let tilt = self.assembly.library.jacks[name].tilt.unwrap();
                triangles.push((jack, tilt.si().tan() * jack * (length - jack) / length));
            }
            let top = jack + part.outer_length.si();
            if length - top > 0.005 {
                let overlap = part.telescope(length - jack).unwrap().overlap;
                let wide = part.outer.outside.si();
                let inside =
                    (wide * wide - part.outer.area.si() * 4.0 / std::f64::consts::PI).sqrt();
                let clear = inside - part.inner.outside.si();
                // As far out as an angle anywhere in the overlap throws the post, at the top of it.
                let at = (length / 2.0).max(top - overlap).min(top);
                let angle = self.pack.telescope_play.value * clear / overlap;
                triangles.push((top, angle * at * (length - at) / length));
                let node = self.frame.node_at(id, top).unwrap();
                let below = chain.iter().position(|c| c.1 == node).unwrap() - 1;
                let step = (clear + part.pin_play.unwrap().si()) / 2.0;
                self.steps.push((self.frame.of_post[&id].start + below, node, step));
            }
            let bow = self.pack.bow.value * length;
            let off = |s: f64| {
                let kinked = |&(at, out): &(f64, f64)| {
                    out * if s < at { s / at } else { (length - s) / (length - at) }
                };
                triangles.iter().map(kinked).sum::<f64>()
                    + 4.0 * bow * (s / length) * (1.0 - s / length)
            };
            for (k, ends) in self.frame.of_post[&id].clone().zip(chain.windows(2)) {
                let (low, high) = (ends[0].0, ends[1].0);
                self.slope[k] = (off(high) - off(low)) / (high - low);
                self.curvature[k] = 8.0 * bow / (length * length);
            }
        }
    }

    pub fn axes(&self) -> usize {
        self.axes.len()
    }

    /// The loads of a case, with the imperfections under the forces that are there. All factored.
    fn loads(&self, which: usize, signs: Signs, axial: &[f64]) -> LoadCase {
        let (axis, factor) = (self.axes[which], self.pack.yield_factor.value);
        let across = |force: f64| [axis[0] * force, axis[1] * force, 0.0, 0.0, 0.0, 0.0];
        // Towards the axis: a load down off its node.
        let turned = |m: f64| [0.0, 0.0, 0.0, -axis[1] * m, axis[0] * m, 0.0];
        let mut case = LoadCase::default();
        for (node, force) in &self.weight.nodal {
            case.nodal.push((*node, force.map(|f| f * factor)));
        }
        for &(node, force) in &self.sideways[which] {
            case.nodal.push((node, across(signs.lateral * factor * force)));
        }
        for &(node, force) in &self.pushed[which] {
            case.nodal.push((node, across(signs.push * factor * force)));
        }
        let lean = signs.lateral * self.pack.out_of_plumb.value.si().tan();
        for members in self.frame.of_post.values() {
            for k in members.clone() {
                let member = &self.frame.frame.members[k];
                let pressed = -axial[k];
                let pair = pressed * (lean + signs.crooked * self.slope[k]);
                let load = signs.crooked * pressed * self.curvature[k];
                let ends = load * self.frame.frame.length(k) / 2.0;
                case.nodal.push((member.i, across(-pair - ends)));
                case.nodal.push((member.j, across(pair - ends)));
                if load != 0.0 {
                    case.uniform.push((k, [axis[0] * load, axis[1] * load, 0.0]));
                }
            }
            let top = members.end - 1;
            let moment = -axial[top] * signs.eccentric * self.pack.head_eccentricity.value.si();
            case.nodal.push((self.frame.frame.members[top].j, turned(moment)));
        }
        for &(below, node, step) in &self.steps {
            case.nodal.push((node, turned(-axial[below] * signs.step * step)));
        }
        for at in &self.clamped {
            let [x, y] = at.couple.map(|c| c * signs.beside * axial[at.bar]);
            case.nodal.push((at.node, [0.0, 0.0, 0.0, x, y, 0.0]));
        }
        case
    }

    /// A case with its forces at rest, once for every way of coming to it that ends in another set of lifted
    /// feet: all that pull are let go at once, or the one that pulls most. A foot that comes down again is put
    /// down. None where it has no balance or the feet do not settle.
    pub fn rests(&self, which: usize, signs: Signs, down: &Model<'_>) -> Vec<Rest> {
        let mut out: Vec<Rest> = Vec::new();
        for at_once in [true, false] {
            let Some(rest) = self.rest(which, signs, down, at_once) else { continue };
            if rest.lifted.is_empty() {
                return vec![rest];
            }
            if out.iter().all(|other| other.lifted != rest.lifted) {
                out.push(rest);
            }
        }
        out
    }

    fn rest(&self, which: usize, signs: Signs, down: &Model<'_>, at_once: bool) -> Option<Rest> {
        let mut lifted: BTreeSet<usize> = BTreeSet::new();
        let mut axial = vec![0.0; self.frame.frame.members.len()];
        let mut seen: Vec<BTreeSet<usize>> = Vec::new();
        while !seen.contains(&lifted) {
            seen.push(lifted.clone());
            let released = self.released(&lifted);
            let own;
            let model = if lifted.is_empty() {
                down
            } else {
                own = Model::new(&released, ElementForm::Exact, &[]).ok()?;
                &own
            };
            let (mut case, mut solution) =
                self.at_rest(model, which, signs, axial, NEARLY_AT_REST)?;
            if self.wrong(&solution, &lifted, at_once).is_empty() {
                (case, solution) = self.at_rest(model, which, signs, solution.axial, AT_REST)?;
            }
            let wrong = self.wrong(&solution, &lifted, at_once);
            if wrong.is_empty() {
                return Some(Rest { solution, case, lifted });
            }
            lifted = &lifted ^ &wrong;
            axial = solution.axial;
        }
        None
    }

    /// Feet that the ground would have to pull on, all or the one that pulls most; or if there are none, those
    /// that have come down again.
    fn wrong(
        &self,
        solution: &Solution,
        lifted: &BTreeSet<usize>,
        at_once: bool,
    ) -> BTreeSet<usize> {
        let up = |foot: &usize| {
            let node = self.frame.feet[*foot].0;
            solution.reactions.iter().find(|r| r.0 == node).map_or(0.0, |r| r.1[2])
        };
        let mut pulling = self.pulling(solution);
        pulling.retain(|foot| !lifted.contains(foot));
        if pulling.is_empty() {
            let comes_down =
                |&&foot: &&usize| solution.displacement[self.frame.feet[foot].0][2] < 0.0;
            return lifted.iter().filter(comes_down).copied().collect();
        }
        if !at_once {
            pulling =
                pulling.into_iter().min_by(|a, b| up(a).total_cmp(&up(b))).into_iter().collect();
        }
        pulling
    }

    /// Feet that the ground would have to pull on.
    fn pulling(&self, solution: &Solution) -> BTreeSet<usize> {
        let up = |node: usize| {
            let found = solution.reactions.iter().find(|r| r.0 == node);
            found.map_or(0.0, |r| r.1[2])
        };
        let feet: Vec<f64> = self.frame.feet.iter().map(|f| up(f.0)).collect();
        let largest = feet.iter().fold(1.0, |m: f64, f| m.max(f.abs()));
        (0..feet.len()).filter(|&f| feet[f] < -1e-9 * largest).collect()
    }

    fn at_rest(
        &self,
        model: &Model<'_>,
        which: usize,
        signs: Signs,
        mut axial: Vec<f64>,
        near: f64,
    ) -> Option<(LoadCase, Solution)> {
        for _ in 0..MOST_ROUNDS {
            let case = self.loads(which, signs, &axial);
            let solution = model.second_order(&case, &axial, 1.0).ok()?;
            let largest = solution.axial.iter().fold(0.0, |m: f64, n| m.max(n.abs()));
            let moved = solution.axial.iter().zip(&axial).map(|(a, b)| (a - b).abs());
            if moved.fold(0.0, f64::max) <= near * largest {
                return Some((case, solution));
            }
            axial.clone_from(&solution.axial);
        }
        None
    }

    fn released(&self, lifted: &BTreeSet<usize>) -> Frame {
        let mut frame = self.frame.frame.clone();
        for support in &mut frame.supports {
            if lifted.iter().any(|&f| self.frame.feet[f].0 == support.node) {
                support.fixed[..5].fill(false);
            }
        }
        frame
    }

    /// `N/(A·fy) + M/(W·fy)` of each post where it is most.
    pub fn uses(&self, rest: &Rest) -> BTreeMap<MemberId, f64> {
        let mut load = vec![[0.0; 3]; self.frame.frame.members.len()];
        for (k, q) in &rest.case.uniform {
            load[*k] = *q;
        }
        let mut out = BTreeMap::new();
        for (&id, members) in &self.frame.of_post {
            let most = members
                .clone()
                .map(|k| {
                    let [area, modulus] = self.yields(self.assembly.member(id), k);
                    let pressed = -rest.solution.axial[k];
                    let most = self.moment(k, pressed, &rest.solution.end_forces[k], load[k]);
                    pressed.max(0.0) / area + most / modulus
                })
                .fold(0.0, f64::max);
            out.insert(id, most);
        }
        out
    }

    /// The largest moment along a piece, from the moments at its ends and its own load: with m = EI·v″
    /// and C its compression, m″ + C/EI·m = q.
    fn moment(&self, k: usize, pressed: f64, ends: &[[f64; 6]; 2], load: [f64; 3]) -> f64 {
        let member = &self.frame.frame.members[k];
        let section = &self.frame.frame.sections[member.section];
        let length = self.frame.frame.length(k);
        let x = (self.frame.frame.nodes[member.j] - self.frame.frame.nodes[member.i]) / length;
        let z = (member.z - x * x.dot(&member.z)).normalize();
        let y = z.cross(&x);
        let q = [y, z].map(|d| d.x * load[0] + d.y * load[1] + d.z * load[2]);
        // The node turns the first end of a piece against the bending that is counted positive.
        let xy = [-ends[0][5], ends[1][5]];
        let xz = [ends[0][4], -ends[1][4]];
        (0..=PLACES)
            .map(|place| {
                let at = place as f64 / PLACES as f64 * length;
                let of = |m, q, ei| along(m, q, pressed / ei, length, at);
                of(xy, q[0], section.e * section.iz).hypot(of(xz, q[1], section.e * section.iy))
            })
            .fold(0.0, f64::max)
    }

    /// A·fy and W·fy of a piece: of both tubes the weaker where they overlap, of a spindle what is left
    /// under its thread (0.85 of its outside; common practice, no published source).
    fn yields(&self, post: &Member, k: usize) -> [f64; 2] {
        let part = &self.assembly.library.posts[&post.part];
        let tube =
            |s: &Section| [s.area.si() * s.fy.si(), 2.0 * s.i.si() / s.outside.si() * s.fy.si()];
        let [outer, inner] = [tube(&part.outer), tube(&part.inner)];
        match self.frame.pieces[k] {
            PieceOf::Outer => outer,
            PieceOf::Inner => inner,
            PieceOf::Overlap => [outer[0].min(inner[0]), outer[1].min(inner[1])],
            PieceOf::Jack => {
                let jack = &self.assembly.library.jacks[&post.jack.as_ref().unwrap().0];
                let (core, fy) = (0.85 * jack.outside.si(), jack.fy.unwrap().si());
                let area = std::f64::consts::PI * core * core / 4.0;
                [area * fy, area * core / 8.0 * fy]
            }
            PieceOf::Bar => unreachable!("a bar is no piece of a post"),
        }
    }
}

/// A moment along a piece; `square` is the compression over EI, negative where it pulls.
fn along(ends: [f64; 2], q: f64, square: f64, length: f64, x: f64) -> f64 {
    let k = square.abs().sqrt();
    if k * length < 1e-4 {
        let share = x / length;
        return ends[0] * (1.0 - share) + ends[1] * share - q * x * (length - x) / 2.0;
    }
    let sine: fn(f64) -> f64 = if square > 0.0 { f64::sin } else { f64::sinh };
    let rest = q / square;
    rest + ((ends[0] - rest) * sine(k * (length - x)) + (ends[1] - rest) * sine(k * x))
        / sine(k * length)
}

/// What a worker's push on each line brings beyond the sideways force on it, alike over its heads.
fn worker(
    pack: &Pack,
    frame: &StageFrame,
    axis: [f64; 2],
    heads: &BTreeMap<MemberId, (usize, f64)>,
) -> Vec<(usize, f64)> {
    let mut of_line: Vec<Vec<MemberId>> =
        lines::in_line(frame, axis).into_iter().map(|(posts, _)| posts).collect();
    let on_one: BTreeSet<MemberId> = of_line.iter().flatten().copied().collect();
    of_line.extend(heads.keys().filter(|p| !on_one.contains(p)).map(|&p| vec![p]));
    let mut out = Vec::new();
    for posts in of_line {
        let there: f64 = posts.iter().map(|p| heads[p].1).sum();
        let more = (pack.worker_push.value.si() - there).max(0.0) / posts.len() as f64;
        out.extend(posts.iter().map(|p| (heads[p].0, more)).filter(|p| p.1 > 0.0));
    }
    out
}

/// Diagonals lie against the outside of the tubes. What twists a post is left to the couplers.
fn clamped(assembly: &Assembly, frame: &StageFrame) -> Vec<Clamped> {
    let mut out = Vec::new();
    for (bar, &id) in frame.of.iter().enumerate() {
        let diagonal = assembly.member(id);
        if diagonal.role != Role::Brace {
            continue;
        }
        let member = &frame.frame.members[bar];
        let ends = [member.i, member.j];
        for (node, other) in [ends, [ends[1], ends[0]]].map(|e| (e[0], e[1])) {
            let on = |chain: &[(f64, usize)]| chain.iter().any(|c| c.1 == node);
            let Some((&post, _)) = frame.posts.iter().find(|(_, chain)| on(chain)) else {
                continue;
            };
            let part = &assembly.library.posts[&assembly.member(post).part];
            let tube = part.outer.outside.si().max(part.inner.outside.si());
            let arm = (tube + assembly.library.braces[&diagonal.part].outside.si()) / 2.0;
            let run = frame.frame.nodes[other] - frame.frame.nodes[node];
            let plan = run.x.hypot(run.y);
            // The same side at both ends.
            let sense = if (run.x, run.y) > (0.0, 0.0) { 1.0 } else { -1.0 };
            let off = [-run.y, run.x].map(|d| sense * arm * d / plan);
            let pull = run.z / run.norm();
            out.push(Clamped { bar, node, couple: [off[1] * pull, -off[0] * pull] });
        }
    }
    out
}
