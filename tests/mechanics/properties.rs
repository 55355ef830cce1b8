//! What no change of view, order or unit may change, on frames at random.

use nalgebra::{Matrix3, Rotation3};
use proptest::prelude::*;
use standwell::assembly::model::{Point, Vector};
use standwell::mechanics::answers::{Inertia, Solution, Unknown};
use standwell::mechanics::frame::{
    ElementForm, Frame, FrameMember, LoadCase, Release, Section, Spring, Support,
};
use standwell::mechanics::mechanisms;
use standwell::mechanics::model::Model;

use super::random_frames::{Random, loads, storey};

/// What is compared: mechanisms and spins; and of a frame that stands, the solution, the lowest
/// factor and counts of either form. `None`: the engine says that it does not know, as happens where
/// bars come within a degree or so of being in line; that is no answer, and nothing is compared.
struct Answers {
    mechanisms: Option<usize>,
    spins: usize,
    solved: Option<Solved>,
}

struct Solved {
    solution: Solution,
    condition: f64,
    /// Infinite where there is none; `None` where the engine does not know.
    lowest: [Option<f64>; 2],
    counts: Vec<Inertia>,
}

fn answers(frame: &Frame, case: &LoadCase) -> Answers {
    let found = mechanisms::find(frame).unwrap();
    let mechanisms = known(found.count.clone());
    let solved = (mechanisms == Some(0)).then(|| {
        let solve = |form| {
            let model = Model::new(frame, form, &found.spin_pins).unwrap();
            let factored = model.factor().unwrap();
            let solution = factored.solve(case).unwrap();
            let condition = factored.condition();
            let lowest = match model.lowest(&solution.axial, 1) {
                Ok(modes) => Some(modes[0].factor),
                Err(Unknown::NoneUpTo(_)) => Some(f64::INFINITY),
                Err(Unknown::NotConverged(_) | Unknown::IllConditioned(_)) => None,
                Err(other) => panic!("{other}"),
            };
            // At fixed multiples of the lowest: away from it, so that no round-off decides.
            let at = lowest.filter(|f| f.is_finite()).unwrap_or(1.0);
            let counts = [0.5, 1.5, 3.3]
                .into_iter()
                .map(|f| model.inertia(&solution.axial, f * at).unwrap())
                .collect::<Vec<_>>();
            (solution, condition, lowest, counts)
        };
        let (solution, condition, exact, counts) = solve(ElementForm::Exact);
        let (_, _, cubic, _) = solve(ElementForm::Cubic);
        Solved { solution, condition, lowest: [exact, cubic], counts }
    });
    Answers { mechanisms, spins: found.spins, solved }
}

fn known(count: Result<usize, Unknown>) -> Option<usize> {
    match count {
        Ok(count) => Some(count),
        Err(Unknown::NoGap { low, high }) => {
            assert!(low < high);
            None
        }
        // Bars nearly in line: a motion that strains them by little more than round-off.
        Err(Unknown::NotConverged(_)) => None,
        Err(other) => panic!("{other}"),
    }
}

fn count(frame: &Frame) -> Option<usize> {
    known(mechanisms::find(frame).unwrap().count)
}

/// The same answers, displacements through `turn` and in units of `length`, forces of `force`.
fn same(a: &Answers, b: &Answers, turn: &Matrix3<f64>, units: [f64; 2], order: &[usize]) {
    if a.mechanisms.is_none() || b.mechanisms.is_none() {
        return;
    }
    assert_eq!((a.mechanisms, a.spins), (b.mechanisms, b.spins));
    assert_eq!(a.solved.is_some(), b.solved.is_some());
    let (Some(a), Some(b)) = (&a.solved, &b.solved) else { return };
    let [length, force] = units;
    // A turned or rescaled frame is rounded anew, which the condition makes larger: that of each, since each
    // answer is as far from the truth as its own allows. Bars nearly in line have another one turned.
    let digits = f64::max(1e-8, 10.0 * f64::EPSILON * a.condition.max(b.condition));
    let most =
        a.solution.displacement.iter().flat_map(|d| &d[..3]).fold(0.0, |m: f64, v| m.max(v.abs()));
    for (node, d) in a.solution.displacement.iter().enumerate() {
        let moved = turn * Vector::new(d[0], d[1], d[2]) * length;
        let other = &b.solution.displacement[order[node]];
        for axis in 0..3 {
            assert!((moved[axis] - other[axis]).abs() < digits * most * length, "node {node}");
        }
    }
    let largest = a.solution.axial.iter().fold(0.0, |m: f64, v| m.max(v.abs()));
    for (n, m) in a.solution.axial.iter().zip(&b.solution.axial) {
        assert!((n * force - m).abs() < digits * largest * force, "{n} {m}");
    }
    for (x, y) in a.lowest.iter().zip(&b.lowest) {
        let (Some(x), Some(y)) = (x, y) else { return };
        assert!(x == y || (x - y).abs() < f64::max(1e-6, digits) * x, "{x} {y}");
    }
    let counts = |s: &Solved| s.counts.iter().map(|c| c.negative).collect::<Vec<_>>();
    assert_eq!(counts(a), counts(b));
}

fn mapped(frame: &Frame, case: &LoadCase, m: &Matrix3<f64>) -> (Frame, LoadCase) {
    let mut frame = frame.clone();
    for p in &mut frame.nodes {
        *p = Point::from(m * p.coords);
    }
    for member in &mut frame.members {
        member.z = m * member.z;
    }
    let mut case = case.clone();
    let turn = |f: &mut [f64]| {
        let v = m * Vector::new(f[0], f[1], f[2]);
        f.copy_from_slice(v.as_slice());
    };
    case.nodal.iter_mut().for_each(|(_, f)| turn(&mut f[..3]));
    case.uniform.iter_mut().for_each(|(_, f)| turn(f));
    (frame, case)
}

fn straight(n: usize) -> Vec<usize> {
    (0..n).collect()
}

proptest! {
    #![proptest_config(ProptestConfig {
        cases: 64,
        failure_persistence: None,
        ..ProptestConfig::default()
    })]

    #[test]
    fn turning_about_the_vertical_changes_nothing(seed: u64, angle in 0.0..6.3) {
        let mut random = Random(seed);
        let frame = storey(&mut random, 0.6);
        let case = loads(&mut random, &frame);
        let turn = Rotation3::from_axis_angle(&Vector::z_axis(), angle).into_inner();
        let (turned, case_turned) = mapped(&frame, &case, &turn);
        let order = straight(frame.nodes.len());
        same(&answers(&frame, &case), &answers(&turned, &case_turned), &turn, [1.0, 1.0], &order);
    }

    #[test]
    fn mirroring_changes_nothing(seed: u64) {
        let mut random = Random(seed);
        let frame = storey(&mut random, 0.6);
        let case = loads(&mut random, &frame);
        let mirror = Matrix3::from_diagonal(&Vector::new(-1.0, 1.0, 1.0));
        let (other, case_other) = mapped(&frame, &case, &mirror);
        let order = straight(frame.nodes.len());
        same(&answers(&frame, &case), &answers(&other, &case_other), &mirror, [1.0, 1.0], &order);
    }

    #[test]
    fn the_order_of_nodes_changes_nothing(seed: u64) {
        shuffled(seed);
    }

    /// Metre and newton against inch and kip.
    #[test]
    fn units_change_nothing(seed: u64) {
        let mut random = Random(seed);
        let frame = storey(&mut random, 0.6);
        let case = loads(&mut random, &frame);
        let (length, force) = (1.0 / 0.0254, 1.0 / 4_448.221_615);
        let mut other = frame.clone();
        other.nodes.iter_mut().for_each(|p| *p = Point::from(p.coords * length));
        for s in &mut other.sections {
            let stress = force / (length * length);
            let fourth = length.powi(4);
            *s = Section {
                e: s.e * stress,
                g: s.g * stress,
                a: s.a * length * length,
                iy: s.iy * fourth,
                iz: s.iz * fourth,
                j: s.j * fourth,
            };
        }
        for release in other.members.iter_mut().flat_map(|m| m.release.as_flattened_mut()) {
            if let Release::Spring(k) = release {
                *k *= force * length;
            }
        }
        for spring in &mut other.springs {
            for dof in 0..6 {
                spring.k[dof] *= if dof < 3 { force / length } else { force * length };
            }
        }
        let mut case_other = case.clone();
        for (_, f) in &mut case_other.nodal {
            f[..3].iter_mut().for_each(|v| *v *= force);
        }
        for (_, f) in &mut case_other.uniform {
            f.iter_mut().for_each(|v| *v *= force / length);
        }
        let order = straight(frame.nodes.len());
        let unit = Matrix3::identity();
        same(&answers(&frame, &case), &answers(&other, &case_other), &unit, [length, force], &order);
    }

    /// Betti: the displacement at b by a force at a is that at a by one at b.
    #[test]
    fn reciprocity(seed: u64) {
        let mut random = Random(seed);
        let frame = storey(&mut random, 0.9);
        let found = mechanisms::find(&frame).unwrap();
        prop_assume!(found.count == Ok(0));
        let model = Model::new(&frame, ElementForm::Exact, &found.spin_pins).unwrap();
        let factored = model.factor().unwrap();
        let heads: Vec<usize> = (0..frame.nodes.len()).filter(|n| frame.nodes[*n].z > 2.9).collect();
        let dofs = [random.below(3), random.below(3)];
        let nodes = [heads[random.below(heads.len())], heads[random.below(heads.len())]];
        let by = |at: usize| {
            let mut f = [0.0; 6];
            f[dofs[at]] = 1e3;
            let case = LoadCase { nodal: vec![(nodes[at], f)], uniform: vec![] };
            factored.solve(&case).unwrap().displacement
        };
        let (first, second) = (by(0), by(1));
        let (a, b) = (first[nodes[1]][dofs[1]], second[nodes[0]][dofs[0]]);
        let most = first.iter().flatten().fold(0.0, |m: f64, v| m.max(v.abs()));
        prop_assert!((a - b).abs() < 1e-9 * most, "{a} {b}");
    }

    /// What the ground holds, asked by itself for many cases, is what each solution says.
    #[test]
    fn held_by_the_ground(seed: u64) {
        let mut random = Random(seed);
        let frame = storey(&mut random, 0.9);
        let found = mechanisms::find(&frame).unwrap();
        prop_assume!(found.count == Ok(0));
        let cases: Vec<_> = (0..3).map(|_| loads(&mut random, &frame).nodal).collect();
        let at: Vec<usize> = (0..frame.nodes.len()).collect();
        for form in [ElementForm::Exact, ElementForm::Cubic] {
            let model = Model::new(&frame, form, &found.spin_pins).unwrap();
            let factored = model.factor().unwrap();
            let held = factored.hold(&cases, &at).unwrap();
            prop_assert_eq!(held.len(), cases.len());
            for (held, nodal) in held.iter().zip(&cases) {
                let case = LoadCase { nodal: nodal.clone(), uniform: vec![] };
                let solution = factored.solve(&case).unwrap();
                let mut expected = vec![[0.0; 6]; at.len()];
                solution.reactions.iter().for_each(|(node, by)| expected[*node] = *by);
                let most = expected.iter().flatten().fold(0.0, |m: f64, v| m.max(v.abs()));
                // Round-off grows as the condition says.
                let off = most * (1e-9 + 1e-14 * factored.condition());
                for (by, expected) in held.by_ground.iter().flatten().zip(expected.iter().flatten()) {
                    prop_assert!((by - expected).abs() < off, "{by} N, {expected} N");
                }
                let up: f64 = held.by_ground.iter().map(|by| by[2]).sum();
                let down: f64 = nodal.iter().map(|(_, f)| -f[2]).sum();
                prop_assert!((up - down).abs() < off.max(1e-8 * down), "{up} N up, {down} N down");
            }
        }
    }

    /// Loads and answers grow together, and add.
    #[test]
    fn scaling_and_adding(seed: u64, factor in 0.1..10.0) {
        let mut random = Random(seed);
        let frame = storey(&mut random, 0.9);
        let found = mechanisms::find(&frame).unwrap();
        prop_assume!(found.count == Ok(0));
        let model = Model::new(&frame, ElementForm::Exact, &found.spin_pins).unwrap();
        let factored = model.factor().unwrap();
        let (one, two) = (loads(&mut random, &frame), loads(&mut random, &frame));
        let mut both = two.clone();
        for (node, f) in &one.nodal {
            both.nodal.push((*node, f.map(|v| v * factor)));
        }
        for (member, f) in &one.uniform {
            both.uniform.push((*member, f.map(|v| v * factor)));
        }
        let [a, b, c] = [&one, &two, &both].map(|case| factored.solve(case).unwrap());
        let most = c.end_forces.iter().flatten().flatten().fold(0.0, |m: f64, v| m.max(v.abs()));
        // Each of the three is rounded by itself, which the condition makes larger.
        let digits = f64::max(1e-8, f64::EPSILON * factored.condition());
        for member in 0..frame.members.len() {
            for end in 0..2 {
                for part in 0..6 {
                    let of = |s: &Solution| s.end_forces[member][end][part];
                    let off: f64 = factor * of(&a) + of(&b) - of(&c);
                    prop_assert!(off.abs() < digits * most);
                }
            }
        }
        // Half the forces, twice the critical factor.
        if let (Ok(x), Ok(y)) = (
            model.lowest(&a.axial, 1),
            model.lowest(&a.axial.iter().map(|n| n * factor).collect::<Vec<_>>(), 1),
        ) {
            let off: f64 = x[0].factor - factor * y[0].factor;
            prop_assert!(off.abs() < 1e-6 * x[0].factor);
        }
    }

    #[test]
    fn a_two_way_bar_never_adds_a_mechanism(seed: u64) {
        let mut random = Random(seed);
        let braces = random.part();
        let mut frame = storey(&mut random, braces);
        let mut before = count(&frame);
        for _ in 0..6 {
            let (i, j) = (random.below(frame.nodes.len()), random.below(frame.nodes.len()));
            if i == j {
                continue;
            }
            frame.members.push(FrameMember::bar(i, j, 1));
            let after = count(&frame);
            if let (Some(before), Some(after)) = (before, after) {
                prop_assert!(after == before || after + 1 == before, "{before} → {after}");
            }
            before = after;
        }
    }

    /// In the air it has the six motions of a rigid body more than bolted down to its shape.
    #[test]
    fn a_rigid_body_has_six_motions(seed: u64) {
        let mut random = Random(seed);
        let mut frame = storey(&mut random, 1.0);
        frame.springs.clear();
        // All feet joined to a stiff ring, all heads by all diagonals: one body.
        let feet: Vec<usize> = frame.supports.iter().map(|s| s.node).collect();
        frame.supports.clear();
        for (k, a) in feet.iter().enumerate() {
            for b in &feet[..k] {
                frame.members.push(FrameMember::bar(*a, *b, 1));
                frame.members.push(FrameMember::bar(*a + 1, *b + 1, 1));
                frame.members.push(FrameMember::bar(*a, *b + 1, 1));
                frame.members.push(FrameMember::bar(*a + 1, *b, 1));
            }
        }
        // A post beside it, so that there is ground at all.
        let lone = frame.nodes.len();
        frame.nodes.push(Point::new(-9.0, 0.0, 0.0));
        frame.nodes.push(Point::new(-9.0, 0.0, 3.0));
        frame.members.push(FrameMember::bar(lone, lone + 1, 0));
        frame.supports.push(Support::fixed(lone));
        let found = mechanisms::find(&frame).unwrap();
        prop_assume!(known(found.count.clone()).is_some());
        prop_assert_eq!(found.count.clone(), Ok(6 + 2));
        // And a spring to the ground in every direction at one node takes three of them.
        let k = [1e5, 1e5, 1e5, 0.0, 0.0, 0.0];
        frame.springs.push(Spring { node: feet[0], k });
        let found = mechanisms::find(&frame).unwrap();
        prop_assume!(known(found.count.clone()).is_some());
        prop_assert_eq!(found.count, Ok(3 + 2));
    }
}

fn shuffled(seed: u64) {
    let mut random = Random(seed);
    let frame = storey(&mut random, 0.6);
    let case = loads(&mut random, &frame);
    let n = frame.nodes.len();
    let mut order = straight(n);
    for k in (1..n).rev() {
        order.swap(k, random.below(k + 1));
    }
    let mut other = frame.clone();
    for (old, new) in order.iter().enumerate() {
        other.nodes[*new] = frame.nodes[old];
    }
    for m in &mut other.members {
        (m.i, m.j) = (order[m.i], order[m.j]);
    }
    other.supports.iter_mut().for_each(|s| s.node = order[s.node]);
    other.springs.iter_mut().for_each(|s| s.node = order[s.node]);
    let mut case_other = case.clone();
    case_other.nodal.iter_mut().for_each(|(node, _)| *node = order[*node]);
    let unit = Matrix3::identity();
    same(&answers(&frame, &case), &answers(&other, &case_other), &unit, [1.0, 1.0], &order);
}

/// A near-mechanism under compression: its lowest factor is about 2e-6, or not known, and never none.
#[test]
fn kept_orders_of_nodes() {
    shuffled(9_958_151_209_029_041_457);
}
