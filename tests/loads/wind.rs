//! Wind on what stands up from the deck, against q·c·A worked by hand.
//!
//! Source: velocity pressure 0.613 v² and a flat face's coefficient of 1.8 (EN 1991-1-4 7.4.3, from
//! memory); shares and levers by statics.

use super::fixture::{BEARING, HOOKED, Site, pack};
use standwell::assembly::{Assembly, JointKind, MemberId, Role};
use standwell::loads::{LoadState, head_facing, head_lateral_parts, take_down};
use standwell::scene::model::{LoadKind, LoadPlace, LoadText, StackText};
use standwell::sequence::{JointState, Stage};
use standwell::units::{Force, Length};

fn near(a: f64, b: f64) {
    assert!((a - b).abs() < 1e-9 * b.abs().max(1.0), "{a} is not {b}");
}

/// A ledger of 4 m between two posts of 3 m with a stack of 1200 N a quarter of the way.
fn site(stack: Option<StackText>) -> Site {
    let mut site = Site::default();
    site.post("A1", 0.0, 0.0).post("B1", 4.0, 0.0);
    site.member("l", Role::Ledger, [0.0, 0.0, 3.0], [4.0, 0.0, 3.0], 100.0);
    site.joint(JointKind::Head, "l", 0.0, Some(("A1", 3.0)), HOOKED, JointState::Locked);
    site.joint(JointKind::Head, "l", 4.0, Some(("B1", 3.0)), HOOKED, JointState::Locked);
    site.loads.push(LoadText {
        name: "stack".into(),
        kind: LoadKind::Bundle,
        on: LoadPlace::Point { member: "l".into(), at: Length(1.0), weight: Force(1200.0) },
        stack,
    });
    site
}

fn run(site: &Site) -> (Assembly, Stage, LoadState) {
    let (assembly, stage) = site.build();
    let loads = take_down(&assembly, &pack(), &stage);
    (assembly, stage, loads)
}

fn id(assembly: &Assembly, name: &str) -> MemberId {
    assembly.find(name).unwrap()
}

/// 10 m/s on a flat face, pascals.
const FLAT: f64 = 0.613 * 100.0 * 1.8;

#[test]
fn a_stack_s_wind_is_shared_as_its_weight_and_acts_at_its_middle() {
    let stack = StackText { height: Length(0.8), across: Some(Length(1.5)) };
    let (assembly, stage, loads) = run(&site(Some(stack)));
    assert!(loads.assumed.is_empty());
    for (post, share) in [("A1", 0.75), ("B1", 0.25)] {
        let post = id(&assembly, post);
        let facing = head_facing(&assembly, &pack(), &stage, &loads, post);
        for way in [[1.0, 0.0], [0.0, -1.0]] {
            let (force, above) = facing.sails_along(way);
            near(force, FLAT * 0.8 * 1.5 * share);
            near(above, 0.4);
        }
        // No sizes in the library here: nothing else catches the wind. At the head it counts with
        // the lever it has about the foot.
        let parts = head_lateral_parts(&assembly, &pack(), &stage, &loads, post);
        near(parts.wind, FLAT * 0.8 * 1.5 * share * (3.0 + 0.4) / 3.0);
        near(parts.sails, parts.wind);
    }
    let total: f64 = loads.sails.iter().map(|s| s.area[0]).sum();
    near(total, 0.8 * 1.5);
}

#[test]
fn a_stack_without_height_is_taken_on_the_safe_side_and_said() {
    let (_, _, loads) = run(&site(None));
    // A cube of 300 kg/m³.
    let side = f64::cbrt(1200.0 / (300.0 * 9.806_65));
    let total: f64 = loads.sails.iter().map(|s| s.area[0]).sum();
    near(total, side * side);
    assert_eq!(loads.assumed.len(), 1, "{:?}", loads.assumed);
    // The real one, of plywood at 600 kg/m³, 1.2 m by 0.6 m, is lower: 0.28 m.
    let real = 1200.0 / (600.0 * 9.806_65 * 1.2 * 0.6);
    assert!(real * 1.2 < total);
}

#[test]
fn a_stack_on_an_area_faces_the_wind_with_its_sides() {
    // 2 m by 1 m on a sheet, 1.5 kPa, half a metre high: 0.5 m² along x, 1 m² along y.
    let mut site = Site::default();
    for (name, x, y) in [("A1", 0.0, 0.0), ("B1", 2.0, 0.0), ("A2", 0.0, 2.0), ("B2", 2.0, 2.0)] {
        site.post(name, x, y);
    }
    let south = site.ledger("A1", "B1");
    let north = site.ledger("A2", "B2");
    site.member("s", Role::Sheet, [0.0, 0.0, 3.1], [2.0, 2.0, 3.1], 200.0);
    for (k, ledger) in [south, north].iter().enumerate() {
        let at = 2.0 * k as f64;
        site.joint(JointKind::Rest, "s", at, Some((ledger, 0.0)), BEARING, JointState::Hung);
    }
    site.loads.push(LoadText {
        name: "sheets".into(),
        kind: LoadKind::Bundle,
        on: LoadPlace::Area {
            from: (Length(0.0), Length(0.5)),
            to: (Length(2.0), Length(1.5)),
            load: standwell::units::Pressure(1500.0),
        },
        stack: Some(StackText { height: Length(0.5), across: None }),
    });
    let (assembly, stage, loads) = run(&site);
    let sum = |way: [f64; 2]| -> f64 {
        let posts = assembly.members.iter().filter(|m| m.is_post());
        posts
            .map(|m| head_facing(&assembly, &pack(), &stage, &loads, m.id).sails_along(way).0)
            .sum()
    };
    near(sum([1.0, 0.0]), FLAT * 0.5 * 1.0);
    near(sum([0.0, 1.0]), FLAT * 0.5 * 2.0);
    // The deck lies 0.1 m above the heads.
    near(loads.sails[0].above, 0.1 + 0.25);
}
