//! Files that cannot be used: not there, too long, not text. What is on the disk stays.

use super::bad_text::{changed, one, problems};
use super::reads::{file, sound};
use standwell::scene::{self, Problem};
use std::io::Write;
use std::path::Path;

fn load(path: &Path) -> Vec<Problem> {
    scene::load(path).err().map(|p| p.0).unwrap_or_default()
}

#[test]
fn files_that_are_not_files() {
    let found = load(Path::new("nowhere/at/all.ron"));
    assert_eq!(found.len(), 1);
    assert_eq!(found[0].message, "there is no such file");
    assert_eq!(found[0].to_string(), "nowhere/at/all.ron: there is no such file");
    let found = load(Path::new(env!("CARGO_MANIFEST_DIR")));
    assert_eq!(found[0].message, "this is not a file");
}

/// A sparse file: its 200 MB are never read.
#[test]
fn a_file_of_200_mb_is_refused_at_once() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("huge.ron");
    let huge = std::fs::File::create(&path).unwrap();
    huge.set_len(200 * 1024 * 1024).unwrap();
    let begun = std::time::Instant::now();
    let found = load(&path);
    assert!(begun.elapsed().as_secs() < 5, "took {:?}", begun.elapsed());
    assert_eq!(found.len(), 1);
    let message = "200 MB long; files up to 16 MB are read, and a floor of 100 bays takes a page";
    assert_eq!(found[0].message, message);
    assert_eq!(std::fs::metadata(&path).unwrap().len(), 200 * 1024 * 1024);
}

#[test]
fn a_huge_equipment_file_is_refused_where_it_is_named() {
    let folder = tempfile::tempdir().unwrap();
    let huge = std::fs::File::create(folder.path().join("huge.ron")).unwrap();
    huge.set_len(200 * 1024 * 1024).unwrap();
    let text = changed("[\"sample\"]", "[\"huge.ron\"]");
    let Err(found) = scene::read(&text, &folder.path().join("scene.ron")) else {
        panic!("reads");
    };
    assert_eq!(found.0.len(), 1, "{found}");
    assert_eq!((found.0[0].line, found.0[0].column), (6, 17));
    assert!(found.0[0].message.contains("200 MB long"), "{found}");
}

#[test]
fn bytes_that_are_not_text() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("bytes.ron");
    for (bytes, line, column, message) in [
        (&b"(\n  a: \0)"[..], 2, 6, "holds a NUL byte: this is not a text file"),
        (&b"(\n  a: \"\xff\")"[..], 2, 7, "is not UTF-8 text from here on"),
        (
            &b"\xef\xbb\xbf(format: 1)"[..],
            1,
            1,
            "starts with a byte order mark: save it as UTF-8 without one",
        ),
    ] {
        std::fs::File::create(&path).unwrap().write_all(bytes).unwrap();
        let found = load(&path);
        assert_eq!(found.len(), 1);
        assert_eq!(found[0].message, message);
        assert_eq!((found[0].line, found[0].column), (line, column));
    }
    let Err(found) = scene::read("(a: \"\0\")", &path) else { panic!("reads") };
    assert_eq!((found.0[0].line, found.0[0].column), (1, 6));
}

#[test]
fn equipment_and_criteria_that_are_not_there() {
    let text = changed("[\"sample\"]", "[\"smaple\"]");
    let shown = file("smaple");
    let message = format!(
        "the equipment library \"smaple\" cannot be used: {}: there is no such file",
        shown.display()
    );
    one(&text, "\"smaple\"", &message, Some("did you mean \"sample\"?"));
    let text = changed("[\"sample\"]", "[\"sample\", \"our-own-stock.ron\"]");
    let message = format!(
        "the equipment library \"our-own-stock.ron\" cannot be used: {}: there is no such file",
        file("our-own-stock.ron").display()
    );
    let help = "these ship with the program: sample; any other name is a file beside the scene, \
                such as \"own.ron\"";
    one(&text, "\"our-own-stock.ron\"", &message, Some(help));
    let text = changed("criteria: \"us\"", "criteria: \"uss\"");
    let found = problems(&text);
    assert_eq!(found.len(), 1);
    assert_eq!(found[0].help.as_deref(), Some("did you mean \"us\"?"));
    assert_eq!((found[0].line, found[0].column), (7, 15));
    let text = changed("[\"sample\"]", "[]");
    let help = Some("write `equipment: [\"sample\"]` to begin with");
    one(&text, "[],\n    criteria", "no equipment library is named", help);
    let text = changed("[\"sample\"]", "[\"sample\", \"sample\"]");
    one(&text, "\"sample\"],", "\"sample\" is listed twice", None);
}

/// Reading writes nothing: a file that cannot be used is what it was, and nothing lies beside it.
#[test]
fn files_stay_as_they_were() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("scene.ron");
    for text in [sound(), sound().replace("head: \"9 ft\"", "head: 9"), "(".to_owned()] {
        std::fs::write(&path, &text).unwrap();
        let _ = scene::load(&path);
        assert_eq!(std::fs::read_to_string(&path).unwrap(), text);
        assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 1);
    }
}
