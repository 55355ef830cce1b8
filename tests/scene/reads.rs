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
    for (equipment, criteria) in [("sample", "us"), ("sample", "uk-eu")] {
        let text = sound()
            .replace("\"sample\"", &format!("\"{equipment}\""))
            .replace("criteria: \"us\"", &format!("criteria: \"{criteria}\""));
        scene::read(&text, &file("other.ron")).unwrap_or_else(|p| panic!("{p}"));
    }
}
