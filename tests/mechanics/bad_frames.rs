//! Frames that cannot be judged: a typed answer each, never a panic and never a number.

use standwell::assembly::model::{Point, Vector};
use standwell::mechanics::answers::Unknown;
use standwell::mechanics::frame::{
    ElementForm, Frame, FrameError, FrameMember, LoadCase, MemberKind, Release, Spring, Support,
};
use standwell::mechanics::mechanisms;
use standwell::mechanics::model::Model;

use super::frames::{at_heads, tower};

fn broken(change: impl Fn(&mut Frame)) -> FrameError {
    let mut frame = tower(1.2, 1.8, 3.0);
    change(&mut frame);
    let error = frame.check().unwrap_err();
    // In words: an error may hold a NaN, which is not equal to itself.
    let words = error.to_string();
    assert_eq!(mechanisms::find(&frame).unwrap_err().to_string(), words);
    assert_eq!(Model::new(&frame, ElementForm::Exact, &[]).unwrap_err().to_string(), words);
    error
}

#[test]
fn what_is_wrong_is_named() {
    use FrameError as E;
    assert_eq!(Frame::default().check(), Err(E::Empty));
    assert_eq!(broken(|f| f.supports.clear()), E::NoSupport);
    assert_eq!(broken(|f| f.supports.iter_mut().for_each(|s| s.fixed = [false; 6])), E::NoSupport);
    assert_eq!(broken(|f| f.nodes[3].y = f64::NAN), E::NodeNotFinite { node: 3 });
    assert_eq!(broken(|f| f.nodes[3].y = f64::INFINITY), E::NodeNotFinite { node: 3 });
    assert_eq!(broken(|f| f.members[2].j = 99), E::MemberNode { member: 2, node: 99, nodes: 8 });
    assert_eq!(
        broken(|f| f.members[2].section = 4),
        E::MemberSection { member: 2, section: 4, sections: 1 }
    );
    assert_eq!(
        broken(|f| f.members[5].j = f.members[5].i),
        E::ZeroLength { member: 5, length: 0.0 }
    );
    assert!(matches!(
        broken(|f| f.nodes[4] = f.nodes[0] + Vector::z() * 1e-12),
        E::ZeroLength { member: 0, .. }
    ));
    assert_eq!(broken(|f| f.members[1].z = Vector::zeros()), E::Orientation { member: 1 });
    assert_eq!(broken(|f| f.members[1].z = Vector::z()), E::Orientation { member: 1 });
    assert_eq!(
        broken(|f| f.sections[0].iy = -1.0),
        E::Section { section: 0, what: "Iy", value: -1.0 }
    );
    assert!(matches!(broken(|f| f.sections[0].e = f64::NAN), E::Section { what: "E", .. }));
    assert!(matches!(
        broken(|f| (f.sections[0].e, f.sections[0].a) = (1e200, 1e200)),
        E::Section { what: "E·A", .. }
    ));
    assert_eq!(broken(|f| f.sections[0].a = 0.0), E::NoAxialStiffness { member: 0, value: 0.0 });
    assert_eq!(
        broken(|f| f.members[0].release[1][2] = Release::Spring(0.0)),
        E::ReleaseSpring { member: 0, value: 0.0 }
    );
    assert_eq!(
        broken(|f| f.supports[1].node = 8),
        E::SupportNode { support: 1, node: 8, nodes: 8 }
    );
    assert_eq!(
        broken(|f| f.springs.push(Spring { node: 0, k: [-1.0; 6] })),
        E::SpringStiffness { spring: 0, value: -1.0 }
    );
}

#[test]
fn loads_and_forces_that_do_not_fit() {
    let frame = tower(1.2, 1.8, 3.0);
    let model = Model::new(&frame, ElementForm::Exact, &[]).unwrap();
    let factored = model.factor().unwrap();
    let solve = |case: LoadCase| factored.solve(&case).unwrap_err();
    let nodal = |node, force| LoadCase { nodal: vec![(node, [force; 6])], uniform: vec![] };
    assert!(matches!(solve(nodal(8, 1.0)), Unknown::Frame(FrameError::LoadIndex { .. })));
    assert!(matches!(solve(nodal(1, f64::NAN)), Unknown::Frame(FrameError::LoadNotFinite { .. })));
    let uniform = LoadCase { nodal: vec![], uniform: vec![(99, [0.0; 3])] };
    assert!(matches!(solve(uniform), Unknown::Frame(FrameError::LoadIndex { .. })));
    let count = frame.members.len();
    for (axial, factor) in
        [(vec![1.0], 1.0), (vec![f64::NAN; count], 1.0), (vec![-1.0; count], f64::NAN)]
    {
        assert!(matches!(model.inertia(&axial, factor), Err(Unknown::Frame(_))));
    }
    assert!(matches!(
        Model::new(&frame, ElementForm::Exact, &[(0, 6)]),
        Err(Unknown::Frame(FrameError::Pin { .. }))
    ));
}

/// A factorisation that goes through is no proof: a mechanism is never solved.
#[test]
fn a_mechanism_is_not_solved() {
    let mut frame = tower(1.2, 1.8, 3.0);
    // No diagonals: four mechanisms less the plan brace.
    frame.members.retain(|m| !(m.i < 4 && m.j >= 4 && m.j != m.i + 4));
    let found = mechanisms::find(&frame).unwrap();
    assert_eq!(found.count, Ok(3));
    for form in [ElementForm::Exact, ElementForm::Cubic] {
        let model = Model::new(&frame, form, &[]).unwrap();
        assert!(matches!(model.factor(), Err(Unknown::Singular { .. })));
        let axial = vec![-1.0; frame.members.len()];
        assert!(matches!(model.inertia(&axial, 1.0), Err(Unknown::Singular { .. })));
        // Pinned, a load that does no work on it is carried and one that does shows in the pins.
        let pinned = Model::new(&frame, form, &found.all_pins()).unwrap();
        let down = pinned.factor().unwrap().solve(&at_heads([0.0, 0.0, -1.0])).unwrap();
        assert!(down.pin_reactions.iter().all(|r| r.abs() < 1e-9));
        let side = pinned.factor().unwrap().solve(&at_heads([1.0, 0.0, 0.0])).unwrap();
        assert!(side.pin_reactions.iter().any(|r| r.abs() > 0.5));
    }
}

#[test]
fn loose_pieces_blind_nothing() {
    let mut frame = tower(1.2, 1.8, 3.0);
    // A bar in the air, a lone post, and a node nothing is joined to.
    for p in [(5.0, 5.0, 3.0), (6.0, 5.0, 3.0), (9.0, 0.0, 0.0), (9.0, 0.0, 3.0), (7.0, 7.0, 7.0)] {
        frame.nodes.push(Point::new(p.0, p.1, p.2));
    }
    frame.members.push(FrameMember::bar(8, 9, 0));
    frame.members.push(FrameMember::bar(10, 11, 0));
    frame.supports.push(Support::pin(10));
    let found = mechanisms::find(&frame).unwrap();
    // A bar in space: six less its spin; a post: two.
    assert_eq!(found.count, Ok(7));
    for motion in &found.motions {
        assert!((0..8).all(|n| motion[n] == [0.0; 6]), "the tower moves");
    }
    let model = Model::new(&frame, ElementForm::Exact, &found.all_pins()).unwrap();
    let factored = model.factor().unwrap();
    factored.solve(&at_heads([10.0, 0.0, -100.0])).unwrap();
    let lone = LoadCase { nodal: vec![(12, [1.0; 6])], uniform: vec![] };
    assert_eq!(factored.solve(&lone).unwrap_err(), Unknown::LoadOnNothing { node: 12 });
    // A moment on a head that only hinges meet.
    let mut hinged = tower(1.2, 1.8, 3.0);
    hinged.members[0].kind = MemberKind::Bar;
    let model = Model::new(&hinged, ElementForm::Exact, &[]).unwrap();
    let moment = LoadCase { nodal: vec![(4, [0.0, 0.0, 0.0, 1.0, 0.0, 0.0])], uniform: vec![] };
    assert_eq!(
        model.factor().unwrap().solve(&moment).unwrap_err(),
        Unknown::LoadOnNothing { node: 4 }
    );
}

#[test]
fn stiffness_ratios_beyond_the_digits_are_said() {
    for ratio in [1e3, 1e6, 1e9, 1e12, 1e15, 1e18] {
        let mut frame = tower(1.2, 1.8, 3.0);
        let stiff = frame.sections[0];
        frame.sections.push(standwell::mechanics::frame::Section { a: stiff.a * ratio, ..stiff });
        for member in frame.members.iter_mut().filter(|m| m.kind == MemberKind::Beam) {
            member.section = 1;
        }
        let model = Model::new(&frame, ElementForm::Exact, &[]).unwrap();
        let answer = model.factor().and_then(|f| f.solve(&at_heads([1.0, 0.0, -1.0])));
        match answer {
            Ok(solution) => {
                println!("ratio {ratio:e}: residual {:e}", solution.residual);
                // Overturning by hand: Σ H·h = (right feet − left feet)·b/2.
                let up: Vec<f64> = solution.reactions.iter().map(|r| r.1[2]).collect();
                let couple = (up[1] + up[2] - up[0] - up[3]) * 1.2 / 2.0;
                assert!((couple - 4.0 * 3.0).abs() < 1e-6 * 12.0, "{couple}");
            }
            Err(unknown) => {
                println!("ratio {ratio:e}: {unknown}");
                assert!(ratio >= 1e9, "given up at {ratio:e}: {unknown}");
            }
        }
    }
}

#[test]
fn forces_far_beyond_buckling_end() {
    let frame = tower(1.2, 1.8, 3.0);
    let model = Model::new(&frame, ElementForm::Exact, &[]).unwrap();
    let axial = vec![-1.0; frame.members.len()];
    let count = model.inertia(&axial, 1e9).map(|i| i.negative);
    println!("at 1e9: {count:?}");
    assert!(matches!(model.inertia(&axial, 1e30), Err(Unknown::IllConditioned(_))));
    assert!(matches!(model.lowest(&vec![0.0; axial.len()], 1), Err(Unknown::NoneUpTo(_))));
    let pulled = vec![1.0; axial.len()];
    let answer = model.lowest(&pulled, 1);
    println!("all in tension: {answer:?}");
    assert!(answer.is_err());
}

/// Tripods side by side: three feet, three bars, one load. By hand, every bar of a tripod of height
/// h whose feet lie r from its axis carries −P·√(h² + r²)/(3h).
fn tripods(count: usize) -> (Frame, LoadCase, f64) {
    let mut frame = Frame::default();
    frame.sections.push(tower(1.2, 1.8, 3.0).sections[0]);
    let mut case = LoadCase::default();
    let (height, radius) = (3.0, 1.0);
    for k in 0..count {
        let (x, y) = ((k % 1000) as f64 * 4.0, (k / 1000) as f64 * 4.0);
        let apex = frame.nodes.len();
        frame.nodes.push(Point::new(x, y, height));
        for foot in 0..3 {
            let angle = f64::from(foot) * std::f64::consts::TAU / 3.0;
            let node = frame.nodes.len();
            frame.nodes.push(Point::new(x + radius * angle.cos(), y + radius * angle.sin(), 0.0));
            frame.members.push(FrameMember::bar(node, apex, 0));
            frame.supports.push(Support::pin(node));
        }
        case.nodal.push((apex, [0.0, 0.0, -1000.0, 0.0, 0.0, 0.0]));
    }
    (frame, case, -1000.0 * height.hypot(radius) / (3.0 * height))
}

/// A million members end, with the right forces; and the one bad member among them is named.
#[test]
fn a_million_members() {
    let (mut frame, case, bar) = tripods(333_334);
    assert!(frame.members.len() > 1_000_000);
    let model = Model::new(&frame, ElementForm::Exact, &[]).unwrap();
    let solution = model.factor().unwrap().solve(&case).unwrap();
    for n in &solution.axial {
        assert!((n - bar).abs() < 1e-9 * bar.abs(), "{n} against {bar}");
    }
    drop(model);
    let last = frame.members.len() - 1;
    frame.members[last].i = frame.members[last].j;
    let error = Model::new(&frame, ElementForm::Exact, &[]).unwrap_err();
    assert!(
        matches!(error, Unknown::Frame(FrameError::ZeroLength { member, .. }) if member == last)
    );
}
