//! The as-built record: read, refused with its place, added to without touching what is there.

mod photos;

use standwell::record::model::{Release, Walked};
use standwell::record::{self, Date, Entry, add, add_to_file};
use std::path::Path;

fn assembly() -> standwell::assembly::Assembly {
    let text = standwell::cli::shipped::find("starter-tower").unwrap().text;
    let loaded = standwell::scene::read(text, Path::new("starter-tower.ron")).unwrap();
    standwell::assembly::build(&loaded.scene, &loaded.library, &loaded.source).unwrap()
}

fn problems(text: &str) -> String {
    match record::read(text, Path::new("x.asbuilt.ron"), &assembly()) {
        Ok(_) => String::new(),
        Err(problems) => problems.to_string(),
    }
}

#[test]
fn days_are_those_of_the_calendar() {
    for day in ["2026-03-09", "2024-02-29", "2000-02-29", "1999-12-31"] {
        assert_eq!(day.parse::<Date>().unwrap().to_string(), day);
    }
    for no in [
        "2026-3-9",
        "2026-13-01",
        "2026-00-10",
        "2026-04-31",
        "2023-02-29",
        "1900-02-29",
        "26-03-09",
        "2026-03-09T10",
        "",
        "２026-03-09",
    ] {
        assert!(no.parse::<Date>().is_err(), "{no}");
    }
    // Days since 1970-01-01 of known dates: `date -d 2000-03-01 +%s` / 86400 and the like.
    for (days, text) in [
        (0, "1970-01-01"),
        (11_017, "2000-03-01"),
        (11_016, "2000-02-29"),
        (20_521, "2026-03-09"),
        (59, "1970-03-01"),
    ] {
        assert_eq!(Date::of_days(days).unwrap().to_string(), text);
    }
    assert_eq!(Date::of_days(u64::MAX), None);
}

#[test]
fn what_is_wrong_is_said_with_its_place() {
    let inspection = |parts: &str, by: &str, on: &str| {
        format!(
            "(\n    format: 1,\n    inspections: [\n        (parts: [\"{parts}\"], by: \"{by}\", on: \"{on}\", drawing: \"A\", sound: true),\n    ],\n)"
        )
    };
    assert_eq!(problems(&inspection("main.post.A1", "N", "2026-03-09")), "");
    let said = problems(&inspection("main.post.A9", "N", "2026-03-09"));
    assert!(said.starts_with("x.asbuilt.ron:4:18: there is no member \"main.post.A9\""), "{said}");
    let said = problems(&inspection("main.post.A1", " ", "2026-03-09"));
    assert!(said.contains(":4:") && said.contains("nobody is named"), "{said}");
    let said = problems(&inspection("main.post.A1", "N", "9 March"));
    assert!(said.contains(":4:") && said.contains("is not a day"), "{said}");
    let said = problems(
        "(format: 1, releases: [(point: \"bracin\", by: \"N\", on: \"2026-03-09\", evidence: [\"x\"])])",
    );
    assert!(
        said.contains("there is no hold point \"bracin\"")
            && said.contains("did you mean \"bracing\"?"),
        "{said}"
    );
    let said = problems(
        "(format: 1, releases: [(point: \"bracing\", by: \"N\", on: \"2026-03-09\", evidence: [\" \"])])",
    );
    assert!(said.contains("a release without evidence"), "{said}");
    let said =
        problems("(format: 1, hold_points: [(id: \"bracing\", title: \"t\", before: load)])");
    assert!(said.contains("a second hold point \"bracing\""), "{said}");
    let said = problems("(format: 1, inspectons: [])");
    assert!(said.contains("inspectons") && said.contains("inspections"), "{said}");
    assert!(problems("(format: 7)").contains("newer version"));
    assert!(problems("(drawing: None)").contains("format number is missing"));
    assert!(!problems("").is_empty());
}

fn walked(station: &str) -> Entry {
    Entry::Walked(Walked {
        station: station.to_owned(),
        by: "N. \"Sample\"".to_owned(),
        on: "2026-03-09".parse().unwrap(),
        in_order: true,
        note: "a, b\nand c".to_owned(),
        photo: String::new(),
    })
}

#[test]
fn adding_an_entry_leaves_every_other_byte() {
    let text = "// mine\n(\n    format: 1, // one\n    walked: [\n        // first\n    ],\n    /* tail */\n)\n";
    let once = add(text, &walked("hold:ground")).unwrap();
    let twice = add(&once, &walked("SW101@x:main.post.A1")).unwrap();
    for part in [
        "// mine\n(\n    format: 1, // one\n    walked: [\n        // first\n",
        "    ],\n    /* tail */\n)\n",
    ] {
        assert!(twice.contains(part), "{part} in\n{twice}");
    }
    let read = record::read(&twice, Path::new("x.ron"), &assembly())
        .unwrap_or_else(|p| panic!("{p}\n{twice}"));
    let stations: Vec<&str> = read.record.walked.iter().map(|w| w.station.as_str()).collect();
    assert_eq!(stations, ["hold:ground", "SW101@x:main.post.A1"]);
    assert_eq!(read.record.walked[0].note, "a, b\nand c");
    assert_eq!(read.record.walked[0].by, "N. \"Sample\"");
    // A list that is not there is made.
    let release = Entry::Release(Release {
        point: "bracing".to_owned(),
        by: "N".to_owned(),
        on: "2026-03-09".parse().unwrap(),
        evidence: vec!["photo".to_owned()],
        withdrawn: false,
    });
    let text = add(&twice, &release).unwrap();
    let read = record::read(&text, Path::new("x.ron"), &assembly())
        .unwrap_or_else(|p| panic!("{p}\n{text}"));
    assert_eq!(read.record.releases.len(), 1);
    assert!(add("(format", &release).is_err());
}

#[test]
fn a_file_changed_by_somebody_else_is_left_alone() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("x.asbuilt.ron");
    let text = add_to_file(&path, None, &walked("a")).unwrap();
    assert_eq!(std::fs::read_to_string(&path).unwrap(), text);
    std::fs::write(&path, format!("{text}// theirs\n")).unwrap();
    assert!(add_to_file(&path, Some(&text), &walked("b")).is_err());
    assert!(add_to_file(&path, None, &walked("b")).is_err(), "a file that came meanwhile");
    assert!(std::fs::read_to_string(&path).unwrap().ends_with("// theirs\n"));
    let now = std::fs::read_to_string(&path).unwrap();
    let then = add_to_file(&path, Some(&now), &walked("b")).unwrap();
    assert!(then.ends_with("// theirs\n"));
    let left: Vec<_> = std::fs::read_dir(folder.path()).unwrap().collect();
    assert_eq!(left.len(), 1, "nothing half-written lies beside");
}

#[test]
fn a_record_to_begin_with_reads_and_says_nothing_in_anybodys_name() {
    let text = standwell::cli::shipped::find("starter-tower").unwrap().text;
    let loaded = standwell::scene::read(text, Path::new("t.ron")).unwrap();
    let assembly =
        standwell::assembly::build(&loaded.scene, &loaded.library, &loaded.source).unwrap();
    let sequence = standwell::sequence::run(&assembly, &loaded.source).unwrap();
    let text = record::start(&assembly, sequence.stages.last().unwrap());
    let read = record::read(&text, Path::new("x.ron"), &assembly)
        .unwrap_or_else(|p| panic!("{p}\n{text}"));
    assert_eq!(read.record, record::Record::default());
    assert!(text.contains("4 × post"), "{text}");
}
