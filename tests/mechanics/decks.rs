//! Nailed decks as plates in plan: counts of mechanisms, stiffness and torsion against statics.

use crate::loads::fixture::{BEARING, Site, pack};
use standwell::assembly::{JointKind, Role};
use standwell::equipment::model::Diaphragm;
use standwell::loads::take_down;
use standwell::mechanics::frame::{ElementForm, LoadCase};
use standwell::mechanics::model::Model;
use standwell::mechanics::stage::idealise::idealise;
use standwell::mechanics::{StageMechanics, judge_stage};
use standwell::sequence::JointState;
use standwell::units::{LineLoad, Speed, Stiffness};

const STIFFNESS: f64 = 8e5;

/// Posts at 2 m, walls each way as listed (both diagonals), ledgers round every bay of `bays`.
fn site(posts: &str, walls: &str, bays: &str) -> Site {
    let mut site = Site::default();
    site.library = super::stage::library();
    for at in posts.split_whitespace() {
        let mut chars = at.bytes();
        let x = f64::from(chars.next().unwrap() - b'A');
        let y = f64::from(chars.next().unwrap() - b'1');
        site.post(&post(at), 2.0 * x, 2.0 * y);
    }
    let mut hung = std::collections::BTreeSet::new();
    for bay in bays.split_whitespace() {
        let (a, b) = bay.split_once('-').unwrap();
        let (c, d) = (format!("{}{}", &b[..1], &a[1..]), format!("{}{}", &a[..1], &b[1..]));
        for (p, q) in [(a, c.as_str()), (d.as_str(), b), (a, d.as_str()), (c.as_str(), b)] {
            if hung.insert((p.to_owned(), q.to_owned())) {
                site.ledger(&post(p), &post(q));
            }
        }
    }
    for wall in walls.split_whitespace() {
        let (a, b) = wall.split_once('-').unwrap();
        site.wall(&post(a), &post(b));
        site.wall(&post(b), &post(a));
    }
    site
}

fn post(at: &str) -> String {
    format!("b.post.{at}")
}

/// Lays one sheet over the bay between posts `a` and `b`, on the ledgers of its lettered sides.
fn lay(site: &mut Site, a: &str, b: &str, nailed: bool) {
    let corner = |at: &str| {
        let mut chars = at.bytes();
        let x = f64::from(chars.next().unwrap() - b'A');
        [2.0 * x, 2.0 * f64::from(chars.next().unwrap() - b'1'), 3.0]
    };
    let name = format!("sheet.{a}-{b}");
    site.member(&name, Role::Sheet, corner(a), corner(b), 200.0);
    site.edit(&name, |m| {
        m.block = Some("b".into());
        m.grid = Some((a.into(), b.into()));
        m.part = "ply".into();
    });
    for letter in [&a[..1], &b[..1]] {
        let under = format!(
            "ledger.{}-{}",
            post(&format!("{letter}{}", &a[1..])),
            post(&format!("{letter}{}", &b[1..]))
        );
        site.joint(JointKind::Rest, &name, 0.0, Some((&under, 1.0)), BEARING, JointState::Hung);
    }
    site.library.sheets.insert(
        "ply".into(),
        standwell::equipment::model::Sheet {
            mass: standwell::units::Mass(20.0),
            size: Default::default(),
            diaphragm: Some(Diaphragm {
                nailing: "as drawn".into(),
                stiffness: Stiffness(STIFFNESS),
                shear: LineLoad(2500.0),
            }),
            basis: None,
            bending: None,
            shear: None,
            e: None,
        },
    );
    if nailed {
        site.nail(&name);
    }
}

fn judged(site: &Site) -> StageMechanics {
    let (assembly, stage) = site.build();
    let mut pack = pack();
    pack.working_wind.value = Speed(0.0);
    let loads = take_down(&assembly, &pack, &stage);
    judge_stage(&assembly, &pack, &stage, &loads)
}

const RING: &str = "A1-B1 A2-B2 A1-A2 B1-B2";

/// Each nailed bay is worth the plan brace of the counts that were recomputed by rank for posts
/// with pinned feet and hinged heads; a bay whose sheet merely lies is worth nothing.
#[test]
fn a_nailed_bay_counts_as_a_plan_brace() {
    let tower = "A1 B1 A2 B2";
    let trap = "A1 B1 A2 B2 C2 B3 C3";
    let trap_bays = "A1-B2 B2-C3";
    for (posts, walls, bays, deck, nailed, laid) in [
        (tower, "A1-B1 A2-B2 A1-A2", "A1-B2", "A1-B2", 0, 1),
        (tower, "A1-B1 A1-A2", "A1-B2", "A1-B2", 1, 2),
        (tower, "A1-B1 A2-B2", "A1-B2", "A1-B2", 1, 2),
        (trap, RING, trap_bays, "B2-C3", 1, 2),
        (trap, &format!("{RING} C2-C3"), trap_bays, "B2-C3", 0, 1),
    ] {
        let (a, b) = deck.split_once('-').unwrap();
        for (is_nailed, count) in [(true, nailed), (false, laid)] {
            let mut site = site(posts, walls, bays);
            lay(&mut site, a, b, is_nailed);
            let found = judged(&site).mechanisms.len();
            assert_eq!(found, count, "{posts}, walls {walls}, nailed {is_nailed}");
        }
    }
}

/// A plate of shear stiffness G on a bay of sides u, v under a force F along u shears by F/(G·u).
/// Line 2 of three walls hangs on the deck; what its two heads are pushed by goes through the bay.
#[test]
fn a_bay_shears_as_a_plate() {
    let mut site = site("A1 B1 A2 B2", "A1-B1 A1-A2 B1-B2", "A1-B2");
    lay(&mut site, "A1", "B2", true);
    let (assembly, stage) = site.build();
    let frame = idealise(&assembly, &stage);
    let head = |at: &str| frame.head(assembly.find(&post(at)).unwrap()).unwrap();
    let push = 500.0;
    let case = LoadCase {
        nodal: ["A2", "B2"].map(|at| (head(at), [push, 0.0, 0.0, 0.0, 0.0, 0.0])).to_vec(),
        uniform: Vec::new(),
    };
    let model = Model::new(&frame.frame, ElementForm::Exact, &[]).unwrap();
    let solved = model.factor().unwrap().solve(&case).unwrap();
    let at = |name: &str| solved.displacement[head(name)];
    let (u, v) = (2.0, 2.0);
    let due = 2.0 * push / (STIFFNESS * u);
    let along = |a: &str, b: &str, axis: usize| at(b)[axis] - at(a)[axis];
    // The plate loses its right angle by this with stiff edges; what the edges' own strain does is
    // taken off: the diagonal of the bay grows by u·v·γ + u·(growth along u) + v·(growth along v).
    let grown = |a: (&str, &str), b: (&str, &str), axis: usize| {
        0.5 * (along(a.0, a.1, axis) + along(b.0, b.1, axis))
    };
    let edges = grown(("A1", "B1"), ("A2", "B2"), 0) / v + grown(("A1", "A2"), ("B1", "B2"), 1) / u;
    let lost = skew(&along, u, v) + edges;
    assert!((lost - due).abs() < 1e-6 * due, "{lost} lost, {due} due");
    assert!(edges.abs() < 0.01 * due, "edges give {edges}");
    let sheet = assembly.find("sheet.A1-B2").unwrap();
    let bar = frame.of.iter().position(|&m| m == sheet).unwrap();
    let through = solved.axial[bar] * u / u.hypot(v);
    assert!((through - 2.0 * push).abs() < 1e-6 * push, "{through} through the deck");
}

/// The right angle that a bay loses, mean of its opposite sides.
fn skew(along: &impl Fn(&str, &str, usize) -> f64, u: f64, v: f64) -> f64 {
    let x_over_y = 0.5 * (along("A1", "A2", 0) + along("B1", "B2", 0)) / v;
    let y_over_x = 0.5 * (along("A1", "B1", 1) + along("A2", "B2", 1)) / u;
    x_over_y + y_over_x
}

/// Torsion, by statics: a floor of posts alike that nailed decks keep in shape, braced in y along A
/// and B alone and in x along line 1. A push in y at the middle of the floor, x = 3 m, is held by
/// lines at 0 and 2 m: A takes −1/2 and B 3/2. What is pushed in x turns the floor too, and no line
/// across x takes part of it.
#[test]
fn lines_off_the_middle_take_the_torsion() {
    let posts = "A1 B1 C1 D1 A2 B2 C2 D2";
    let mut site = site(posts, "A1-A2 B1-B2 A1-B1", "A1-B2 B1-C2 C1-D2");
    for (a, b) in [("A1", "B2"), ("B1", "C2"), ("C1", "D2")] {
        lay(&mut site, a, b, true);
    }
    // Loads alike on all posts: only then is the middle at 3 m.
    let (assembly, stage) = site.build();
    for post in assembly.members.iter().filter(|m| m.is_post()) {
        site.edit(&post.name, |m| m.weight = 1e7);
    }
    drop(stage);
    let found = judged(&site);
    assert!(found.mechanisms.is_empty(), "{:?}", found.mechanisms);
    let (assembly, _) = site.build();
    let axes = standwell::mechanics::stage::cases::axes(&assembly);
    let lines: Vec<(bool, f64, f64)> = found
        .brace_lines
        .iter()
        .map(|l| (axes[usize::from(l.axis)][1].abs() > 0.5, l.across.abs(), l.share))
        .collect();
    let y: Vec<_> = lines.iter().filter(|l| l.0).collect();
    assert_eq!(y.len(), 2, "{lines:?}");
    for (line, (across, share)) in y.iter().zip(by_place(&y, [(0.0, -0.5), (2.0, 1.5)])) {
        assert!((line.1 - across).abs() < 1e-9 && (line.2 - share).abs() < 1e-3, "{lines:?}");
    }
    let x: Vec<_> = lines.iter().filter(|l| !l.0).collect();
    assert!(x.len() == 1 && (x[0].2 - 1.0).abs() < 1e-9, "{lines:?}");
}

/// The expected lines in the order of those found.
fn by_place(found: &[&(bool, f64, f64)], mut due: [(f64, f64); 2]) -> [(f64, f64); 2] {
    if found.first().is_some_and(|l| l.1 > 1.0) {
        due.reverse();
    }
    due
}
