//! What is left to eyes: complete texts, and only what the scene calls for.

use standwell::assembly::Assembly;
use standwell::by_eye::{ALL, When, items};
use std::collections::BTreeSet;
use std::path::Path;

fn laid_out(more: &str, kind: &str) -> Assembly {
    let text = format!(
        r#"(format: 1, title: "t", equipment: ["sample"], criteria: "us",
        floors: [(name: "f", level: "0 m", kind: {kind})], {more}
        members: [(name: "p", role: post, part: "post-10", from: At("0 m", "0 m", "0 m"),
            to: At("0 m", "0 m", "8 ft"))])"#
    );
    let loaded =
        standwell::scene::read(&text, Path::new("scene.ron")).unwrap_or_else(|p| panic!("{p}"));
    standwell::assembly::build(&loaded.scene, &loaded.library, &loaded.source).unwrap()
}

fn names(assembly: &Assembly) -> Vec<&'static str> {
    items(assembly).iter().map(|i| i.name).collect()
}

#[test]
fn each_item_asks_says_why_and_names_its_clause_once() {
    let all: BTreeSet<&str> = ALL.iter().map(|i| i.name).collect();
    assert_eq!(all.len(), ALL.len());
    for item in ALL {
        assert!(item.look.ends_with('?'), "{}", item.name);
        assert!(item.why.ends_with('.') && !item.clause.is_empty(), "{}", item.name);
    }
    assert!(ALL.is_sorted_by_key(|i| i.when));
    assert_eq!(ALL[ALL.len() - 1].when, When::AfterPlacing);
}

#[test]
fn what_the_scene_tells_is_not_asked_again() {
    let bare = names(&laid_out("", "Ground()"));
    for name in ["sills-sound", "reach", "traffic", "near-edges-of-ground", "damage", "contact"] {
        assert!(bare.contains(&name), "{name} is not in {bare:?}");
    }
    for name in ["openings-below", "beam-sides", "stressing", "edges-and-openings"] {
        assert!(!bare.contains(&name), "{name}");
    }
    let told = names(&laid_out(
        r#"surroundings: (reach: lift,
        vehicle_ways: [(name: "w", from: ("9 m", "9 m"), to: ("12 m", "12 m"))],
        drops: [(name: "d", from: ("9 m", "0 m"), to: ("9 m", "9 m"), level: "0 m", depth: "1 m")]),"#,
        "Ground()",
    ));
    for name in ["reach", "traffic", "near-edges-of-ground"] {
        assert!(!told.contains(&name), "{name} is asked although it is told");
    }
    let slab = names(&laid_out(
        r#"slabs: [(name: "s", soffit: "8 ft 3 in", thickness: "8 in", outline: [("0 m", "0 m"),
        ("1 m", "0 m"), ("1 m", "1 m")], drop_beams: [(name: "b", from: ("0 m", "0 m"),
        to: ("1 m", "0 m"), width: "1 ft", drop: "1 ft")])],"#,
        "Slab",
    ));
    for name in ["openings-below", "beam-sides", "stressing", "hose-and-boom", "no-adjusting"] {
        assert!(slab.contains(&name), "{name} is not in {slab:?}");
    }
    assert!(!slab.contains(&"sills-sound"));
}
