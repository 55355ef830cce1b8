//! Files that read.

use std::path::Path;

pub fn file(name: &str) -> std::path::PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/scene/files").join(name)
}

#[test]
fn a_sound_scene_reads() {
    let loaded = standwell::scene::load(&file("sound.ron")).unwrap_or_else(|p| panic!("{p}"));
    assert_eq!(loaded.scene.title, "Small floor");
    assert_eq!(loaded.files.len(), 3);
    assert!(loaded.library.is_sample("post-10"));
}
