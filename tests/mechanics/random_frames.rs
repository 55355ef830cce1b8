//! Small shoring-like frames at random, from a seed.

use standwell::assembly::model::{Point, Vector};
use standwell::mechanics::frame::{
    Frame, FrameMember, LoadCase, Release, Section, Spring, Support,
};

/// SplitMix64.
pub struct Random(pub u64);

impl Random {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    pub fn below(&mut self, n: usize) -> usize {
        (self.next() % n as u64) as usize
    }

    /// Between zero and one.
    pub fn part(&mut self) -> f64 {
        (self.next() >> 11) as f64 / (1u64 << 53) as f64
    }

    pub fn chance(&mut self, part: f64) -> bool {
        self.part() < part
    }
}

/// Posts on a jittered grid, telescoped or not, with ledgers as beams (pinned, rigid or sprung) or
/// bars, and diagonals with this chance each.
pub fn storey(random: &mut Random, braces: f64) -> Frame {
    let section = |i: f64, a: f64| Section { e: 210e9, g: 81e9, a, iy: i, iz: 1.4 * i, j: 2.0 * i };
    let mut frame = Frame {
        sections: vec![section(1.2e-7, 4.5e-4), section(6e-8, 3e-4), section(4e-7, 8e-4)],
        ..Frame::default()
    };
    let (k, l) = (1 + random.below(3), 1 + random.below(2));
    let mut heads = Vec::new();
    let mut feet = Vec::new();
    for x in 0..=k {
        for y in 0..=l {
            let at = |random: &mut Random, step: f64, n: usize| {
                step * n as f64 + 0.1 * (random.part() - 0.5)
            };
            let (px, py) = (at(random, 1.8, x), at(random, 2.4, y));
            let top = 3.0 + 0.2 * random.part();
            let foot = frame.nodes.len();
            frame.nodes.push(Point::new(px, py, 0.0));
            frame.nodes.push(Point::new(px, py, top));
            let fixed = [true, true, true, false, false, random.chance(0.7)];
            frame.supports.push(Support { node: foot, fixed });
            if random.chance(0.1) {
                let k = 1e4 * random.part();
                frame.springs.push(Spring { node: foot, k: [0.0, 0.0, 0.0, k, k, 0.0] });
            }
            let turn = random.part();
            let z = Vector::new(turn.cos(), turn.sin(), 0.0);
            if random.chance(0.4) {
                let middle = frame.nodes.len();
                let share = 0.3 + 0.4 * random.part();
                frame.nodes.push(Point::new(px, py, top * share));
                frame.members.push(FrameMember::beam(foot, middle, 0, z));
                frame.members.push(FrameMember::beam(middle, foot + 1, 1, z));
            } else {
                frame.members.push(FrameMember::beam(foot, foot + 1, 0, z));
            }
            feet.push(foot);
            heads.push(foot + 1);
        }
    }
    let place = |x: usize, y: usize| x * (l + 1) + y;
    let mut pairs = Vec::new();
    for x in 0..=k {
        for y in 0..=l {
            if x < k {
                pairs.push((place(x, y), place(x + 1, y)));
            }
            if y < l {
                pairs.push((place(x, y), place(x, y + 1)));
            }
            if x < k && y < l && random.chance(braces * 0.5) {
                frame.members.push(FrameMember::bar(
                    heads[place(x, y)],
                    heads[place(x + 1, y + 1)],
                    1,
                ));
            }
        }
    }
    for (a, b) in pairs {
        if random.chance(0.95) {
            let member = ledger(random, heads[a], heads[b]);
            frame.members.push(member);
        }
        for (foot, head) in [(feet[a], heads[b]), (feet[b], heads[a])] {
            if random.chance(braces) {
                frame.members.push(FrameMember::bar(foot, head, 1));
            }
        }
    }
    frame
}

fn ledger(random: &mut Random, i: usize, j: usize) -> FrameMember {
    if random.chance(0.3) {
        return FrameMember::bar(i, j, 2);
    }
    let mut member = FrameMember::beam(i, j, 2, Vector::z());
    let kind = random.below(4);
    for end in 0..2 {
        let release = match kind {
            0 => Release::Rigid,
            1 => Release::Spring(2e3 + 1e5 * random.part()),
            _ => Release::Free,
        };
        member.release[end][1] = release;
        member.release[end][2] = release;
        if kind == 3 {
            member.release[end][0] = release;
        }
    }
    member
}

/// Loads on all heads and on some members.
pub fn loads(random: &mut Random, frame: &Frame) -> LoadCase {
    let mut case = LoadCase::default();
    for (node, p) in frame.nodes.iter().enumerate() {
        if p.z > 2.9 {
            let force = [
                200.0 * (random.part() - 0.5),
                200.0 * (random.part() - 0.5),
                -2000.0 * random.part(),
            ];
            case.nodal.push((node, [force[0], force[1], force[2], 0.0, 0.0, 0.0]));
        }
    }
    for member in 0..frame.members.len() {
        if random.chance(0.3) {
            case.uniform.push((member, [30.0 * random.part(), 0.0, -300.0 * random.part()]));
        }
    }
    case
}
