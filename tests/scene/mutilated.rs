//! Mutilated scenes: whatever comes in, reading gives a scene or problems, and returns.

use super::reads::{file, sound};
use proptest::prelude::*;
use standwell::equipment::Library;
use standwell::scene::model::Scene;
use standwell::scene::tree::parse;
use standwell::scene::typed::{diagnose, options};
use standwell::scene::{self, equip::Shipped};

/// A place of a text as a share of it, what goes, and what comes instead.
type Cut = (f64, usize, String);

fn cuts() -> impl Strategy<Value = Vec<Cut>> {
    let with = prop_oneof![
        Just(String::new()),
        "[\\[\\](){},:\"'/*#]{1,3}",
        "-?[0-9]{1,20}(\\.[0-9]+)?(e[0-9]{1,4})?",
        "\"-?[0-9]{1,5} (ft|in|m|kN|psf|kg)\"",
        "(NaN|inf|None|Some\\(1\\)|\\(\\)|\\[\\]|true|x|Set\\(\"\\*\"\\))",
        ".{0,5}",
    ];
    prop::collection::vec((0.0..1.0, 0usize..12, with), 1..4)
}

fn cut(text: &str, cuts: &[Cut]) -> String {
    let mut text = text.to_owned();
    for (at, len, with) in cuts {
        let boundary = |mut i: usize| {
            while !text.is_char_boundary(i) {
                i -= 1;
            }
            i
        };
        let start = boundary((text.len() as f64 * at) as usize);
        let end = boundary((start + len).min(text.len())).max(start);
        text.replace_range(start..end, with);
    }
    text
}

/// Whole tokens swapped, doubled or left out, so that more of the text stays RON.
fn shuffled(text: &str, picks: &[(f64, f64, u8)]) -> String {
    let tree = parse(text).unwrap();
    let mut tokens: Vec<&str> = tree.tokens.iter().map(|t| &text[t.range.clone()]).collect();
    for &(a, b, how) in picks {
        let pick = |share: f64| ((tokens.len() - 1) as f64 * share) as usize;
        let (a, b) = (pick(a), pick(b));
        match how {
            0 => tokens.swap(a, b),
            1 => tokens[a] = tokens[b],
            2 => tokens[a] = "",
            _ => tokens.insert(a, tokens[b]),
        }
    }
    tokens.concat()
}

fn returns(text: &str) -> Result<(), TestCaseError> {
    if let Err(problems) = scene::read(text, &file("mutilated.ron")) {
        prop_assert!(!problems.0.is_empty(), "refused without a word: {}", text);
        let lines = text.split('\n').count();
        for problem in &problems.0 {
            prop_assert!(!problem.message.is_empty());
            let place = problem.line <= lines && (problem.line == 0 || problem.column > 0);
            prop_assert!(place, "{problem} in a text of {} lines", lines);
        }
    }
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, ..ProptestConfig::default() })]

    #[test]
    fn cut_scenes_return(cuts in cuts()) {
        returns(&cut(&sound(), &cuts))?;
    }

    #[test]
    fn shuffled_scenes_return(
        picks in prop::collection::vec((0.0..1.0, 0.0..1.0, 0u8..4), 1..4)
    ) {
        returns(&shuffled(&sound(), &picks))?;
    }

    /// What ron reads, the reader that looks for misfits reads too, and as the same scene.
    #[test]
    fn both_readers_agree(
        picks in prop::collection::vec((0.0..1.0, 0.0..1.0, 0u8..4), 1..4),
        cuts in cuts(),
    ) {
        for text in [shuffled(&sound(), &picks), cut(&sound(), &cuts)] {
            let Ok(by_ron) = options().from_str::<Scene>(&text) else { continue };
            let tree = parse(&text).map_err(|e| TestCaseError::fail(format!("{e}: {text}")))?;
            let by_tree = diagnose::<Scene>(&tree, &text);
            prop_assert_eq!(&by_tree.misfits, &[]);
            // As text, since NaN is not equal to itself.
            prop_assert_eq!(format!("{:?}", by_tree.value.unwrap()), format!("{by_ron:?}"));
        }
    }

    /// A scene that was read is written so that it reads back equal.
    #[test]
    fn changed_scenes_are_written_and_read_back(
        picks in prop::collection::vec((0.0..1.0, 0.0..1.0, 0u8..4), 1..4)
    ) {
        let Ok(scene) = options().from_str::<Scene>(&shuffled(&sound(), &picks)) else {
            return Ok(());
        };
        let text = scene::write(&scene).unwrap();
        let back = options().from_str::<Scene>(&text);
        let back = back.map_err(|e| TestCaseError::fail(format!("{e}: {text}")))?;
        prop_assert_eq!(format!("{back:?}"), format!("{scene:?}"));
    }

    /// Mutilated equipment and criteria return too.
    #[test]
    fn cut_data_files_return(cuts in cuts(), criteria in any::<bool>()) {
        let folder = tempfile::tempdir().unwrap();
        let (kind, name, named) = if criteria {
            (Shipped::Criteria, "us", "criteria: \"us\"")
        } else {
            (Shipped::Equipment, "sample", "equipment: [\"sample\"]")
        };
        let text = cut(kind.text(name).unwrap(), &cuts);
        std::fs::write(folder.path().join("own.ron"), text).unwrap();
        let scene = sound().replace(named, &named.replace(name, "own.ron"));
        if let Err(problems) = scene::read(&scene, &folder.path().join("scene.ron")) {
            prop_assert!(!problems.0.is_empty());
        }
    }

    #[test]
    fn any_text_returns(text in "\\PC{0,200}") {
        returns(&text)?;
    }
}

#[test]
fn both_readers_agree_on_what_ships() {
    let text = Shipped::Equipment.text("sample").unwrap();
    let by_tree = diagnose::<Library>(&parse(text).unwrap(), text);
    assert_eq!(by_tree.value.unwrap(), options().from_str::<Library>(text).unwrap());
    for name in ["us", "uk", "eu"] {
        let text = Shipped::Criteria.text(name).unwrap();
        let by_tree = diagnose::<standwell::criteria::Pack>(&parse(text).unwrap(), text);
        assert_eq!(by_tree.value.unwrap(), options().from_str(text).unwrap());
    }
}

#[test]
fn deep_brackets_return() {
    for text in ["(".repeat(100_000), "[".repeat(100_000), "Some(".repeat(100_000)] {
        let Err(problems) = scene::read(&text, &file("deep.ron")) else { panic!("reads") };
        assert!(problems.0[0].message.contains("nested more than 100 deep"), "{problems}");
    }
    let braces = format!("{}1{}", "(a:".repeat(90), ")".repeat(90));
    assert!(scene::read(&braces, &file("deep.ron")).is_err());
}

/// As long as a file may be, and full of values: refused soon, and without eating the memory.
#[test]
fn a_full_file_of_noughts_returns() {
    let text = format!("[{}]", "0,".repeat(7_000_000));
    let begun = std::time::Instant::now();
    let Err(problems) = scene::read(&text, &file("full.ron")) else { panic!("reads") };
    assert_eq!(problems.0[0].message, "more values than one file may hold");
    println!("a file of {} MB was refused in {:?}", text.len() >> 20, begun.elapsed());
}

/// Very many problems are cut short.
#[test]
fn many_problems_are_cut_short() {
    let bad: String = (0..1000).map(|i| format!("(name: \"m{i}\", role: post, part: \"none\", from: At(\"0 m\", \"0 m\", \"0 m\")),\n")).collect();
    let text = format!(
        "(format: 1, title: \"x\", equipment: [\"sample\"], criteria: \"us\", members: [\n{bad}])"
    );
    let Err(problems) = scene::read(&text, &file("many.ron")) else { panic!("reads") };
    assert_eq!(problems.0.len(), 201);
    assert_eq!(problems.0[200].message, "and 1800 more");
}

/// A long scene: 20 000 single members, well formed, and with one field wrong in each of many.
#[test]
fn long_scenes_are_read() {
    let member = |i: usize, level: &str| {
        format!(
            "(name: \"m{i}\", role: prop, part: \"post-10\", from: At(\"{i} m\", \"0 m\", {level}), to: At(\"{i} m\", \"0 m\", \"9 ft\")),\n"
        )
    };
    let head = "(format: 1, title: \"x\", equipment: [\"sample\"], criteria: \"us\", members: [\n";
    for (level, good) in [("\"0 m\"", true), ("0", false)] {
        let members: String = (0..20_000).map(|i| member(i, level)).collect();
        let text = format!("{head}{members}])");
        let begun = std::time::Instant::now();
        let read = scene::read(&text, &file("long.ron"));
        println!("{} kB, good {good}: {:?}", text.len() >> 10, begun.elapsed());
        assert_eq!(read.is_ok(), good);
    }
}
