//! `standwell explain`, and the jobs that come with the program.

use super::run::run;
use standwell::checks::REGISTER;
use standwell::cli::shipped::{DEMO, SHIPPED, find};
use std::path::Path;

#[test]
fn every_hazard_is_explained_by_code_and_by_name() {
    assert!(REGISTER.len() > 10);
    for hazard in REGISTER {
        let by_code = run(&["explain", hazard.code]);
        assert_eq!((by_code.status, by_code.stderr.as_str()), (0, ""), "{}", hazard.code);
        for heading in
            ["What it checks", "Why it is dangerous", "Example", "Limits", "Source", hazard.name]
        {
            assert!(by_code.stdout.contains(heading), "{heading} in\n{}", by_code.stdout);
        }
        assert_eq!(run(&["explain", hazard.name]).stdout, by_code.stdout);
        assert_eq!(run(&["explain", &hazard.code.to_lowercase()]).stdout, by_code.stdout);
        let json = run(&["explain", hazard.code, "--format", "json"]).stdout;
        let json: serde_json::Value = serde_json::from_str(&json).unwrap();
        assert_eq!(json["name"], hazard.name);
        assert!(!json["sources"].as_array().unwrap().is_empty());
    }
}

#[test]
fn all_hazards_are_listed_in_order_of_their_codes() {
    let list = run(&["explain"]).stdout;
    let codes: Vec<&str> = list.lines().filter_map(|line| line.split(' ').next()).collect();
    let register: Vec<&str> = REGISTER.iter().map(|hazard| hazard.code).collect();
    assert_eq!(codes, register);
}

#[test]
fn a_slip_gets_a_suggestion() {
    let ran = run(&["explain", "post-not-hold"]);
    assert_eq!(ran.status, 64);
    assert!(ran.stderr.contains("\"post-not-held\""), "{}", ran.stderr);
}

#[test]
fn every_file_in_scenes_comes_with_the_program_and_says_what_it_shows() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("scenes");
    let mut there: Vec<String> = std::fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.extension().is_some_and(|e| e == "ron"))
        .map(|path| path.file_stem().unwrap().to_str().unwrap().to_owned())
        .collect();
    there.sort();
    let shipped: Vec<&str> = SHIPPED.iter().map(|scene| scene.name).collect();
    assert_eq!(shipped, there);
    assert!(find(DEMO).is_some());

    let list = run(&["scenes"]);
    assert_eq!(list.status, 0);
    assert_eq!(list.stdout.lines().count(), SHIPPED.len());
    for scene in SHIPPED {
        assert!(scene.about().len() > 20, "{} says what it shows", scene.name);
        assert_eq!(run(&["scenes", "--print", scene.name]).stdout, scene.text);
    }
}
