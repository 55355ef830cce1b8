//! The README's walk from an empty file to a judged floor, word for word.

use super::run::run_in;
use std::path::Path;

/// Blocks of this language, in order.
fn blocks<'a>(text: &'a str, language: &str) -> Vec<&'a str> {
    let fence = format!("```{language}\n");
    text.split(fence.as_str()).skip(1).filter_map(|rest| rest.split("```").next()).collect()
}

#[test]
fn the_walk_in_the_readme_works() {
    let readme =
        std::fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("README.md")).unwrap();
    let walk = readme.split("## A five-minute walk").nth(1).expect("the walk");
    let walk = walk.split("\n## ").next().unwrap();
    let rons = blocks(walk, "ron");
    let [tower, floor, mended] = rons[..] else { panic!("three pieces of RON, not {rons:?}") };
    let shells: Vec<&str> = blocks(walk, "sh").into_iter().flat_map(str::lines).collect();
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("my-floor.ron");
    let check = || {
        let ran = run_in(folder.path(), &["check", "my-floor.ron"]);
        (ran.status, ran.stdout, ran.stderr)
    };
    assert!(shells.contains(&"cargo run -- check my-floor.ron"), "{shells:?}");

    std::fs::write(&file, "").unwrap();
    let (status, out, said) = check();
    assert_eq!((status, out.as_str()), (2, ""));
    let quoted = blocks(walk, "text")[0].trim();
    assert_eq!(said.trim(), quoted, "what the README says it says");

    std::fs::write(&file, tower).unwrap();
    let (status, out, said) = check();
    assert_eq!(status, 0, "{out}{said}");

    // The second piece takes the place of the bays, of the bracing and of the sequence.
    let [lines, sequence] = floor.split("sequence:").collect::<Vec<_>>()[..] else {
        panic!("lines, then the sequence: {floor}")
    };
    let mut text = tower.to_owned();
    for (start, with) in ["x:", "y:", "braced:"].into_iter().zip(lines.lines()) {
        let old: Vec<&str> =
            text.lines().filter(|line| line.trim_start().starts_with(start)).collect();
        assert_eq!(old.len(), 1, "one line starts with {start}");
        text = text.replace(old[0], with);
    }
    let (before, _) = text.split_once("sequence:").unwrap();
    let text = format!("{before}sequence:{}\n)", sequence.trim_end());
    std::fs::write(&file, &text).unwrap();
    let (status, out, said) = check();
    assert_eq!(status, 1, "{out}{said}");
    for part in ["■ stop  SW101 post-not-held", "erect.C2", "line C"] {
        assert!(out.contains(part), "{part} in\n{out}");
    }
    assert_eq!(out.matches("\n■ stop").count(), 1, "said once:\n{out}");

    let (before, rest) = text.split_once("        Erect(").unwrap();
    let (_, after) = rest.split_once("]),\n").unwrap();
    std::fs::write(&file, format!("{before}{mended}{after}")).unwrap();
    let (status, out, said) = check();
    assert_eq!(status, 0, "{out}{said}");
}
