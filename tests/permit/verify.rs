//! What voids an issued permit.

use super::fixture::Job;
use sha2::{Digest, Sha256};
use standwell::permit::{Permit, Void, seal, verify};
use standwell::scene::FileStamp;

fn voids(job: &Job, permit: &Permit) -> Vec<Void> {
    verify(permit, &job.path("job.ron"), Some("2026-03-11".parse().unwrap()), &|_, _| true)
}

#[test]
fn it_holds_as_long_as_nothing_changes_and_through_json() {
    let job = Job::new();
    let permit = job.issued();
    let json = serde_json::to_string_pretty(&permit).unwrap();
    let again: Permit = serde_json::from_str(&json).unwrap();
    assert_eq!(permit, again);
    assert_eq!(voids(&job, &again), []);
}

/// The messages of one block and of none: FIPS 180-4 examples, as NIST publishes them (from memory).
#[test]
fn the_hash_is_sha_256() {
    for (text, expected) in [
        ("", "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855"),
        ("abc", "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"),
        (
            "abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq",
            "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1",
        ),
    ] {
        assert_eq!(FileStamp::new("", text.as_bytes()).sha256, expected);
    }
}

#[test]
fn it_is_bound_to_every_file_by_its_bytes() {
    let job = Job::new();
    let permit = job.issued();
    let names: Vec<&str> = permit.files.iter().map(|f| f.path.as_str()).collect();
    let due = ["job.ron", "own.ron", "site.ron", "shipped:criteria/us.ron", "job.asbuilt.ron"];
    assert_eq!(names, due);
    for file in permit.files.iter().filter(|f| !f.path.starts_with("shipped:")) {
        let bytes = std::fs::read(job.path(&file.path)).unwrap();
        let hash: String = Sha256::digest(&bytes).iter().map(|b| format!("{b:02x}")).collect();
        assert_eq!(file.sha256, hash, "{}", file.path);
    }
    let us = std::fs::read(super::fixture::root("assets/criteria/us.ron")).unwrap();
    let hash: String = Sha256::digest(&us).iter().map(|b| format!("{b:02x}")).collect();
    assert_eq!(permit.files[3].sha256, hash);
}

/// One byte of a comment in the first line of each file: nothing the review sees.
#[test]
fn one_byte_of_a_comment_voids_it() {
    for name in ["job.ron", "own.ron", "site.ron", "job.asbuilt.ron"] {
        let job = Job::new();
        let permit = job.issued();
        let text = job.read(name);
        assert!(text.starts_with("// "), "{name}");
        job.write(name, &text.replacen("// ", "//.", 1));
        assert_eq!(voids(&job, &permit), [Void::Changed(name.to_owned())]);
        job.write(name, &text);
        assert_eq!(voids(&job, &permit), [], "put back, it holds again");
        std::fs::remove_file(job.path(name)).unwrap();
        assert_eq!(voids(&job, &permit), [Void::Gone(name.to_owned())]);
    }
}

#[test]
fn another_version_of_the_program_voids_it() {
    let job = Job::new();
    let mut permit = job.issued();
    permit.version = "0.0.9".to_owned();
    permit.seal = seal(&permit);
    assert_eq!(
        voids(&job, &permit),
        [Void::Program { was: "0.0.9".to_owned(), is: env!("CARGO_PKG_VERSION").to_owned() }]
    );
}

#[test]
fn a_permit_that_was_altered_is_void_even_with_a_new_seal() {
    let job = Job::new();
    let mut permit = job.issued();
    permit.issue.as_mut().unwrap().valid_until = Some("2027-01-01".to_owned());
    assert_eq!(voids(&job, &permit), [Void::SealBroken]);
    // What follows from the files is made again, whoever sealed it.
    let mut permit = job.issued();
    permit.parts[0].there += 1;
    permit.hold_points.pop();
    permit.seal = seal(&permit);
    assert_eq!(voids(&job, &permit), [Void::Differs("hold_points, parts".to_owned())]);
    // A file taken off its list, so that it might change freely.
    let mut permit = job.issued();
    permit.files.remove(2);
    permit.seal = seal(&permit);
    assert_eq!(voids(&job, &permit), [Void::Added("site.ron".to_owned())]);
}

#[test]
fn a_draft_an_old_one_and_another_format_do_not_hold() {
    let job = Job::new();
    let draft = job.draft(standwell::record::PermitKind::Load);
    assert_eq!(voids(&job, &draft), [Void::Draft]);
    let permit = job.issued();
    let on = |day: &str| verify(&permit, &job.path("job.ron"), day.parse().ok(), &|_, _| true);
    assert_eq!(on("2026-03-12"), []);
    assert_eq!(on("2026-03-13"), [Void::Ended("2026-03-12".to_owned())]);
    assert_eq!(
        on("no day"),
        [Void::Ended("2026-03-12".to_owned())],
        "without a day its end is not known to be ahead"
    );
    let mut permit = job.issued();
    permit.permit_version = 9;
    assert_eq!(voids(&job, &permit), [Void::Format(9)]);
}

#[test]
fn the_same_files_give_the_same_bytes() {
    let job = Job::new();
    let json = |permit: &Permit| serde_json::to_string(permit).unwrap();
    assert_eq!(json(&job.issued()), json(&job.issued()));
    let page = || job.with(|basis| standwell::permit::html(&job.issued(), basis));
    assert_eq!(page(), page());
}
