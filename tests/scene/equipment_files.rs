//! Equipment libraries and criteria packs: merged, extended, and refused with the place in them.

use super::bad_text::{changed, place};
use super::reads::{file, sound};
use standwell::equipment::PartOrigin;
use standwell::scene::{self, Problem};

fn own() -> String {
    std::fs::read_to_string(file("own.ron")).unwrap()
}

/// Problems of a scene whose own library is this text.
fn with_own(text: &str) -> Vec<Problem> {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("own.ron"), text).unwrap();
    let scene = changed("[\"sample\"]", "[\"sample\", \"own.ron\"]");
    match scene::read(&scene, &folder.path().join("scene.ron")) {
        Ok(_) => Vec::new(),
        Err(found) => {
            assert_eq!(std::fs::read_to_string(folder.path().join("own.ron")).unwrap(), text);
            found.0
        }
    }
}

#[test]
fn a_later_library_replaces_parts() {
    let text = sound().replace("[\"sample\"]", "[\"sample\", \"own.ron\"]");
    let loaded = scene::read(&text, &file("scene.ron")).unwrap_or_else(|p| panic!("{p}"));
    let library = &loaded.library;
    assert_eq!(library.posts["post-10"].capacity.rows.len(), 2);
    assert!(library.posts.contains_key("post-12"));
    let own = PartOrigin { library: "own.ron".into(), sample: false };
    assert_eq!(library.origin["post-10"], own);
    assert_eq!(library.origin["own-jack"], own);
    assert!(library.origin["post-12"].sample);
    assert!(library.sample, "some parts are still samples");
    assert!(!library.is_sample("post-10"));
    assert!(library.is_sample("no such part"), "nobody vouched for it");
    assert_eq!(loaded.files.len(), 4);
    // The other way round the sample's post counts.
    let text = sound().replace("[\"sample\"]", "[\"own.ron\", \"sample\"]");
    let loaded = scene::read(&text, &file("scene.ron")).unwrap_or_else(|p| panic!("{p}"));
    assert!(loaded.library.is_sample("post-10"));
}

#[test]
fn numbers_that_cannot_be() {
    assert_eq!(with_own(&own()), []);
    for (from, to, at, message) in [
        ("\"50 kN\"", "\"-50 kN\"", "\"-50 kN\"", "a capacity must be more than zero"),
        (
            "\"40 kN\"",
            "\"60 kN\"",
            "\"60 kN\"",
            "carries more than at the height of the row before: a taller post carries no more \
             than a shorter one",
        ),
        (
            "[(\"6 ft\", \"50 kN\"), (\"10 ft\", \"40 kN\")]",
            "[(\"10 ft\", \"50 kN\"), (\"6 ft\", \"40 kN\")]",
            "\"6 ft\", \"40 kN\"",
            "heights must rise from row to row",
        ),
        (
            "rows: [(\"6 ft\", \"50 kN\"), (\"10 ft\", \"40 kN\")]",
            "rows: []",
            "[])",
            "the capacity table is empty",
        ),
        ("\"10.68 cm2\"", "\"0 cm2\"", "\"0 cm2\"", "`area` must be more than zero"),
        (
            "\"96.68 cm4\"",
            "\"966.8 cm4\"",
            "\"966.8 cm4\"",
            "`i` is more than a section of this outside and area can have",
        ),
        (
            "reach: (\"6 ft\", \"10 ft\")",
            "reach: (\"12 ft\", \"10 ft\")",
            "(\"12 ft\"",
            "the shortest is longer than the longest",
        ),
        ("mass: \"30 kg\"", "mass: \"0 kg\"", "\"0 kg\"", "`mass` must be more than zero"),
        (
            "capacity: \"30 kN\"",
            "capacity: \"NaN kN\"",
            "\"NaN kN\"",
            "\"NaN kN\" is not a finite force",
        ),
        (
            "mass: \"30 kg\"",
            "mass: 30",
            "30,",
            "a bare number where a mass is due: write it with its unit (kg, lb), such as \"25 kg\" \
             or \"55 lb\"",
        ),
        (
            "\"own-jack\"",
            "\"post-10\"",
            "(mass: \"5 kg\"",
            "two kinds of parts are called \"post-10\"",
        ),
        (
            "basis: Some(ultimate), ",
            "",
            "(mass: \"5 kg\"",
            "states no `basis`: say whether its numbers are safe_working_load, characteristic or \
             ultimate",
        ),
        (
            "capacity: \"30 kN\"",
            "rows: [(\"2 in\", \"30 kN\"), (\"12 in\", \"40 kN\")], capacity: \"30 kN\"",
            "\"40 kN\")], capacity: \"30 kN\"",
            "carries more than at the extension of the row before: a jack drawn out further carries \
             no more",
        ),
        (
            "capacity: (basis: characteristic, rows: [(\"6 ft\", \"50 kN\"), (\"10 ft\", \"40 kN\")])",
            "capacity: (basis: characteristic, from_section: Some((by: aisc360)))",
            "Some((by: aisc360))",
            "a capacity from the section needs the part's `material`",
        ),
        (
            "capacity: (basis: characteristic,",
            "material: timber, capacity: (basis: characteristic, from_section: Some((by: adm2010)),",
            "Some((by: adm2010))",
            "this rule is for another material than the part's",
        ),
        (
            "brace_low: \"0.3 m\",",
            "pin_hole: \"60 mm\", brace_low: \"0.3 m\",",
            "\"60 mm\"",
            "the pin hole leaves less than half of the inner tube's width",
        ),
        ("basis: characteristic,", "", "( rows:", "the field `basis` is missing"),
        ("kind: u_head", "kind: v_head", "v_head", "`v_head` is not one of what fits here"),
    ] {
        assert_eq!(own().matches(from).count(), 1, "{from}");
        let text = own().replace(from, to);
        let found = with_own(&text);
        let at = place(&text, at);
        let hit = found.iter().any(|p| {
            p.file.ends_with("own.ron") && (p.line, p.column) == at && p.message == message
        });
        assert!(hit, "{message} at {at:?} is not in {found:#?}");
    }
}

#[test]
fn a_part_twice_in_one_file() {
    let text = own().replace("jacks: {", "jacks: {\n        \"own-jack\": (mass: \"1 kg\", extension: (\"2 in\", \"12 in\"), outside: \"48 mm\", plate: \"150 mm\", basis: Some(ultimate), capacity: \"90 kN\"),");
    let found = with_own(&text);
    assert_eq!(found.len(), 1, "{found:#?}");
    assert_eq!(found[0].message, "a second \"own-jack\" in this list");
    assert_eq!(found[0].line, 24);
}

#[test]
fn all_that_is_wrong_with_all_files() {
    let text = own().replace("\"50 kN\"", "\"-50 kN\"");
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("own.ron"), text).unwrap();
    let scene = sound()
        .replace("[\"sample\"]", "[\"sample\", \"own.ron\"]")
        .replace("stands_on: \"pit\"", "stands_on: \"pits\"");
    let Err(found) = scene::read(&scene, &folder.path().join("scene.ron")) else {
        panic!("reads");
    };
    let files: Vec<_> = found.0.iter().map(|p| p.file.file_name().unwrap()).collect();
    assert_eq!(files, ["scene.ron", "own.ron"]);
}

#[test]
fn a_pack_may_extend_another() {
    let text = sound().replace("criteria: \"us\"", "criteria: \"site.ron\"");
    let site = scene::read(&text, &file("scene.ron")).unwrap_or_else(|p| panic!("{p}"));
    let us = scene::read(&sound(), &file("scene.ron")).unwrap_or_else(|p| panic!("{p}"));
    assert_eq!(site.pack.critical_factor.value, 4.0);
    assert!(site.pack.critical_factor.source.starts_with("Site rule 3"));
    assert_eq!(site.pack.name, "site");
    assert_eq!(site.pack.region, us.pack.region);
    assert_eq!(site.pack.friction, us.pack.friction);
    let mut words = us.pack.aliases.clone();
    words.insert("ledger".into(), "stringer".into());
    assert_eq!(site.pack.aliases, words);
    assert_eq!(site.files.len(), 4);
}

/// Problems of a scene whose pack is this text.
fn with_pack(text: &str) -> Vec<Problem> {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("site.ron"), text).unwrap();
    let scene = changed("criteria: \"us\"", "criteria: \"site.ron\"");
    scene::read(&scene, &folder.path().join("scene.ron")).err().map(|p| p.0).unwrap_or_default()
}

#[test]
fn packs_that_cannot_be() {
    let site = std::fs::read_to_string(file("site.ron")).unwrap();
    assert_eq!(with_pack(&site), []);
    for (from, to, at, message) in [
        ("value: 4.0", "value: 0.5", "0.5", "must be at least 1: below it the stage falls"),
        ("value: 4.0", "value: -1.0", "-1.0", "must be more than zero"),
        ("value: 4.0", "value: inf", "inf", "must be more than zero"),
        (
            "extends: \"us\"",
            "extends: \"site.ron\"",
            "\"site.ron\"",
            "the pack \"site.ron\" would extend itself",
        ),
        (
            "critical_factor",
            "critical_facto",
            "critical_facto",
            "there is no field `critical_facto` here",
        ),
        ("seen: practice", "", "(value", "the field `seen` is missing"),
        (
            "format: 1",
            "format: 9",
            "9,",
            "written by a newer version of this program: format 9, and this version reads up to 1",
        ),
    ] {
        let text = site.replace(from, to);
        let found = with_pack(&text);
        assert_eq!(found.len(), 1, "{found:#?}");
        assert_eq!(found[0].message, message);
        if !message.contains("newer") {
            assert!(found[0].file.ends_with("site.ron"), "{}", found[0]);
        }
        assert_eq!((found[0].line, found[0].column), place(&text, at), "{}", found[0]);
    }
    let text = site.replace("extends: \"us\"", "extends: \"usa\"");
    let found = with_pack(&text);
    assert_eq!(found.len(), 1);
    assert_eq!(found[0].help.as_deref(), Some("did you mean \"us\"?"));
    assert_eq!((found[0].line, found[0].column), place(&text, "\"usa\""));
    // Without a base all rules are due.
    let text = site.replace("extends: \"us\",", "");
    let found = with_pack(&text);
    assert!(found.len() > 10, "{found:#?}");
    assert!(found.iter().all(|p| p.message.ends_with("is missing")), "{found:#?}");
}
