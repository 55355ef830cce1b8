//! Pours written out as placing steps, and what is wrong with one.

use standwell::scene::model::{Action, LoadPlace};
use standwell::{assembly, scene, sequence};
use std::path::Path;

/// Two bays of 6 ft with an overhang of 2 ft, all standing, and a pour.
fn text(slab: &str, pour: &str) -> String {
    format!(
        r#"(
    format: 1, title: "A pour", equipment: ["sample"], criteria: "us",
    floors: [(name: "ground", level: "0 ft", kind: Slab)],
    slabs: [(name: "slab", soffit: "9 ft 3 in", thickness: "8 in", outline: [("0 ft", "0 ft"), ("14 ft", "0 ft"), ("14 ft", "6 ft"), ("0 ft", "6 ft")]{slab})],
    blocks: [(
        name: "main", x: (lines: "A B C", every: "6 ft"), y: (lines: "1 2", every: "6 ft"),
        stands_on: "ground", head: "9 ft", post: "post-10", ledger: ["ledger-6"],
        joist: ["joist-6", "filler-6"], fillers: 2, sheet: "sheet-6",
        overhangs: [(along: "C", by: "2 ft")],
    )],
    sequence: [
        Step(id: "stand", do: [Set("main.*")]),
        {pour}
    ],
)"#
    )
}

fn steps(slab: &str, pour: &str) -> Result<Vec<scene::model::StepText>, String> {
    let text = text(slab, pour);
    let loaded = scene::read(&text, Path::new("pour.ron")).map_err(|p| p.to_string())?;
    let built = assembly::build(&loaded.scene, &loaded.library, &loaded.source)
        .map_err(|p| p.to_string())?;
    sequence::run(&built, &loaded.source).map_err(|p| p.to_string())?;
    sequence::expand(&loaded.scene, &built).map_err(|p| p.to_string())
}

fn rectangles(steps: &[scene::model::StepText]) -> Vec<(String, [f64; 4])> {
    let feet = |l: standwell::units::Length| (l.si() / 0.3048 * 1e6).round() / 1e6;
    steps
        .iter()
        .flat_map(|s| s.actions.iter().map(move |a| (s, a)))
        .filter_map(|(step, action)| match action {
            Action::Load(load) => match &load.on {
                LoadPlace::Pour { from, to, .. } | LoadPlace::Layer { from, to, .. } => {
                    Some((step.id.clone(), [feet(from.0), feet(from.1), feet(to.0), feet(to.1)]))
                }
                _ => None,
            },
            _ => None,
        })
        .collect()
}

#[test]
fn strips_are_bays_edges_and_rectangles_in_the_order_written() {
    let found = steps(
        "",
        r#"Pour(id: "p", slab: "slab", block: "main", keep_out: "3 ft", watch: "W", strips: [
            (name: "edge", place: Edge("C")), (name: "far", place: Bays("A1-B2")),
            (name: "mid", place: Between(("12 ft", "6 ft"), ("6 ft", "0 ft")))])"#,
    )
    .unwrap();
    let ids: Vec<&str> = found.iter().map(|s| s.id.as_str()).collect();
    assert_eq!(ids, ["stand", "p.edge", "p.far", "p.mid"]);
    let due = [
        ("p.edge".to_owned(), [12.0, 0.0, 14.0, 6.0]),
        ("p.far".to_owned(), [0.0, 0.0, 6.0, 6.0]),
        ("p.mid".to_owned(), [6.0, 0.0, 12.0, 6.0]),
    ];
    assert_eq!(rectangles(&found), due);
    assert!(found[1].actions.contains(&Action::Watch("W".to_owned())));
    assert!(matches!(found[1].actions[1], Action::KeepOut(from, to)
        if (from.0.si() - 9.0 * 0.3048).abs() < 1e-9 && (to.0.si() - 17.0 * 0.3048).abs() < 1e-9));
}

#[test]
fn even_strips_cover_the_slab_and_may_come_back_from_the_far_end() {
    let pour = r#"Pour(id: "p", slab: "slab", every: "5 ft", backwards: true)"#;
    let due = [
        ("p.strip-1".to_owned(), [10.0, 0.0, 14.0, 6.0]),
        ("p.strip-2".to_owned(), [5.0, 0.0, 10.0, 6.0]),
        ("p.strip-3".to_owned(), [0.0, 0.0, 5.0, 6.0]),
    ];
    assert_eq!(rectangles(&steps("", pour).unwrap()), due);
}

#[test]
fn deep_beams_go_in_first_in_layers_that_add_up_to_their_depth() {
    let beam = r#", drop_beams: [(name: "b", from: ("0 ft", "3 ft"), to: ("6 ft", "3 ft"), width: "2 ft", drop: "30 in")]"#;
    let found = steps(
        beam,
        r#"Pour(id: "p", slab: "slab", every: "7 ft", layers: "20 in",
            before: (name: "look", by: "B", evidence: ["list"]))"#,
    )
    .unwrap();
    let ids: Vec<&str> = found.iter().map(|s| s.id.as_str()).collect();
    // The beam lies in the first strip alone.
    let due =
        ["stand", "p.before", "p.strip-1.layer-1", "p.strip-1.layer-2", "p.strip-1", "p.strip-2"];
    assert_eq!(ids, due);
    let heights: f64 = found
        .iter()
        .flat_map(|s| &s.actions)
        .filter_map(|a| match a {
            Action::Load(l) => match &l.on {
                LoadPlace::Layer { bottom, top, .. } => Some(top.si() - bottom.si()),
                _ => None,
            },
            _ => None,
        })
        .sum();
    assert!((heights - 30.0 * 0.0254).abs() < 1e-9);
}

#[test]
fn what_is_wrong_with_a_pour_is_said() {
    let cases = [
        (r#"Pour(id: "p", slab: "slap", every: "5 ft")"#, "there is no slab \"slap\""),
        (r#"Pour(id: "p", slab: "slab")"#, "has no strips"),
        (
            r#"Pour(id: "p", slab: "slab", every: "5 ft", strips: [(name: "a", place: Bays("A1-B2"))])"#,
            "keep one of them",
        ),
        (
            r#"Pour(id: "p", slab: "slab", strips: [(name: "a", place: Bays("A1-B2"))])"#,
            "names no block",
        ),
        (
            r#"Pour(id: "p", slab: "slab", block: "main", strips: [(name: "a", place: Bays("A1-C2")), (name: "b", place: Bays("B1-C2"))])"#,
            "a and b overlap",
        ),
        (
            r#"Pour(id: "p", slab: "slab", strips: [(name: "a", place: Between(("20 ft", "0 ft"), ("30 ft", "6 ft")))])"#,
            "outside the slab",
        ),
        (
            r#"Pour(id: "p", slab: "slab", block: "main", strips: [(name: "a", place: Edge("A"))])"#,
            "no overhang",
        ),
        (r#"Pour(id: "p", slab: "slab", every: "0.001 ft")"#, "strips of this width"),
        (
            r#"Step(id: "gone", do: [Remove("main.sheet.*"), Remove("main.filler.*"), Remove("main.joist.*"), Remove("main.ledger.*")]),
               Pour(id: "p", slab: "slab", every: "14 ft")"#,
            "where nothing stands to carry it",
        ),
        (
            r#"Step(id: "one", do: [Load(name: "x", kind: concrete, on: Pour(slab: "slab", from: ("0 ft", "0 ft"), to: ("6 ft", "6 ft")))]),
               Pour(id: "p", slab: "slab", every: "7 ft")"#,
            "has placed it already",
        ),
        (r#"Step(id: "x", do: [Watch("")])"#, "nobody is named"),
        (r#"Step(id: "x", do: [Jack("main.ledger.A1-B1")])"#, "is no post"),
    ];
    for (pour, due) in cases {
        let problems = steps("", pour).unwrap_err();
        assert!(problems.contains(due), "{pour}\n{problems}\nis not about {due:?}");
        assert!(problems.contains("pour.ron:"), "no place: {problems}");
    }
}
