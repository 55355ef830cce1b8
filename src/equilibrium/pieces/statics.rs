//! Rigid bodies on one-way contacts with friction: how far a load may grow.
//!
//! Every body is in balance; bars pass push and pull up to their strength; a contact only presses,
//! holds sideways within its cone of friction and against turning by its plate. The greatest
//! factor of the growing load for which such forces exist is a second-order cone program; its
//! multipliers are the motion in which everything gives way (limit analysis of rigid blocks with
//! friction, Drucker 1954, with the associated flow: the kindest friction there can be, so an
//! upper bound. What it calls out of balance surely is; what it calls balanced need not stand).
//!
//! Holds if: a block on a plane slides at μ and tips at b/h, and towers by moments worked by hand
//! (`tests/equilibrium/blocks.rs`), and both bounds of every program meet.

use crate::assembly::model::{Point, Vector};
use crate::mechanics::answers::Unknown;
use crate::mechanics::cone_program::{Outcome, Program};

/// A body is its reference point: moments are taken about it.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Blocks {
    pub bodies: Vec<Point>,
    pub bars: Vec<Bar>,
    pub contacts: Vec<Contact>,
    pub cuts: Vec<Cut>,
    /// Body, place, newtons.
    pub dead: Vec<(usize, Point, Vector)>,
    /// What grows.
    pub live: Vec<(usize, Point, Vector)>,
    /// Everything happens in the upright plane along this plan direction; none: in space.
    pub plane: Option<[f64; 2]>,
}

/// Passes force along itself between two places; `None` for a place that does not move.
#[derive(Clone, Debug, PartialEq)]
pub struct Bar {
    pub ends: [(Option<usize>, Point); 2],
    /// Greatest pull and push, newtons; infinite where nothing is known to limit it.
    pub pull: f64,
    pub push: f64,
}

/// A body set on the ground or on another body.
#[derive(Clone, Debug, PartialEq)]
pub struct Contact {
    pub body: usize,
    pub on: Option<usize>,
    pub at: Point,
    /// Unit vector from what carries to what is carried.
    pub normal: Vector,
    pub sideways: Sideways,
    /// Half the width of the plate, metres: it resists turning up to N times this.
    pub plate: f64,
    /// Pull it passes, newtons.
    pub uplift: f64,
}

/// What holds a contact sideways.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Sideways {
    /// Up to this share of what it bears.
    Friction(f64),
    /// A pin.
    Fixed,
}

/// A body that does not hold together in tension at a level: what pulls up above it has to be
/// outweighed above it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cut {
    pub body: usize,
    pub level: f64,
}

/// Velocity of a body's reference point and its turning about x and y.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Twist {
    pub moves: Vector,
    pub turns: [f64; 2],
}

impl Twist {
    /// Velocity at an offset from the reference point.
    #[must_use]
    pub fn at(&self, r: Vector) -> Vector {
        let [wx, wy] = self.turns;
        self.moves + Vector::new(wy * r.z, -wx * r.z, wx * r.y - wy * r.x)
    }
}

/// How far the growing load may grow.
#[derive(Clone, Debug, PartialEq)]
pub enum Growth {
    /// To this factor; then the bodies move like this.
    To(f64, Vec<Twist>),
    /// Not even the standing load is balanced; it goes like this.
    Not(Vec<Twist>),
    /// Without limit.
    Free,
}

impl Growth {
    /// The factor: zero where the standing load is not balanced, infinite without limit.
    #[must_use]
    pub fn factor(&self) -> f64 {
        match self {
            Self::To(factor, _) => *factor,
            Self::Not(_) => 0.0,
            Self::Free => f64::INFINITY,
        }
    }
    /// The motion in which it gives way.
    #[must_use]
    pub fn motion(&self) -> Option<&[Twist]> {
        match self {
            Self::To(_, motion) | Self::Not(motion) => Some(motion),
            Self::Free => None,
        }
    }
}

/// Greatest factor of the live load in balance with the dead load.
///
/// # Errors
/// Loads that are not numbers; a program that does not come to a clear end, or whose bounds do not
/// meet.
pub fn growth(blocks: &Blocks) -> Result<Growth, Unknown> {
    growth_by(blocks).map(|(growth, _)| growth)
}

/// Forces in balance: those of every unknown of a program in its order, newtons, newton metres, the
/// factor of the growing load in its place.
pub(super) type Forces = Vec<f64>;

/// Largest force of the standing and of the growing load, newtons: the units of a program. Some part
/// grows.
pub(super) fn units(blocks: &Blocks) -> Result<Option<(f64, f64)>, Unknown> {
    let loads = blocks.dead.iter().chain(&blocks.live);
    let mut unit = 0.0f64;
    for (_, _, force) in loads.clone() {
        if !force.iter().all(|f| f.is_finite()) {
            return Err(Unknown::NotConverged("a load is not a number".into()));
        }
    }
    for (_, _, force) in &blocks.dead {
        unit = unit.max(force.norm());
    }
    let largest = blocks.live.iter().fold(0.0f64, |m, (_, _, f)| m.max(f.norm()));
    if largest <= 0.0 {
        return Ok(None);
    }
    Ok(Some((if unit > 0.0 { unit } else { largest }, largest)))
}

pub(super) fn rows(blocks: &Blocks, (unit, largest): (f64, f64)) -> Rows<'_> {
    let mut rows = Rows::new(blocks);
    for (body, at, force) in &blocks.dead {
        rows.put(*body, *at, force / unit, None);
    }
    for (body, at, force) in &blocks.live {
        rows.put(*body, *at, force / largest, Some(0));
    }
    for bar in &blocks.bars {
        rows.bar(bar, unit);
    }
    for contact in &blocks.contacts {
        rows.contact(contact, unit);
    }
    rows
}

/// The same with the forces at which it ends.
pub(super) fn growth_by(blocks: &Blocks) -> Result<(Growth, Forces), Unknown> {
    let Some((unit, largest)) = units(blocks)? else { return Ok((Growth::Free, Forces::new())) };
    let rows = rows(blocks, (unit, largest));
    let program = rows.program();
    let answer = program.maximise(0)?;
    program.certify(&answer, 0)?;
    let motion = || rows.motion(&answer.multipliers);
    let growth = match answer.outcome {
        Outcome::Solved if answer.value.is_some_and(|v| v >= 0.0) => {
            Growth::To(answer.value.unwrap_or(0.0) * unit / largest, motion())
        }
        Outcome::Solved | Outcome::Infeasible => Growth::Not(motion()),
        Outcome::Unbounded => Growth::Free,
    };
    let mut forces: Forces = answer.unknowns.iter().map(|force| force * unit).collect();
    if let Some(factor) = forces.first_mut() {
        *factor /= largest;
    }
    Ok((growth, forces))
}

type Sum = Vec<(usize, f64)>;

/// The rows of balance in the making. Unknown 0 is the factor.
pub(super) struct Rows<'a> {
    blocks: &'a Blocks,
    /// By body: three forces and two moments, or along, up and one moment in a plane.
    balance: Vec<[(Sum, f64); 5]>,
    /// Net downward force above each cut, as a sum and a constant.
    cuts: Vec<(Sum, f64)>,
    pub(super) unknowns: usize,
    at_most: Vec<(Sum, f64)>,
    cones: Vec<Vec<Sum>>,
    /// Unknowns that are what a contact bears.
    pub(super) bears: Vec<usize>,
}

impl<'a> Rows<'a> {
    fn new(blocks: &'a Blocks) -> Self {
        Self {
            blocks,
            balance: vec![<[(Sum, f64); 5]>::default(); blocks.bodies.len()],
            cuts: vec![(Sum::new(), 0.0); blocks.cuts.len()],
            unknowns: 1,
            at_most: Vec::new(),
            cones: Vec::new(),
            bears: Vec::new(),
        }
    }

    fn new_unknown(&mut self) -> usize {
        self.unknowns += 1;
        self.unknowns - 1
    }

    /// A force on a body, times an unknown or as it is.
    fn put(&mut self, body: usize, at: Point, force: Vector, times: Option<usize>) {
        let r = at - self.blocks.bodies[body];
        let parts = match self.blocks.plane {
            None => [
                force.x,
                force.y,
                force.z,
                r.y * force.z - r.z * force.y,
                r.z * force.x - r.x * force.z,
            ],
            Some([ax, ay]) => {
                let along = force.x * ax + force.y * ay;
                let out = r.x * ax + r.y * ay;
                [along, force.z, r.z * along - out * force.z, 0.0, 0.0]
            }
        };
        for (row, part) in self.balance[body].iter_mut().zip(parts) {
            add(row, part, times);
        }
        for (cut, row) in self.blocks.cuts.iter().zip(&mut self.cuts) {
            if cut.body == body && at.z > cut.level {
                add(row, -force.z, times);
            }
        }
    }

    /// A moment about x and y on a body, times an unknown.
    fn turn(&mut self, body: usize, [mx, my]: [f64; 2], times: usize) {
        match self.blocks.plane {
            None => {
                add(&mut self.balance[body][3], mx, Some(times));
                add(&mut self.balance[body][4], my, Some(times));
            }
            Some([ax, ay]) => {
                add(&mut self.balance[body][2], my * ax - mx * ay, Some(times));
            }
        }
    }

    fn bar(&mut self, bar: &Bar, unit: f64) {
        let [(a, p), (b, q)] = bar.ends;
        let Some(along) = (q - p).try_normalize(1e-9) else { return };
        let force = self.new_unknown();
        if let Some(a) = a {
            self.put(a, p, along, Some(force));
        }
        if let Some(b) = b {
            self.put(b, q, -along, Some(force));
        }
        if bar.pull.is_finite() {
            self.at_most.push((vec![(force, 1.0)], bar.pull / unit));
        }
        if bar.push.is_finite() {
            self.at_most.push((vec![(force, -1.0)], bar.push / unit));
        }
    }

    fn contact(&mut self, contact: &Contact, unit: f64) {
        let normal = contact.normal;
        let bears = self.new_unknown();
        self.bears.push(bears);
        self.pass(contact, normal, bears);
        let tangents: Vec<Vector> = match self.blocks.plane {
            Some([ax, ay]) => vec![Vector::new(ax, ay, 0.0)],
            None => {
                let x = Vector::x();
                let first = (x - normal * normal.dot(&x)).normalize();
                vec![first, normal.cross(&first)]
            }
        };
        let sideways: Vec<usize> = match contact.sideways {
            // What hangs on a contact is not counted on to hold sideways by friction as well.
            Sideways::Friction(f) if f <= 0.0 || contact.uplift > 0.0 => Vec::new(),
            _ => tangents
                .iter()
                .map(|&t| {
                    let force = self.new_unknown();
                    self.pass(contact, t, force);
                    force
                })
                .collect(),
        };
        match contact.sideways {
            Sideways::Friction(friction) if friction > 0.0 && contact.uplift <= 0.0 => {
                let mut cone = vec![vec![(bears, friction)]];
                cone.extend(sideways.iter().map(|&s| vec![(s, 1.0)]));
                self.cones.push(cone);
            }
            _ => self.at_most.push((vec![(bears, -1.0)], contact.uplift / unit)),
        }
        if contact.plate > 0.0 && contact.on.is_none() {
            let axes: &[[f64; 2]] = match self.blocks.plane {
                Some([ax, ay]) => &[[-ay, ax]],
                None => &[[1.0, 0.0], [0.0, 1.0]],
            };
            let mut cone = vec![vec![(bears, contact.plate)]];
            for axis in axes {
                let moment = self.new_unknown();
                self.turn(contact.body, *axis, moment);
                cone.push(vec![(moment, 1.0)]);
            }
            self.cones.push(cone);
        }
    }

    fn pass(&mut self, contact: &Contact, direction: Vector, times: usize) {
        self.put(contact.body, contact.at, direction, Some(times));
        if let Some(on) = contact.on {
            self.put(on, contact.at, -direction, Some(times));
        }
    }

    fn rows_each(&self) -> usize {
        if self.blocks.plane.is_some() { 3 } else { 5 }
    }

    pub(super) fn program(&self) -> Program {
        let mut program = Program::new(self.unknowns);
        for body in &self.balance {
            for (sum, constant) in &body[..self.rows_each()] {
                program.equal(sum.clone(), -constant);
            }
        }
        for (sum, most) in &self.at_most {
            program.at_most(sum.clone(), *most);
        }
        for (sum, constant) in &self.cuts {
            program.at_most(sum.iter().map(|(j, v)| (*j, -v)).collect(), *constant);
        }
        for cone in &self.cones {
            if let [head, one] = &cone[..] {
                // A cone of two is a pair of rows.
                for sign in [1.0, -1.0] {
                    let mut row: Sum = head.iter().map(|(j, v)| (*j, -v)).collect();
                    row.extend(one.iter().map(|(j, v)| (*j, sign * v)));
                    program.at_most(row, 0.0);
                }
            } else if let [head, rest @ ..] = &cone[..] {
                let rest = rest.iter().map(|sum| (sum.clone(), 0.0)).collect();
                program.within((head.clone(), 0.0), rest);
            }
        }
        program
    }

    /// The multipliers of balance are the velocities of the bodies; brought to unit size.
    fn motion(&self, multipliers: &[f64]) -> Vec<Twist> {
        let each = self.rows_each();
        let twists: Vec<Twist> = multipliers
            .chunks(each)
            .take(self.blocks.bodies.len())
            .map(|z| match self.blocks.plane {
                Some([ax, ay]) => Twist {
                    moves: Vector::new(z[0] * ax, z[0] * ay, z[1]),
                    turns: [-z[2] * ay, z[2] * ax],
                },
                None => Twist { moves: Vector::new(z[0], z[1], z[2]), turns: [z[3], z[4]] },
            })
            .collect();
        let size = twists
            .iter()
            .map(|t| t.moves.norm().max(t.turns[0].hypot(t.turns[1])))
            .fold(f64::MIN_POSITIVE, f64::max);
        twists
            .into_iter()
            .map(|t| Twist { moves: t.moves / size, turns: t.turns.map(|w| w / size) })
            .collect()
    }
}

fn add(row: &mut (Sum, f64), part: f64, times: Option<usize>) {
    if part == 0.0 {
        return;
    }
    match times {
        Some(unknown) => row.0.push((unknown, part)),
        None => row.1 += part,
    }
}
