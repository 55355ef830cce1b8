//! Photos that a record names: looked for beside it, each told once with where it is named.

use standwell::record::model::{Record, Walked};
use standwell::record::{MissingPhoto, missing_photos, photo_path};

fn walked(station: &str, photo: &str) -> Walked {
    Walked {
        station: station.to_owned(),
        by: "W. Sample".to_owned(),
        on: "2026-03-09".parse().unwrap(),
        in_order: true,
        note: String::new(),
        photo: photo.to_owned(),
    }
}

#[test]
fn a_photo_that_is_not_there_is_told_once() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("job.asbuilt.ron");
    std::fs::create_dir(folder.path().join("pictures")).unwrap();
    std::fs::write(folder.path().join("sill.jpg"), "x").unwrap();
    let mut record = Record::default();
    for (station, photo) in [
        ("hold:ground", "sill.jpg"),
        ("hold:bracing", "brace.jpg"),
        ("eye:locks", "brace.jpg"),
        // A folder is no photo, and nothing typed is none that is missing.
        ("eye:pins", "pictures"),
        ("eye:feet", " "),
    ] {
        record.walked.push(walked(station, photo));
    }
    let words: Vec<String> =
        missing_photos(&record, &path).iter().map(MissingPhoto::words).collect();
    assert_eq!(
        words,
        [
            "photo brace.jpg is not there (station hold:bracing, W. Sample on 2026-03-09)",
            "photo pictures is not there (station eye:pins, W. Sample on 2026-03-09)",
        ]
    );
    std::fs::write(photo_path(&path, "brace.jpg"), "x").unwrap();
    assert_eq!(missing_photos(&record, &path).len(), 1);
}
