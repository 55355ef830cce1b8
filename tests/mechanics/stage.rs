//! Stages judged as frames: counts of mechanisms, pushes by statics, and the tree against a
//! judgment from scratch.

use crate::loads::fixture::{Site, pack};
use standwell::equipment::Library;
use standwell::loads::take_down;
use standwell::mechanics::stage::Judge;
use standwell::mechanics::{StageMechanics, Verdict, judge_stage};

/// Posts named by column letter and row digit at 2 m spacing; `l` ledgers, `w` walls, `p` plan braces.
fn site(names: &str, bars: &str) -> Site {
    let mut site = Site::default();
    site.library = library();
    for name in names.split_whitespace() {
        let mut chars = name.bytes();
        let x = f64::from(chars.next().unwrap() - b'A');
        let y = f64::from(chars.next().unwrap() - b'1');
        site.post(name, 2.0 * x, 2.0 * y);
    }
    for bar in bars.split_whitespace() {
        let (kind, ends) = bar.split_once(':').unwrap();
        let (a, b) = ends.split_once('-').unwrap();
        match kind {
            "l" => site.ledger(a, b),
            "w" => site.wall(a, b),
            _ => site.plan(a, b),
        };
    }
    site
}

/// One tube from foot to head, and bars; plain steel.
pub fn library() -> Library {
    let tube =
        "(outside: \"76 mm\", area: \"9 cm2\", i: \"58 cm4\", e: \"200 GPa\", fy: \"240 MPa\")";
    let beam = "(mass: \"10 kg\", length: \"2 m\", depth: \"0.15 m\", width: \"0.07 m\", e: \"200 GPa\", i: \"400 cm4\", area: \"14 cm2\", moment: \"8 kN m\", shear: \"30 kN\")";
    let text = format!(
        "(format: 1, title: \"\", sample: true,
          posts: {{\"post\": (mass: \"20 kg\", reach: (\"2 m\", \"4 m\"), outer: {tube}, outer_length: \"4 m\", inner: {tube},
            overlap: \"0.3 m\", base_plate: \"0.15 m\", brace_low: \"0.3 m\", brace_high: \"0.3 m\",
            head: (kind: plate, width: \"0.15 m\", locked: (bearing: true, along: true)),
            capacity: (basis: safe_working_load, rows: [(\"4 m\", \"30 kN\")]))}},
          beams: {{\"ledger\": {beam}, \"planbrace\": {beam}}},
          braces: {{\"brace\": (mass: \"6 kg\", length: (\"1 m\", \"5 m\"), outside: \"48 mm\", area: \"4.5 cm2\", e: \"200 GPa\",
            tension: \"12 kN\", compression: Some(\"6 kN\"), coupler: \"6 kN\")}})"
    );
    ron::Options::default().from_str(&text).unwrap()
}

/// A post whose part nobody knows is not judged, and nothing around it is called stable.
#[test]
fn a_post_that_cannot_be_modelled_makes_the_stage_unknown() {
    let mut site = site("A1 B1 A2 B2", TOWER);
    site.edit("A1", |post| post.part = "nowhere".into());
    let found = judged(&site);
    for verdict in [found.mechanisms_certain, found.critical, found.lateral, found.push] {
        assert!(matches!(verdict, Verdict::Unknown(_)), "{verdict:?}");
    }
}

fn judged(site: &Site) -> StageMechanics {
    let (assembly, stage) = site.build();
    let pack = pack();
    let loads = take_down(&assembly, &pack, &stage);
    judge_stage(&assembly, &pack, &stage, &loads)
}

const TOWER: &str = "l:A1-B1 l:A2-B2 l:A1-A2 l:B1-B2 w:A1-B1 w:B1-A1 w:A2-B2 w:B2-A2 w:A1-A2 w:A2-A1 w:B1-B2 w:B2-B1";

/// Source: rank of the compatibility matrix of each frame, recomputed by brute force; counts for
/// posts pinned at the base with hinged heads, ledgers and diagonals as axial bars.
#[test]
fn mechanisms_of_shoring_like_frames() {
    let ring = "l:A1-B1 l:A2-B2 l:A1-A2 l:B1-B2";
    let second_bay = format!("{TOWER} l:B1-C1 l:B2-C2 l:C1-C2");
    // Tower A1–B2; E = C2 on ledger B2–C2, G = B3 on B2–B3, K = C3 on G–K and E–K.
    let corner = format!("{TOWER} l:B2-C2 l:B2-B3 l:B3-C3 l:C2-C3");
    let cases: Vec<(&str, String, usize)> = vec![
        ("A1", String::new(), 2),
        ("A1 B1", "l:A1-B1".into(), 3),
        ("A1 B1", "l:A1-B1 w:A1-B1".into(), 2),
        ("A1 B1", "l:A1-B1 w:A1-B1 w:B1-A1".into(), 2),
        ("A1 B1 A2 B2", ring.into(), 4),
        ("A1 B1 A2 B2", format!("{ring} w:A1-B1 w:A2-B2"), 2),
        ("A1 B1 A2 B2", format!("{ring} w:A1-B1 w:A2-B2 w:A1-A2"), 1),
        ("A1 B1 A2 B2", format!("{ring} w:A1-B1 w:A2-B2 w:A1-A2 w:B1-B2"), 0),
        ("A1 B1 A2 B2", format!("{ring} w:A1-B1 w:A2-B2 w:A1-A2 p:A1-B2"), 0),
        ("A1 B1 A2 B2", format!("{ring} w:A1-B1 w:A1-A2 p:A1-B2"), 1),
        ("A1 B1 A2 B2 C2", format!("{TOWER} l:B2-C2"), 1),
        ("A1 B1 A2 B2 C1 C2", second_bay.clone(), 1),
        ("A1 B1 A2 B2 C1 C2", format!("{second_bay} w:C1-C2"), 0),
        ("A1 B1 A2 B2 C2 B3 C3", corner.clone(), 2),
        ("A1 B1 A2 B2 C2 B3 C3", format!("{corner} p:B2-C3"), 1),
        ("A1 B1 A2 B2 C2 B3 C3", format!("{corner} w:C2-C3"), 1),
        ("A1 B1 A2 B2 C2 B3 C3", format!("{corner} w:C2-C3 w:B3-C3"), 0),
        ("A1 B1 C1 D1 E1 F1", "l:A1-B1 l:B1-C1 l:C1-D1 l:D1-E1 l:E1-F1 w:A1-B1".into(), 6),
    ];
    for (posts, bars, expected) in cases {
        let found = judged(&site(posts, &bars));
        assert_eq!(found.mechanisms.len(), expected, "{posts}: {bars}");
        let verdict = if expected == 0 { Verdict::Met } else { Verdict::NotMet };
        assert_eq!(found.mechanisms_certain, verdict, "{posts}: {bars}");
    }
}

/// In the corner trap each of the three posts carries two perpendicular ledgers, all joined to a
/// braced tower, and every one of them is still named as loose.
#[test]
fn corner_trap_names_all_three_posts() {
    let site = site("A1 B1 A2 B2 C2 B3 C3", &format!("{TOWER} l:B2-C2 l:B2-B3 l:B3-C3 l:C2-C3"));
    let (assembly, _) = site.build();
    let found = judged(&site);
    let mut moving: Vec<&str> = found
        .mechanisms
        .iter()
        .flat_map(|m| &m.members)
        .map(|&m| assembly.name(m))
        .filter(|n| n.len() == 2)
        .collect();
    moving.sort_unstable();
    moving.dedup();
    assert_eq!(moving, ["B3", "C2", "C3"]);
}

/// Statics: a rigid plane frame goes over about its outer foot when P·h = ΣW·d. Posts 200 N at
/// 0 and 2 m, ledger 100 N and diagonal 60 N at mid-span, push at 3 m: P = 560 / 3 N, either way.
#[test]
fn plane_frame_goes_over_at_the_push_of_statics() {
    let found = judged(&site("A1 B1", "l:A1-B1 w:A1-B1"));
    assert_eq!(found.push, Verdict::NotMet);
    let exact = (200.0 * 2.0 + (100.0 + 60.0) * 1.0) / 3.0;
    let along_x: Vec<f64> = found
        .failing_pushes
        .iter()
        .filter(|p| p.direction[0].abs() > 0.5)
        .map(|p| p.force)
        .collect();
    assert_eq!(along_x.len(), 4, "both heads, both ways");
    for push in along_x {
        assert!((push - exact).abs() / exact < 1e-3, "{push} against {exact}");
        assert!(push <= exact * (1.0 + 1e-9), "on the safe side");
    }
}

/// A judgment on the tree that has seen other stages is the same, bit for bit, as one from scratch.
#[test]
fn what_was_judged_before_changes_nothing() {
    let frames = [
        ("A1 B1 A2 B2 C1 C2", format!("{TOWER} l:B1-C1 l:B2-C2 l:C1-C2 w:C1-C2")),
        ("A1 B1 A2 B2 C2", format!("{TOWER} l:B2-C2")),
    ];
    for (posts, bars) in frames {
        let (assembly, full) = site(posts, &bars).build();
        let pack = pack();
        let mut judge = Judge::new(&assembly, &pack);
        for dropped in 0..assembly.members.len() {
            let mut stage = full.clone();
            stage.members[dropped] = standwell::sequence::MemberState::Absent;
            for &joint in assembly.joints_of(standwell::assembly::MemberId(dropped as u32)) {
                stage.joints[joint.index()] = standwell::sequence::JointState::Open;
            }
            let loads = take_down(&assembly, &pack, &stage);
            assert_eq!(judge.stage(&stage, &loads), judge_stage(&assembly, &pack, &stage, &loads));
        }
    }
}

/// Limit analysis against statics, with a push at one head of a braced tower: the face it acts in
/// carries it alone once the far face, which nothing twists along, has nothing to give. The tower's
/// least push is the same whichever head and way, by symmetry, and no more than that of the whole
/// as one block, ΣW·d / h.
#[test]
fn a_tower_goes_over_no_later_than_as_one_block() {
    let found = judged(&site("A1 B1 A2 B2", TOWER));
    // Posts 200 N, ledgers 100 N, eight diagonals of 60 N, 2 m square, 3 m high.
    let block = (4.0 * 200.0 + 4.0 * 100.0 + 8.0 * 60.0) * 1.0 / 3.0;
    let pushes: Vec<f64> = found.failing_pushes.iter().map(|p| p.force).collect();
    if let Some(least) = found.least_push {
        assert!(least.force <= block * (1.0 + 1e-3), "{} against {block}", least.force);
    }
    for push in &pushes {
        assert!((push / pushes[0] - 1.0).abs() < 1e-3, "{pushes:?}");
    }
}
