//! Unbalanced pours beside the one of the hazard's own scenes.

use standwell::findings::{Finding, Severity};
use standwell::review::judge;
use std::path::Path;

/// A bearer over three posts 4 ft apart, held sideways by nothing that matters here, and the beam on it
/// filled in the given layers of one foot.
fn found(layers: &[(&str, &str)]) -> Vec<Finding> {
    let steps: String = layers
        .iter()
        .enumerate()
        .map(|(k, (from, to))| {
            format!(
                r#"Step(id: "fill-{k}", do: [Load(name: "fill-{k}", kind: concrete, on: Layer(slab: "slab", beam: "deep",
                    from: ("{from}", "-1 ft"), to: ("{to}", "1 ft"), bottom: "0 ft", top: "1 ft"))]), "#
            )
        })
        .collect();
    let text = format!(
        r#"(
    format: 1, title: "One side first", equipment: ["sample"], criteria: "us",
    floors: [(name: "ground", level: "0 ft", kind: Slab)],
    slabs: [(name: "slab", soffit: "10 ft", thickness: "8 in", outline: [("0 ft", "-1 ft"), ("8 ft", "-1 ft"), ("8 ft", "1 ft"), ("0 ft", "1 ft")],
        drop_beams: [(name: "deep", from: ("0 ft", "0 ft"), to: ("8 ft", "0 ft"), width: "2 ft", drop: "1 ft")])],
    members: [
        (name: "a", role: post, part: "post-10", from: At("0 ft", "0 ft", "0 ft"), to: At("0 ft", "0 ft", "8 ft")),
        (name: "b", role: post, part: "post-10", from: At("4 ft", "0 ft", "0 ft"), to: At("4 ft", "0 ft", "8 ft")),
        (name: "c", role: post, part: "post-10", from: At("8 ft", "0 ft", "0 ft"), to: At("8 ft", "0 ft", "8 ft")),
        (name: "bearer", role: drop_beam, part: "bearer-8", from: At("0 ft", "0 ft", "8 ft"), to: At("8 ft", "0 ft", "8 ft")),
    ],
    sequence: [Step(id: "stand", do: [Set("a"), Set("b"), Set("c"), Set("bearer")]), {steps}],
)"#
    );
    let loaded =
        standwell::scene::read(&text, Path::new("side.ron")).unwrap_or_else(|p| panic!("{p}"));
    let review = judge(loaded, &|_, _| true).unwrap_or_else(|p| panic!("{p}"));
    review.findings.into_iter().filter(|f| f.code == "SW701").collect()
}

#[test]
fn one_side_of_a_bearer_first_lifts_its_other_end_and_no_order_of_the_two_helps() {
    let found = found(&[("0 ft", "4 ft"), ("4 ft", "8 ft")]);
    assert_eq!(found.len(), 1);
    let one = &found[0];
    assert_eq!((one.severity, one.from_step.as_str()), (Severity::Watch, "fill-0"));
    assert_eq!(one.cured_by.as_deref(), Some("fill-1"));
    assert_eq!(one.subjects, ["bearer"]);
    assert!(one.cures[0].starts_with("no order of these strips does"), "{:?}", one.cures);
}

#[test]
fn both_sides_together_lift_nothing() {
    assert_eq!(found(&[("0 ft", "8 ft")]).len(), 0);
}
