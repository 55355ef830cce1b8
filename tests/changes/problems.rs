//! What is said where a change cannot be made: at the change, or at the step that no longer works.

use super::{shipped, try_out, with};
use standwell::scene::{self, Problem};
use std::path::Path;

fn problems(scene: &str, changes: &[&str]) -> Vec<Problem> {
    match try_out(&with(&shipped(scene), changes)) {
        Ok(_) => panic!("{changes:?} was made"),
        Err(problems) => problems.0,
    }
}

#[test]
fn each_is_told_at_its_change() {
    let cases: &[(&str, &str, &str)] = &[
        ("TakeOut(\"main.brace.A1-B1.x\")", "names no member", "brace.A1-B1.x"),
        ("TakeOut(\"mian.brace.A1-B1.a\")", "there is no member", "mian"),
        ("SetPart(member: \"main.post.Z9\", part: \"post-10\")", "no grid point", "Z9"),
        (
            "PutIn(member: \"main.brace.A1-B1.a\", in_step: \"tower.Z\")",
            "there is no step",
            "tower.Z",
        ),
        ("MoveStep(step: \"nowhere\")", "there is no step", "nowhere"),
        ("Release(member: \"main.post.Z9\", in_step: \"tower.B2\")", "there is no member", "Z9"),
        ("TakeOffLoad(\"nothing\")", "no step puts a load", "nothing"),
        ("AddBraces(block: \"main\", bay: \"A1-B1\")", "braces already", "A1-B1"),
        ("AddBraces(block: \"main\", bay: \"A1-B2\")", "one line", "A1-B2"),
        ("AddBraces(block: \"west\", bay: \"A1-B1\")", "there is no block", "west"),
        (
            "AddMember(member: (name: \"stray\", role: brace, part: \"brace\", \
             from: At(\"0 m\", \"9 m\", \"1 m\"), to: At(\"2 m\", \"9 m\", \"2 m\")), \
             in_step: \"tower.B2\")",
            "meets nothing",
            "stray",
        ),
        (
            "AddMember(member: (name: \"extra\", role: brace, part: \"brass\", \
             from: On(\"main.post.A1\", \"1 ft\"), to: On(\"main.post.B1\", \"7 ft\")))",
            "there is no brace",
            "brass",
        ),
    ];
    for (change, says, names) in cases {
        let found = problems("starter-tower", &["MoveStep(step: \"tower.B2\")", change]);
        let problem = &found[0];
        assert!(problem.path.starts_with("changes[1]"), "{change}: {problem}");
        assert!(problem.line > 0, "{change}: {problem}");
        let text = format!("{problem}");
        assert!(text.contains(says) && text.contains(names), "{change}: {problem}");
    }
}

#[test]
fn too_early_is_told_with_what_is_missing() {
    let found = problems(
        "starter-tower",
        &["PutIn(member: \"main.brace.A1-B1.a\", in_step: \"tower.A1\")"],
    );
    assert!(found[0].message.contains("not there"), "{}", found[0]);
    assert_eq!(found[0].path, "changes[0]");
}

#[test]
fn a_step_that_no_longer_works_is_told_at_its_entry() {
    // The last post of the tower hangs on ledgers that hang on the others.
    let found = problems("starter-tower", &["MoveStep(step: \"tower.B2\", before: \"tower.A1\")"]);
    assert!(found[0].message.starts_with("with the changes made, step "), "{}", found[0]);
    assert_eq!(found[0].path, "sequence[0]");
}

/// A load is never lost with the member it lay on: that would make the job lighter than it is.
#[test]
fn a_load_on_what_is_taken_out_is_told() {
    let text = shipped("starter-tower").replace(
        "sequence: [Tower(id: \"tower\", block: \"main\", at: \"A1-B2\")]",
        "sequence: [Tower(id: \"tower\", block: \"main\", at: \"A1-B2\"), Step(id: \"load\", do: [\
         Load(name: \"bundle\", kind: bundle, on: Point(member: \"main.ledger.A1-B1\", at: \"1 ft\", \
         weight: \"100 lb\"))])]",
    );
    assert!(try_out(&text).is_ok());
    let found = try_out(&with(&text, &["TakeOut(\"main.ledger.A1-B1\")"])).unwrap_err().0;
    assert!(found.iter().any(|p| p.path == "sequence[1]"), "{found:?}");
}

/// Nothing lays a scene out with its changes left unmade.
#[test]
fn unmade_changes_are_refused() {
    let text = with(&shipped("starter-tower"), &["TakeOut(\"main.brace.A1-B1.a\")"]);
    let loaded = scene::read(&text, Path::new("tried.ron")).unwrap();
    let built =
        standwell::assembly::build(&loaded.scene, &loaded.library, &loaded.source).unwrap_err();
    assert!(built.0[0].message.contains("changes have to be made"), "{built}");
}
