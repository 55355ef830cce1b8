//! The shipped scenes: each lays out whole, goes up as it says, and finds what its head comment
//! says and nothing else above *watch*.

use super::loose::loose;
use standwell::cli::shipped::SHIPPED;
use standwell::findings::Severity;
use standwell::review::{self, Review};
use standwell::scene::{self, Loaded};
use standwell::sequence::{self, JointState, MemberState, to_ron};
use standwell::{assembly, scene::SceneSource};
use std::path::{Path, PathBuf};

fn path(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("scenes").join(format!("{name}.ron"))
}

fn load(name: &str) -> Loaded {
    scene::load(&path(name)).unwrap_or_else(|problems| panic!("{problems}"))
}

fn judge(name: &str) -> Review {
    review::judge(load(name), &|_, _| true).unwrap_or_else(|problems| panic!("{problems}"))
}

/// Roots above *watch*: code, step, step that cures it, subjects.
fn above_watch(review: &Review) -> Vec<(&str, &str, Option<&str>, Vec<&str>)> {
    (review.findings.iter())
        .filter(|f| f.root.is_none() && (f.severity > Severity::Watch || f.unknown))
        .map(|f| {
            let subjects = f.subjects.iter().map(String::as_str).collect();
            (f.code.as_str(), f.from_step.as_str(), f.cured_by.as_deref(), subjects)
        })
        .collect()
}

#[test]
fn all_scenes_lie_in_the_program() {
    let mut files: Vec<String> = std::fs::read_dir(path("x").parent().unwrap())
        .unwrap()
        .map(|e| e.unwrap().path())
        .filter(|p| p.extension().is_some_and(|e| e == "ron"))
        .map(|p| p.file_stem().unwrap().to_string_lossy().into_owned())
        .collect();
    files.sort();
    let shipped: Vec<&str> = SHIPPED.iter().map(|s| s.name).collect();
    assert_eq!(files, shipped);
    for scene in SHIPPED {
        assert_eq!(scene.text, std::fs::read_to_string(path(scene.name)).unwrap());
        assert!(scene.text.starts_with("// "), "{} says what it shows", scene.name);
        assert!(scene.text.lines().count() <= 90, "{} is longer than a page", scene.name);
    }
}

#[test]
fn every_scene_lays_out_whole_and_ends_with_nothing_in_hand() {
    for shipped in SHIPPED {
        let loaded = load(shipped.name);
        let built = assembly::build(&loaded.scene, &loaded.library, &loaded.source).unwrap();
        assert!(built.problems.is_empty(), "{}: {:?}", shipped.name, built.problems);
        assert!(built.near_misses.is_empty(), "{}: {:?}", shipped.name, built.near_misses);
        let sequence = sequence::run(&built, &loaded.source).unwrap();
        for stage in &sequence.stages {
            assert!(
                stage.hands_needed <= stage.crew,
                "{} {}: {} hands",
                shipped.name,
                stage.step,
                stage.hands_needed
            );
            assert!(stage.removed_under.is_empty() && stage.loaded_unlocked.is_empty());
            let text = &loaded.source.text[stage.written_at.clone()];
            assert!(
                ["Tower(", "Erect(", "Deck(", "Strip(", "Step(", "Pour("]
                    .iter()
                    .any(|w| text.starts_with(w)),
                "{} is said to be written at {text:?}",
                stage.step
            );
        }
        let end = sequence.stages.last().unwrap();
        assert!(!end.members.iter().any(|m| m.is_held()), "{}", shipped.name);
    }
}

#[test]
fn sound_scenes_have_nothing_above_watch_at_any_stage() {
    let sound = [
        "sound-floor",
        "starter-tower",
        "slab-edge",
        "offset-and-grade",
        "tall-lobby",
        "deep-beam",
        "spandrel-edge",
        "stripped-floor",
        "reshored-levels",
    ];
    for name in sound {
        let review = judge(name);
        assert_eq!(above_watch(&review), [], "{name}");
        let loaded = load(name);
        let built = assembly::build(&loaded.scene, &loaded.library, &loaded.source).unwrap();
        for stage in &sequence::run(&built, &loaded.source).unwrap().stages {
            assert_eq!(loose(&built, stage), Vec::<String>::new(), "{name} {}", stage.step);
        }
    }
}

#[test]
fn the_faulty_floor_names_each_planted_fault_and_nothing_else() {
    let review = judge("faulty-floor");
    let mut found = above_watch(&review);
    found.sort();
    assert_eq!(
        found,
        [
            ("SW101", "corner.M9", Some("close.rest"), vec!["main.post.L9", "main.post.M9"]),
            ("SW101", "corner.M9", Some("close.rest"), vec!["main.post.M8", "main.post.M9"]),
            ("SW101", "erect.A4", Some("erect.B4"), vec!["main.post.A4"]),
            ("SW101", "erect.F2", Some("round.F1-F2"), vec!["main.post.F1", "main.post.F2"]),
            ("SW101", "far.J9", None, vec!["main.post.J9"]),
            ("SW402", "edge.M4", None, vec!["main.ledger.L4-M4"]),
        ]
    );
    let all = &review.findings;
    assert!(all.iter().all(|f| f.root.is_none_or(|root| all[root].root.is_none())));
}

#[test]
fn the_pour_in_the_wrong_order_is_named_with_the_order_that_would_do() {
    let review = judge("pour-order");
    let ledgers: Vec<String> = (1..=4).map(|y| format!("main.ledger.C{y}-D{y}")).collect();
    let ledgers: Vec<&str> = ledgers.iter().map(String::as_str).collect();
    assert_eq!(above_watch(&review), [("SW701", "pour.edge", Some("pour.b"), ledgers)]);
    let found = review.findings.iter().find(|f| f.code == "SW701").unwrap();
    assert_eq!(found.cures[0], "place pour.a, then pour.b, then pour.edge, then pour.c");
    // The order it names is judged as a job of its own, and nothing is found above *watch*.
    let mut loaded = load("pour-order");
    for item in &mut loaded.scene.sequence {
        if let scene::model::SequenceItem::Pour(pour) = item {
            pour.strips.swap(1, 2);
        }
    }
    let review = review::judge(loaded, &|_, _| true).unwrap();
    assert_eq!(above_watch(&review), []);
}

#[test]
fn the_tall_lobby_watches_its_slender_legs() {
    let review = judge("tall-lobby");
    let watched =
        review.findings.iter().filter(|f| f.severity == Severity::Watch && f.root.is_none());
    let mut codes: Vec<&str> = watched.map(|f| f.code.as_str()).collect();
    codes.dedup();
    assert_eq!(codes, ["SW201"]);
    assert!(review.findings.iter().any(|f| f.code == "SW602"));
}

#[test]
fn the_faulty_floor_without_its_edits_is_as_sound_as_the_sound_one() {
    let mut loaded = load("faulty-floor");
    for item in &mut loaded.scene.sequence {
        if let scene::model::SequenceItem::Erect(erect) = item {
            erect.skip.clear();
            erect.release_early.clear();
        }
    }
    // The round finds nothing to brace, and the corner is closed before hands come off.
    loaded.scene.sequence.retain(|item| {
        !matches!(item, scene::model::SequenceItem::Step(step)
            if step.id.starts_with("round") || step.id.starts_with("corner"))
    });
    let review = review::judge(loaded, &|_, _| true).unwrap();
    assert_eq!(above_watch(&review), []);
}

#[test]
fn an_expansion_takes_the_place_of_its_sequence_and_gives_the_same_stages() {
    let names = [
        "faulty-floor",
        "slab-edge",
        "offset-and-grade",
        "deep-beam",
        "pour-order",
        "stripped-floor",
    ];
    for name in names {
        let loaded = load(name);
        let built = assembly::build(&loaded.scene, &loaded.library, &loaded.source).unwrap();
        let steps = sequence::expand(&loaded.scene, &built).unwrap();
        let text = &loaded.source.text;
        let at = loaded.source.range("sequence");
        let printed = format!("{}[\n{}]{}", &text[..at.start], to_ron(&steps), &text[at.end..]);
        let again = scene::read(&printed, &path(name)).unwrap_or_else(|p| panic!("{p}"));
        let rebuilt = assembly::build(&again.scene, &again.library, &again.source).unwrap();
        let (mut first, mut second) = (
            sequence::run(&built, &loaded.source).unwrap(),
            sequence::run(&rebuilt, &again.source).unwrap(),
        );
        for stage in first.stages.iter_mut().chain(&mut second.stages) {
            stage.written_at = 0..0;
        }
        assert!(first == second, "{name}");
    }
}

#[test]
fn plan_braces_hold_only_once_connected() {
    let text = SHIPPED.iter().find(|s| s.name == "starter-tower").unwrap().text;
    let text = text.replace("braced: [", "plan_braced: [\"A1-B2\"], braced: [").replace(
        "sequence: [",
        r#"sequence: [
        Step(id: "posts", do: [Set("main.post.*"), Set("main.ledger.*"), Set("main.joist.*"),
            Set("main.plan.A1-B2"), Lock("main.post.*")]),
        Step(id: "plan", do: [Connect("main.plan.A1-B2")]),
        Step(id: "away", do: [Remove("main.*")]), "#,
    );
    let loaded = scene::read(&text, Path::new("plan.ron")).unwrap_or_else(|p| panic!("{p}"));
    let built = assembly::build(&loaded.scene, &loaded.library, &loaded.source).unwrap();
    let stages = sequence::run(&built, &loaded.source).unwrap().stages;
    let plan = built.find("main.plan.A1-B2").unwrap();
    let states = |stage: usize| -> Vec<JointState> {
        built.joints_of(plan).iter().map(|&j| stages[stage].joint(j)).collect()
    };
    assert_eq!(states(0), [JointState::Open, JointState::Open]);
    assert_eq!(states(1), [JointState::Locked, JointState::Locked]);
    assert!(stages[2].members.iter().all(|&m| m == MemberState::Absent));
    assert!(stages[2].removed_under.is_empty());
    // The tower's own steps bring the plan brace with the last post.
    assert_eq!(states(6), [JointState::Locked, JointState::Locked]);
    assert_eq!(states(5), [JointState::Open, JointState::Open]);
}

#[test]
fn troubles_point_at_the_action_or_the_entry() {
    let text = SHIPPED.iter().find(|s| s.name == "starter-tower").unwrap().text;
    let text = text.replace(
        "sequence: [",
        "sequence: [\n        Step(id: \"x\", do: [\n            Set(\"main.post.A1\"),\n            \
         Set(\"main.post.A3\")]),\n        ",
    );
    let loaded = scene::read(&text, Path::new("place.ron")).unwrap_or_else(|p| panic!("{p}"));
    let built = assembly::build(&loaded.scene, &loaded.library, &loaded.source).unwrap();
    let problems = sequence::run(&built, &loaded.source).unwrap_err().0;
    let line_of = |what: &str| text.lines().position(|l| l.contains(what)).unwrap() + 1;
    assert_eq!(problems.len(), 2);
    assert_eq!((problems[0].line, problems[0].column), (line_of("main.post.A3"), 13));
    assert_eq!(problems[0].path, "sequence[0].do[1]");
    assert_eq!(problems[1].message, "the tower's post A1 stands already");
    assert_eq!((problems[1].line, problems[1].column), (line_of("Tower("), 9));
    // Without a text there is no place but the path.
    let problems = sequence::run(&built, &SceneSource::default()).unwrap_err().0;
    assert_eq!((problems[0].line, problems[0].path.as_str()), (0, "sequence[0].do[1]"));
}
