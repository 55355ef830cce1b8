//! Rigid bodies on contacts with friction, against closed forms.
//!
//! Source: Coulomb's law and moments about an edge (any textbook of statics), worked by hand beside
//! each case.

use standwell::assembly::model::{Point, Vector};
use standwell::equilibrium::pieces::statics::{
    Bar, Blocks, Contact, Cut, Growth, Sideways, growth,
};

const UP: Vector = Vector::new(0.0, 0.0, 1.0);

fn foot(body: usize, at: Point, friction: f64, plate: f64) -> Contact {
    let sideways = Sideways::Friction(friction);
    Contact { body, on: None, at, normal: UP, sideways, plate, uplift: 0.0 }
}

fn down(force: f64) -> Vector {
    Vector::new(0.0, 0.0, -force)
}

/// 1000 N on a plate 0.2 m wide, pushed with 100 N at a height.
fn block(friction: f64, height: f64, direction: [f64; 2], plane: Option<[f64; 2]>) -> Blocks {
    Blocks {
        bodies: vec![Point::origin()],
        contacts: vec![foot(0, Point::origin(), friction, 0.1)],
        dead: vec![(0, Point::new(0.0, 0.0, 1.0), down(1000.0))],
        live: vec![(
            0,
            Point::new(0.0, 0.0, height),
            Vector::new(direction[0], direction[1], 0.0) * 100.0,
        )],
        plane,
        ..Blocks::default()
    }
}

fn factor(blocks: &Blocks) -> f64 {
    growth(blocks).unwrap().factor()
}

fn near(a: f64, b: f64) {
    assert!((a - b).abs() < 1e-5 * b.abs().max(1.0), "{a} is not {b}");
}

#[test]
fn a_block_on_a_plane_slides_at_mu_and_tips_at_half_its_width_over_the_height() {
    for direction in [[1.0, 0.0], [0.0, -1.0], [0.6, 0.8], [-0.28, 0.96]] {
        for plane in [None, Some(direction)] {
            // 0.3 · 1000 / 100, whatever the direction: a cone, no polygon.
            near(factor(&block(0.3, 0.2, direction, plane)), 3.0);
            // 1000 · 0.1 / (100 · 2).
            near(factor(&block(0.3, 2.0, direction, plane)), 0.5);
            // Both at the same height: μ = b / h.
            near(factor(&block(0.3, 0.1 / 0.3, direction, plane)), 3.0);
        }
    }
}

#[test]
fn the_motion_is_the_fall() {
    // Sliding: along the push, level but for the climb of the flow rule, without turning.
    let Growth::To(_, motion) = growth(&block(0.3, 0.2, [0.6, 0.8], None)).unwrap() else {
        panic!("it slides")
    };
    let moves = motion[0].moves;
    near(moves.y / moves.x, 0.8 / 0.6);
    near(moves.z / moves.x.hypot(moves.y), 0.3);
    assert!(motion[0].turns.iter().all(|t| t.abs() < 1e-6));
    // Tipping along x: it turns about y, its head goes with the push, the plate's middle comes up.
    let Growth::To(_, motion) = growth(&block(0.3, 2.0, [1.0, 0.0], None)).unwrap() else {
        panic!("it tips")
    };
    let head = motion[0].at(Vector::new(0.0, 0.0, 2.0));
    assert!(head.x > 0.0 && head.y.abs() < 1e-6);
    near(motion[0].moves.z / motion[0].turns[1], 0.1);
}

/// One rigid body on four feet, two metres by one.
fn table(direction: [f64; 2]) -> Blocks {
    let feet = [[1.0, 0.5], [1.0, -0.5], [-1.0, 0.5], [-1.0, -0.5]];
    Blocks {
        bodies: vec![Point::origin()],
        contacts: feet.iter().map(|[x, y]| foot(0, Point::new(*x, *y, 0.0), 10.0, 0.0)).collect(),
        dead: vec![(0, Point::new(0.0, 0.0, 3.0), down(1000.0))],
        live: vec![(
            0,
            Point::new(0.0, 0.0, 3.0),
            Vector::new(direction[0], direction[1], 0.0) * 100.0,
        )],
        ..Blocks::default()
    }
}

#[test]
fn four_feet_tip_about_the_nearer_edge() {
    near(factor(&table([1.0, 0.0])), 1000.0 * 1.0 / 300.0);
    near(factor(&table([0.0, 1.0])), 1000.0 * 0.5 / 300.0);
    // About the long edge whatever part of the push goes along it.
    near(factor(&table([0.6, 0.8])), 1000.0 * 0.5 / (300.0 * 0.8));
}

#[test]
fn on_a_slope_less_is_left_downhill() {
    // H = W (μ − s) / (1 + μ s) downhill, W (μ + s) / (1 − μ s) uphill, from the balance along and
    // square to the slope.
    let (mu, s) = (0.3, 0.1);
    for (sense, expected) in [(1.0, (mu - s) / (1.0 + mu * s)), (-1.0, (mu + s) / (1.0 - mu * s))] {
        let mut blocks = block(mu, 0.0, [sense, 0.0], None);
        // Falls towards +x.
        blocks.contacts[0].normal = Vector::new(s, 0.0, 1.0).normalize();
        near(factor(&blocks), 10.0 * expected);
    }
    // Steeper than the friction: not even its weight stays.
    let mut blocks = block(0.3, 0.0, [1.0, 0.0], None);
    blocks.contacts[0].normal = Vector::new(0.35, 0.0, 1.0).normalize();
    assert!(matches!(growth(&blocks).unwrap(), Growth::Not(_)));
}

/// Two posts 2 m apart and 3 m tall on pinned feet, a ledger and one diagonal; 100 N at each head
/// and 50 N at each foot; 40 N pushes at the left head towards the right.
fn bay(rising: bool, diagonal: f64, plane: Option<[f64; 2]>) -> Blocks {
    let p = |x: f64, z: f64| Point::new(x, 0.0, z);
    let bar = |a: (usize, Point), b: (usize, Point), strength: f64| Bar {
        ends: [(Some(a.0), a.1), (Some(b.0), b.1)],
        pull: strength,
        push: strength,
    };
    let ends = if rising {
        [(0, p(0.0, 0.0)), (1, p(2.0, 3.0))]
    } else {
        [(0, p(0.0, 3.0)), (1, p(2.0, 0.0))]
    };
    Blocks {
        bodies: vec![p(0.0, 0.0), p(2.0, 0.0)],
        bars: vec![
            bar((0, p(0.0, 3.0)), (1, p(2.0, 3.0)), f64::INFINITY),
            bar(ends[0], ends[1], diagonal),
        ],
        contacts: vec![foot(0, p(0.0, 0.0), 10.0, 0.0), foot(1, p(2.0, 0.0), 10.0, 0.0)],
        dead: [0.0, 2.0]
            .iter()
            .enumerate()
            .flat_map(|(k, &x)| [(k, p(x, 3.0), down(100.0)), (k, p(x, 0.0), down(50.0))])
            .collect(),
        live: vec![(0, p(0.0, 3.0), Vector::new(40.0, 0.0, 0.0))],
        plane,
        ..Blocks::default()
    }
}

const RISING: f64 = 300.0 / 3.2 / 40.0;

#[test]
fn a_braced_bay_tips_at_the_weight_of_its_windward_post() {
    for plane in [None, Some([1.0, 0.0])] {
        // H · 3 = 150 · 2: H = 100. The falling diagonal brings the push to the leeward foot.
        near(factor(&bay(false, f64::INFINITY, plane)), 2.5);
        // The rising one holds it at the windward foot, which must go on bearing H/10 for that at a
        // coefficient of 10: H · 3 = (150 − H/10) · 2.
        near(factor(&bay(true, f64::INFINITY, plane)), RISING);
    }
}

#[test]
fn a_diagonal_carries_no_more_than_its_strength() {
    // 50 N along a diagonal of 2 in 3: 50 · 2/√13 sideways.
    near(factor(&bay(true, 50.0, None)), 50.0 * 2.0 / 13.0_f64.sqrt() / 40.0);
}

#[test]
fn a_post_that_is_not_joined_hangs_nothing_on_its_head() {
    let cut = vec![Cut { body: 0, level: 1.5 }];
    // The falling diagonal pushes the windward head up: only the 100 N above the cut hold it.
    let blocks = Blocks { cuts: cut.clone(), ..bay(false, f64::INFINITY, None) };
    near(factor(&blocks), 100.0 * 2.0 / 3.0 / 40.0);
    // The rising one pulls at its foot, and all of the post is above that.
    let blocks = Blocks { cuts: cut, ..bay(true, f64::INFINITY, None) };
    near(factor(&blocks), RISING);
}

#[test]
fn friction_is_where_the_weight_is() {
    let slippery = |mut blocks: Blocks| {
        blocks.contacts.iter_mut().for_each(|c| c.sideways = Sideways::Friction(0.2));
        factor(&blocks)
    };
    let plane = Some([1.0, 0.0]);
    // One diagonal brings all of the push to one foot: the windward one, which it relieves,
    // H = 0.2 (150 − 1.5 H), or the leeward one, which it presses down, H = 0.2 (150 + 1.5 H).
    near(slippery(bay(true, f64::INFINITY, plane)), 30.0 / 1.3 / 40.0);
    near(slippery(bay(false, f64::INFINITY, plane)), 30.0 / 0.7 / 40.0);
    // With both, the feet slide together: 0.2 · 300, however the weight shifts between them.
    let mut both = bay(true, f64::INFINITY, plane);
    both.bars.extend(bay(false, f64::INFINITY, plane).bars);
    near(slippery(both), 60.0 / 40.0);
    // A tie to something that does not move holds without limit.
    let mut blocks = bay(true, f64::INFINITY, None);
    blocks.bars.push(Bar {
        ends: [(None, Point::new(-1.0, 0.0, 3.0)), (Some(0), Point::new(0.0, 0.0, 3.0))],
        pull: f64::INFINITY,
        push: f64::INFINITY,
    });
    assert_eq!(growth(&blocks).unwrap(), Growth::Free);
}

#[test]
fn what_cannot_be_judged_is_said() {
    let mut blocks = block(0.3, 1.0, [1.0, 0.0], None);
    blocks.dead[0].2.z = f64::NAN;
    assert!(growth(&blocks).is_err());
    // A load past the edge of its plate is not balanced at all.
    let mut blocks = block(0.3, 1.0, [1.0, 0.0], None);
    blocks.dead[0].1.x = 0.15;
    let grown = growth(&blocks).unwrap();
    assert!(matches!(grown, Growth::Not(_)));
    near(grown.factor(), 0.0);
}

/// A ledger on two posts as a rigid body: what lies on the back span stands still, what lies past
/// the outer post grows. The back support pulls up to `held`, newtons.
fn see_saw(back: f64, over: f64, on_back: f64, on_over: f64, tip: f64, held: f64) -> f64 {
    let at = |x: f64| Point::new(x, 0.0, 3.0);
    let rest = |x: f64, uplift: f64| Contact { uplift, ..foot(0, at(x), 0.0, 0.0) };
    let blocks = Blocks {
        bodies: vec![at(back)],
        contacts: vec![rest(0.0, held), rest(back, 0.0)],
        dead: vec![(0, at(0.5 * back), down(on_back * back))],
        live: vec![
            (0, at(back + 0.5 * over), down(on_over * over)),
            (0, at(back + over), down(tip)),
        ],
        plane: Some([1.0, 0.0]),
        ..Blocks::default()
    };
    factor(&blocks)
}

#[test]
fn the_see_saw_of_a_ledger_comes_out_of_the_program() {
    use super::plain::TABLE;
    use crate::loads::fixture::{FT, LB, PLF};
    for ([back, over, weight, tip], expected, balance, required) in TABLE {
        let with = |held: f64| {
            see_saw(back * FT, over * FT, weight * PLF, weight * PLF, tip * LB, held * LB)
        };
        // The table rounds the factor to three digits and the pulls to whole pounds.
        assert!((with(0.0) - expected).abs() < 0.0006);
        if balance > 0.0 {
            let per_pound = (with(1.0) - with(0.0)).abs();
            assert!((with(balance) - 1.0).abs() < 0.51 * per_pound, "{}", with(balance));
            assert!((with(required) - 1.5).abs() < 0.51 * per_pound, "{}", with(required));
        }
    }
    // Longest overhang at 8 ft, 10 plf, 250 lb for 1.5: 0.84 ft.
    let longest = |a: f64| see_saw(8.0 * FT, a * FT, 10.0 * PLF, 10.0 * PLF, 250.0 * LB, 0.0);
    assert!(longest(0.835) > 1.5 && longest(0.845) < 1.5);
    // Uniform load: balance at a = L, 1.5 at a = L √(2/3) = 0.816 L.
    near(see_saw(2.0, 2.0, 100.0, 100.0, 0.0, 0.0), 1.0);
    near(see_saw(2.0, 2.0 * (2.0_f64 / 3.0).sqrt(), 100.0, 100.0, 0.0, 0.0), 1.5);
    // 600 plf of concrete on the 3 ft overhang first: 320 / 2745 = 0.117; on the back span first it
    // is (10 + 600) · 32 / 45.
    near(see_saw(8.0, 3.0, 10.0, 610.0, 0.0, 0.0), 320.0 / 2745.0);
    near(see_saw(8.0, 3.0, 610.0, 10.0, 0.0, 0.0), 610.0 * 32.0 / 45.0);
}
