//! What a slab that carries itself may still have on posts: shares by the nearest support.
//!
//! By hand: on a grid of 6 ft posts under an outline that ends at the edge posts an inside post has a
//! bay of slab, an edge post half, a corner post a quarter.

use standwell::assembly;
use standwell::loads::slab::on_posts;
use standwell::scene::read;
use standwell::sequence::{self, Stage};
use std::path::Path;

fn scene(
    permanent: &str,
    more: &str,
) -> (assembly::Assembly, Vec<Stage>, standwell::criteria::Pack) {
    let text = format!(
        r#"(format: 1, title: "x", equipment: ["sample"], criteria: "us",
        floors: [(name: "floor", level: "0 m", kind: Slab)],
        slabs: [(name: "slab", soffit: "8 ft 3 in", thickness: "8 in",
            outline: [("-1 mm", "-1 mm"), ("3.6586 m", "-1 mm"), ("3.6586 m", "3.6586 m"), ("-1 mm", "3.6586 m")],
            strength: Some((specified: "28 MPa", strip: 0.5, clear: 0.75, source: "S-1")))],
        permanent: [{permanent}],
        blocks: [(name: "main", x: (lines: "A..C", every: "6 ft"), y: (lines: "1..3", every: "6 ft"),
            stands_on: "floor", head: "8 ft", post: "post-10",
            ledger: ["ledger-6"], joist: ["joist-6"])],
        sequence: [
            Step((id: "up", do: [Set("main.post.*"), Set("main.ledger.*"), Set("main.joist.*")])),
            Step((id: "pour", do: [Load((name: "c", kind: concrete, on: Pour(slab: "slab", from: ("0 ft", "0 ft"), to: ("12 ft", "12 ft"))))])),
            Step((id: "test", do: [Evidence((slab: "slab", by: Test(strength: "14 MPa", report: "1")))])),
            {more}
        ])"#
    );
    let loaded = read(&text, Path::new("slab.ron")).unwrap_or_else(|p| panic!("{p}"));
    let built = assembly::build(&loaded.scene, &loaded.library, &loaded.source).unwrap();
    let stages = sequence::run(&built, &loaded.source).unwrap_or_else(|p| panic!("{p}")).stages;
    (built, stages, loaded.pack)
}

const BAY: f64 = 1.8288 * 1.8288 * 0.2032 * 150.0 * 157.087_463_846_246;

#[test]
fn shares_by_hand_and_their_sum() {
    let (built, stages, pack) = scene("", "");
    assert!(on_posts(&built, &pack, &stages[1]).is_empty(), "fresh: all of it is on the deck");
    let shares = on_posts(&built, &pack, &stages[2]);
    let total: f64 = shares.iter().map(|s| s.1).sum();
    let of = |name: &str| {
        let id = built.find(name).unwrap();
        shares.iter().find(|s| s.0 == id).map_or(0.0, |s| s.1)
    };
    assert!((of("main.post.B2") / BAY - 1.0).abs() < 0.002, "{}", of("main.post.B2") / BAY);
    assert!((of("main.post.A2") / BAY - 0.5).abs() < 0.002);
    assert!((of("main.post.A1") / BAY - 0.25).abs() < 0.002);
    // Four bays, and the millimetre of outline around them.
    assert!((total / (4.0 * BAY) - 1.0).abs() < 0.002, "{}", total / BAY);
}

#[test]
fn a_post_taken_gives_its_share_to_its_neighbours_and_a_snugged_one_has_none() {
    let (built, stages, pack) =
        scene("", r#"Step((id: "off", do: [BackOff("main.post.B2"), Snug("main.post.B2")])),"#);
    let share = |stage: usize, name: &str| {
        let id = built.find(name).unwrap();
        on_posts(&built, &pack, &stages[stage]).iter().find(|s| s.0 == id).map(|s| s.1)
    };
    assert!(share(2, "main.post.B2").is_some());
    assert_eq!(share(3, "main.post.B2"), None);
    assert!(share(3, "main.post.A2").unwrap() > share(2, "main.post.A2").unwrap() * 1.2);
}

#[test]
fn columns_take_what_is_nearest_to_them() {
    let column = r#"(name: "c", kind: Column(at: ("3 ft", "3 ft"), size: ("1 ft", "1 ft")), from: "0 m", to: "8 ft 3 in")"#;
    let with = |permanent: &str| {
        let (built, stages, pack) = scene(permanent, "");
        let id = built.find("main.post.B2").unwrap();
        on_posts(&built, &pack, &stages[2]).iter().find(|s| s.0 == id).unwrap().1
    };
    assert!(with(column) < with("") * 0.95);
    // One that ends below the soffit carries nothing.
    assert!((with(&column.replace("8 ft 3 in", "5 ft")) - with("")).abs() < 1e-6);
}
