//! Random sequences: members put in, taken out, held and let go, joints hung, locked and let down,
//! in any order the parts allow. At every stage
//!
//! * the judge that went through all stages before says the same, bit for bit, as one that sees
//!   the stage alone: verdicts, counts, forces, factors, modes;
//! * its forces are those of the whole frame, factorised as one sparse matrix with nothing condensed
//!   out, to the larger of 1e-8 and 10·ε·condition of the largest force;
//! * its verdict on the critical factor lies between those of the whole frame under the forces as
//!   they are and under forces a little above the bands the proof rounds them up into;
//! * its count of mechanisms is that of singular values (`dense_rank`).

use super::sequences::{dense_rank, laid_out};
use standwell::assembly::{self, Assembly, JointKind, MemberId};
use standwell::criteria::Pack;
use standwell::loads::{LoadState, head_lateral_parts, take_down};
use standwell::mechanics::answers::Unknown;
use standwell::mechanics::frame::{ElementForm, LoadCase};
use standwell::mechanics::mechanisms;
use standwell::mechanics::model::Model;
use standwell::mechanics::stage::{Judge, cases, idealise};
use standwell::mechanics::{StageMechanics, Verdict, judge_stage};
use standwell::scene;
use standwell::sequence::{self, JointState, MemberState, Sequence, Stage};
use std::path::Path;

/// A small generator that gives the same numbers everywhere (xorshift, Marsaglia 2003).
pub struct Seeded(u64);

impl Seeded {
    /// Other numbers for each value of `STANDWELL_SEEDS`; its seed's own ones without it, as it is run
    /// for every change.
    pub fn new(seed: u64) -> Self {
        Self::draw(seed, 0)
    }

    /// The numbers of a draw; that of none is the seed's own.
    pub fn draw(seed: u64, draw: u64) -> Self {
        let other: u64 = std::env::var("STANDWELL_SEEDS").map_or(0, |text| text.parse().unwrap());
        // The golden ratio's bits, so that neighbouring draws have nothing in common.
        Self((seed ^ (other + draw).wrapping_mul(0x9e37_79b9_7f4a_7c15)).max(1))
    }

    pub fn below(&mut self, n: usize) -> usize {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 % n as u64) as usize
    }

    /// From zero to one.
    pub fn unit(&mut self) -> f64 {
        self.below(1 << 20) as f64 / f64::from(1u32 << 20)
    }
}

/// A floor of the generator, as `standwell grid` writes it.
pub fn grid(bays: (u32, u32)) -> (Assembly, Pack, Sequence) {
    floor(bays, false)
}

/// The same with its deck.
pub fn floor(bays: (u32, u32), deck: bool) -> (Assembly, Pack, Sequence) {
    let text = standwell::cli::grid::floor(bays, deck).unwrap();
    let loaded = scene::read(&text, Path::new("grid.ron")).unwrap();
    let assembly = assembly::build(&loaded.scene, &loaded.library, &loaded.source).unwrap();
    let sequence = sequence::run(&assembly, &loaded.source).unwrap();
    (assembly, loaded.pack, sequence)
}

/// Puts a member in, on what is there. False: something it needs is missing.
fn put_in(assembly: &Assembly, stage: &mut Stage, member: MemberId, random: &mut Seeded) -> bool {
    let own: Vec<_> = assembly
        .joints_of(member)
        .iter()
        .map(|&j| assembly.joint(j))
        .filter(|j| j.member == member)
        .collect();
    let missing =
        |j: &&assembly::Joint| j.carrier.is_some_and(|carrier| !stage.state(carrier).is_there());
    if own.iter().any(missing) {
        return false;
    }
    let hung = random.below(3) == 0;
    for joint in own {
        stage.joints[joint.id.index()] = match joint.kind {
            JointKind::Head | JointKind::Coupler if hung => JointState::Hung,
            JointKind::Head | JointKind::Coupler | JointKind::Clip | JointKind::Tie => {
                JointState::Locked
            }
            _ => JointState::Hung,
        };
    }
    stage.members[member.index()] = MemberState::Standing;
    true
}

/// Takes a member out, and first what hangs on it.
fn take_out(assembly: &Assembly, stage: &mut Stage, member: MemberId) {
    stage.members[member.index()] = MemberState::Absent;
    for &j in assembly.joints_of(member) {
        stage.joints[j.index()] = JointState::Open;
        let joint = assembly.joint(j);
        if joint.carrier == Some(member) && stage.state(joint.member).is_there() {
            take_out(assembly, stage, joint.member);
        }
    }
}

/// One random change; what was done, in words.
pub fn change(assembly: &Assembly, stage: &mut Stage, random: &mut Seeded) -> String {
    loop {
        let member = MemberId(random.below(assembly.members.len()) as u32);
        let name = assembly.name(member);
        if !stage.state(member).is_there() {
            if put_in(assembly, stage, member, random) {
                return format!("{name} put in");
            }
            continue;
        }
        match random.below(8) {
            0 => {
                take_out(assembly, stage, member);
                return format!("{name} taken out");
            }
            1 if assembly.member(member).is_post() => {
                let held = stage.state(member).is_held();
                stage.members[member.index()] =
                    if held { MemberState::Standing } else { MemberState::Held(1) };
                return format!("{name} held or let go");
            }
            2 => {
                let own: Vec<_> = assembly
                    .joints_of(member)
                    .iter()
                    .copied()
                    .filter(|&j| {
                        let joint = assembly.joint(j);
                        joint.member == member
                            && matches!(joint.kind, JointKind::Head | JointKind::Coupler)
                    })
                    .collect();
                if own.is_empty() {
                    continue;
                }
                let joint = own[random.below(own.len())];
                let states = [JointState::Hung, JointState::Locked, JointState::Lowered];
                stage.joints[joint.index()] = states[random.below(3)];
                return format!("{name} fixed otherwise");
            }
            _ => {}
        }
    }
}

/// What the comparison with the whole frame came to.
#[derive(Default)]
struct Seen {
    stages: usize,
    forces: usize,
    worst: f64,
    proofs: usize,
    not_met: usize,
    loose: usize,
    unknown: usize,
}

/// Forces and proof of the whole frame against the judge's.
fn against_the_whole(
    assembly: &Assembly,
    pack: &Pack,
    stage: &Stage,
    loads: &LoadState,
    found: &StageMechanics,
    seen: &mut Seen,
) {
    let frame = idealise::idealise(assembly, stage);
    if frame.posts.is_empty() || !frame.unknown.is_empty() {
        return;
    }
    let motions = mechanisms::find(&frame.frame).unwrap();
    let model = Model::new(&frame.frame, ElementForm::Exact, &motions.all_pins()).unwrap();
    let factored = match model.factor() {
        Ok(factored) => factored,
        // Too ill-conditioned for numbers: the judge must not give any either.
        Err(Unknown::IllConditioned(_)) => {
            assert!(matches!(found.critical, Verdict::Unknown(_)), "{}", stage.step);
            seen.unknown += 1;
            return;
        }
        Err(other) => panic!("{}: {other}", stage.step),
    };
    let weight = cases::weight(assembly, loads, &frame);
    let mut all = vec![weight.clone()];
    for axis in cases::axes(assembly) {
        for sense in [1.0, -1.0] {
            let mut case: LoadCase = weight.clone();
            for &post in frame.posts.keys() {
                let lateral = head_lateral_parts(assembly, pack, stage, loads, post);
                let force = lateral.notional.max(lateral.wind);
                let direction = [axis[0] * sense, axis[1] * sense];
                case.nodal.push(cases::sideways(frame.head(post).unwrap(), direction, force));
            }
            all.push(case);
        }
    }
    // Contact changes the frame, and is held by the linear program elsewhere.
    if found.lateral != Verdict::Met || !found.lifting_feet.is_empty() {
        return;
    }
    let solved: Vec<_> = all.iter().map(|case| factored.solve(case).unwrap()).collect();
    let limit = (10.0 * f64::EPSILON * factored.condition()).max(1e-8);
    let largest = solved.iter().flat_map(|s| &s.axial).fold(1.0, |m: f64, n| m.max(n.abs()));
    let mut compression = vec![0.0f64; frame.frame.members.len()];
    let (mut least, mut greatest) = (vec![f64::INFINITY; assembly.members.len()], Vec::new());
    greatest.resize(assembly.members.len(), f64::NEG_INFINITY);
    for solution in &solved {
        for (k, &n) in solution.axial.iter().enumerate() {
            let member = frame.of[k].index();
            least[member] = f64::min(least[member], n);
            greatest[member] = f64::max(greatest[member], n);
            compression[k] = compression[k].min(n);
        }
    }
    for &member in &frame.of {
        let (ours, k) = (found.axial.get(member.index()).unwrap(), member.index());
        let off = (ours.least - least[k]).abs().max((ours.greatest - greatest[k]).abs()) / largest;
        assert!(off <= limit, "{}: {} off by {off:e}", stage.step, assembly.name(member));
        seen.worst = seen.worst.max(off);
    }
    seen.forces += 1;
    // A post carries at least what the take-down brings to its foot; bands reach one hundredth up.
    let scaled = |by: f64| -> Vec<f64> {
        let each = compression.iter().zip(&frame.of);
        each.map(|(n, &of)| {
            let post = assembly.member(of).is_post();
            let n = if post { n.min(-loads.at_foot[of.index()]) } else { *n };
            if n < 0.0 { (n * by).min(if by > 1.0 { -10.0 * by } else { 0.0 }) } else { 0.0 }
        })
        .collect()
    };
    let negative = |by: f64| model.inertia(&scaled(by), found.required_factor).map(|i| i.negative);
    match found.critical {
        Verdict::Met => {
            assert!(negative(0.999).is_ok_and(|n| n == 0), "{}: wrongly met", stage.step);
        }
        Verdict::NotMet => {
            assert!(!negative(1.011).is_ok_and(|n| n == 0), "{}: wrongly not met", stage.step);
            seen.not_met += 1;
        }
        Verdict::Unknown(_) => seen.unknown += 1,
    }
    seen.proofs += 1;
}

fn go(
    name: &str,
    (assembly, pack, sound): (Assembly, Pack, Sequence),
    mut random: Seeded,
    seen: &mut Seen,
) {
    for run in 0..6 {
        let mut judge = Judge::new(&assembly, &pack);
        // Every other run starts from the finished floor, and again every fourth step, since few
        // changes leave it without a mechanism; the others start from nothing.
        let finished = sound.stages.last().unwrap();
        let mut stage = finished.clone();
        if run % 2 == 1 {
            stage.members.fill(MemberState::Absent);
            stage.joints.fill(JointState::Open);
        }
        for step in 0..40 {
            if run % 2 == 0 && step % 4 == 0 {
                stage = finished.clone();
            }
            let what: Vec<String> =
                (0..=random.below(3)).map(|_| change(&assembly, &mut stage, &mut random)).collect();
            stage.index = step;
            stage.step = format!("{name} {run}.{step}: {}", what.join(", "));
            let loads = take_down(&assembly, &pack, &stage);
            let kept = judge.stage(&stage, &loads);
            let fresh = judge_stage(&assembly, &pack, &stage, &loads);
            assert_eq!(kept, fresh, "{}", stage.step);
            assert_eq!(kept.mechanisms.len(), dense_rank(&assembly, &stage), "{}", stage.step);
            seen.loose += usize::from(!kept.mechanisms.is_empty());
            seen.stages += 1;
            against_the_whole(&assembly, &pack, &stage, &loads, &kept, seen);
        }
    }
}

#[test]
fn random_sequences_are_judged_as_from_nothing_and_as_the_whole_frame() {
    let mut seen = Seen::default();
    go("grid", grid((4, 3)), Seeded::new(4_071), &mut seen);
    go("slab-edge", laid_out("slab-edge"), Seeded::new(90_211), &mut seen);
    // A draw in which a line is taken over from a division with other nodes that have two ways down.
    go("slab-edge", laid_out("slab-edge"), Seeded::draw(90_211, 2016), &mut seen);
    println!(
        "{} stages, {} with mechanisms; forces of {} to {:.1e}; {} proofs, {} not met, {} unknown",
        seen.stages, seen.loose, seen.forces, seen.worst, seen.proofs, seen.not_met, seen.unknown
    );
    assert!(seen.loose > 50 && seen.stages - seen.loose > 20, "both kinds must be there");
    assert!(seen.forces > 100, "forces were compared at {} stages only", seen.forces);
}

/// The same comparison with the whole frame at every stage of every shipped scene.
#[test]
fn shipped_scenes_have_the_forces_and_proofs_of_the_whole_frame() {
    let mut seen = Seen::default();
    for name in super::sequences::SCENES {
        let (assembly, pack, sequence) = laid_out(name);
        let mut judge = Judge::new(&assembly, &pack);
        for stage in &sequence.stages {
            let loads = take_down(&assembly, &pack, stage);
            let found = judge.stage(stage, &loads);
            seen.stages += 1;
            against_the_whole(&assembly, &pack, stage, &loads, &found, &mut seen);
        }
    }
    println!(
        "{} stages; forces of {} to {:.1e}; {} proofs, {} not met, {} unknown",
        seen.stages, seen.forces, seen.worst, seen.proofs, seen.not_met, seen.unknown
    );
    assert!(seen.forces > 200, "forces were compared at {} stages only", seen.forces);
}
