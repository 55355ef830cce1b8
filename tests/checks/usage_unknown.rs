//! Strengths that nobody stated are unknown, and never pass for enough.

use standwell::findings::Finding;
use standwell::review::judge;
use std::path::Path;

/// The findings of a hazard in its firing scene with something changed in the scene or beside it.
fn found(hazard: &str, change: &[(&str, &str)], library: Option<&str>) -> Vec<Finding> {
    let folder = tempfile::tempdir().unwrap();
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/checks").join(hazard);
    let mut text = std::fs::read_to_string(path.join("fires.ron")).unwrap();
    for (from, to) in change {
        assert!(text.contains(from), "{from}");
        text = text.replace(from, to);
    }
    if let Some(library) = library {
        std::fs::write(folder.path().join("own.ron"), library).unwrap();
        text = text.replace("[\"sample\"]", "[\"sample\", \"own.ron\"]");
    }
    let loaded = standwell::scene::read(&text, &folder.path().join("scene.ron"))
        .unwrap_or_else(|p| panic!("{p}"));
    let review = judge(loaded, &|_, _| true).unwrap_or_else(|p| panic!("{p}"));
    let name = hazard.replace('_', "-");
    review.findings.into_iter().filter(|f| f.hazard == name).collect()
}

fn unknown(found: &[Finding], words: &str) {
    assert!(
        found.iter().any(|f| f.unknown && f.headline.contains(words) && !f.cures.is_empty()),
        "{words}: {:?}",
        found.iter().map(|f| (f.unknown, &f.headline)).collect::<Vec<_>>()
    );
}

fn library(parts: &str) -> String {
    format!("(format: 1, title: \"own\", sample: true, source: \"invented\", {parts})")
}

#[test]
fn ground_without_a_stated_bearing() {
    let found = found("ground_overloaded", &[("Ground(bearing: \"150 kPa\")", "Ground()")], None);
    unknown(&found, "floor \"slab\" does not state its bearing");
    assert!(found.iter().all(|f| f.unknown));
}

#[test]
fn a_beam_without_stated_bearing() {
    let own = library(
        "beams: {\"ledger-6\": (mass: \"21 kg\", length: \"6 ft\", depth: \"150 mm\", width: \"75 mm\", e: \"200 GPa\", i: \"416.6 cm4\", area: \"13.99 cm2\", basis: Some(safe_working_load), moment: \"8.5 kN m\", shear: \"35 kN\")}",
    );
    unknown(&found("beam_crushed", &[], Some(&own)), "ledger-6 does not state its bearing");
}

#[test]
fn a_sheet_without_stated_strength() {
    let own = library(
        "sheets: {\"panel-6\": (mass: \"13 kg\", size: (\"6 ft\", \"2 ft\", \"0.75 in\"))}",
    );
    unknown(&found("sheet_overstressed", &[], Some(&own)), "panel-6 does not state its bending");
}

#[test]
fn a_sill_without_stated_strength() {
    let own =
        library("sills: {\"sill-12\": (mass: \"4 kg\", size: (\"12 in\", \"12 in\", \"2 in\"))}");
    let found = found(
        "sill_overloaded",
        &[(", \"soft.ron\"", ""), ("sill: \"soft\"", "sill: \"sill-12\"")],
        Some(&own),
    );
    unknown(&found, "sill-12 does not state its bearing");
}

#[test]
fn a_jack_beyond_its_table() {
    let own = library(
        "jacks: {\"jack-18\": (mass: \"6 kg\", extension: (\"2 in\", \"18 in\"), outside: \"60 mm\", plate: \"6 in\", basis: Some(safe_working_load), capacity: \"45 kN\", rows: [(\"1 in\", \"45 kN\")])}",
    );
    unknown(&found("jack_overloaded", &[], Some(&own)), "its table ends below it");
}

/// What is not a number is never below its limit.
#[test]
fn the_basis_decides() {
    // The same numbers as an ultimate strength: over 3.0, and a third is not enough any more.
    let own = library(
        "beams: {\"ledger-6\": (mass: \"21 kg\", length: \"6 ft\", depth: \"150 mm\", width: \"75 mm\", e: \"200 GPa\", i: \"416.6 cm4\", area: \"13.99 cm2\", basis: Some(ultimate), moment: \"8.5 kN m\", shear: \"35 kN\", bearing: Some(\"40 kN\"))}",
    );
    let found = found("beam_overstressed", &[("18.7 kN", "7 kN")], Some(&own));
    assert!(found.iter().any(|f| f.headline.contains("more than its 2.833 kN m")), "{found:?}");
}
