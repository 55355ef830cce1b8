//! Files that read.

use standwell::scene;
use std::path::{Path, PathBuf};

/// A file of these tests.
pub fn file(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/scene/files").join(name)
}

/// The text of the sound scene.
pub fn sound() -> String {
    std::fs::read_to_string(file("sound.ron")).unwrap()
}

#[test]
fn a_sound_scene_reads() {
    let loaded = scene::load(&file("sound.ron")).unwrap_or_else(|p| panic!("{p}"));
    assert_eq!(loaded.scene.title, "Small floor");
    assert_eq!(loaded.scene.blocks[0].brace.as_deref(), Some("brace"));
    let read: Vec<String> = loaded.files.iter().map(|f| f.path.display().to_string()).collect();
    assert!(read[0].ends_with("sound.ron"));
    assert_eq!(read[1..], ["shipped:equipment/sample.ron", "shipped:criteria/us.ron"]);
    assert!(loaded.library.is_sample("post-10"));
}

/// SHA-256 of "abc", FIPS 180-2 appendix B.1.
#[test]
fn stamps_are_sha_256() {
    let stamp = scene::FileStamp::new("x", b"abc");
    assert_eq!(stamp.sha256, "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
}

#[test]
fn what_ships_reads() {
    for (equipment, criteria) in
        [("sample", "us"), ("sample", "uk"), ("sample", "eu"), ("sample", "uk-eu")]
    {
        let text = sound()
            .replace("\"sample\"", &format!("\"{equipment}\""))
            .replace("criteria: \"us\"", &format!("criteria: \"{criteria}\""));
        scene::read(&text, &file("other.ron")).unwrap_or_else(|p| panic!("{p}"));
    }
}

/// `Tower((…))` and `Tower(…)` mean the same, in one file too, and problems have their place in
/// both.
#[test]
fn a_choice_with_one_bracket_or_two() {
    let two = "Tower((id: \"tower\", block: \"main\", at: \"A1-B2\"))";
    let one = "Tower(id: \"tower\", block: \"main\", at: \"A1-B2\")";
    let text = sound();
    assert!(text.contains(two));
    let with_two = scene::read(&text, &file("x.ron")).unwrap_or_else(|p| panic!("{p}"));
    let with_one = scene::read(&text.replace(two, one), &file("x.ron"));
    let with_one = with_one.unwrap_or_else(|p| panic!("{p}"));
    assert_eq!(with_one.scene, with_two.scene);
    assert_eq!(with_one.source.range("sequence[0].at").len(), "\"A1-B2\"".len());
    let wrong = text.replace(two, &one.replace("at:", "att:"));
    let Err(problems) = scene::read(&wrong, &file("x.ron")) else { panic!("reads") };
    let said: Vec<&str> = problems.0.iter().map(|p| p.message.as_str()).collect();
    assert_eq!(said, ["the field `at` is missing", "there is no field `att` here"]);
}
