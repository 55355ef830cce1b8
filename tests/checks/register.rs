//! What every hazard in the register must have.

use standwell::checks::{REGISTER, explain, find, nearest};
use standwell::review::rank;
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

const HEADINGS: [&str; 5] =
    ["## What it checks", "## Why it is dangerous", "## Example", "## Limits", "## Source"];

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

#[test]
fn every_doc_comment_has_the_five_headings_in_order_each_with_text() {
    for hazard in REGISTER {
        let mut rest = hazard.doc;
        for heading in HEADINGS {
            let at = rest.find(heading);
            let at = at.unwrap_or_else(|| panic!("{}: no {heading:?} in its place", hazard.name));
            rest = &rest[at + heading.len()..];
            let text = rest.split("##").next().unwrap_or("");
            assert!(text.trim().len() > 40, "{}: nothing to read under {heading}", hazard.name);
        }
        assert_eq!(hazard.doc.matches("## ").count(), HEADINGS.len(), "{}", hazard.name);
    }
}

#[test]
fn every_hazard_names_a_source() {
    for hazard in REGISTER {
        assert!(!hazard.sources.is_empty(), "{} has no source", hazard.name);
        for source in hazard.sources {
            assert!(!source.title.is_empty() && !source.locator.is_empty(), "{}", hazard.name);
        }
    }
}

#[test]
fn codes_are_unique_and_ascend() {
    let codes: Vec<&str> = REGISTER.iter().map(|h| h.code).collect();
    assert!(codes.is_sorted_by(|a, b| a < b), "{codes:?}");
    for code in codes {
        let digits = code.strip_prefix("SW").unwrap_or("");
        assert!(digits.len() == 3 && digits.chars().all(|c| c.is_ascii_digit()), "{code}");
    }
}

#[test]
fn names_are_unique_and_name_their_file() {
    let names: BTreeSet<&str> = REGISTER.iter().map(|h| h.name).collect();
    assert_eq!(names.len(), REGISTER.len());
    for hazard in REGISTER {
        let stem = Path::new(hazard.file).file_stem().unwrap().to_str().unwrap();
        assert_eq!(stem.replace('_', "-"), hazard.name);
        assert!(hazard.summary.len() < 100 && !hazard.summary.ends_with('.'), "{}", hazard.name);
    }
}

#[test]
fn every_file_beside_the_register_is_in_it() {
    let registered: BTreeSet<PathBuf> = REGISTER.iter().map(|h| root().join(h.file)).collect();
    let mut on_disk = BTreeSet::new();
    for entry in std::fs::read_dir(root().join("src/checks")).unwrap() {
        let path = entry.unwrap().path();
        if path.extension().is_some_and(|e| e == "rs") && path.file_name().unwrap() != "mod.rs" {
            on_disk.insert(path);
        }
    }
    assert_eq!(registered, on_disk);
}

#[test]
fn what_a_hazard_may_follow_is_in_the_register_and_never_goes_round() {
    for (index, hazard) in REGISTER.iter().enumerate() {
        for code in hazard.follows {
            let before = REGISTER.iter().position(|h| h.code == *code);
            let before = before.unwrap_or_else(|| panic!("{} follows {code}?", hazard.code));
            // `rank` would not end if it went round.
            assert!(rank(before) < rank(index), "{} follows {code}", hazard.code);
        }
    }
}

#[test]
fn explaining_takes_code_or_name_and_gives_the_doc_comment() {
    let by_code = explain("sw101").unwrap();
    assert_eq!(Some(&by_code), explain("Post-Not-Held").as_ref());
    for heading in HEADINGS {
        assert!(by_code.contains(heading), "{by_code}");
    }
    assert!(by_code.starts_with("# SW101 post-not-held\n"), "{by_code}");
    assert!(!by_code.lines().any(|l| l.starts_with(' ')), "{by_code}");
    assert!(explain("SW999").is_none());
}

#[test]
fn what_is_nearly_a_name_gets_a_suggestion() {
    assert_eq!(nearest("post-not-hold"), Some("post-not-held"));
    assert_eq!(nearest("clip-mising"), Some("clip-missing"));
    assert_eq!(nearest("qqqq"), None);
    assert!(find("clip-missing").is_some());
}
