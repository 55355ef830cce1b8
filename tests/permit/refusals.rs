//! Each reason singly: the job is issued as it is, and refused for this one change.

use super::fixture::{Job, issuer};
use standwell::permit::{Asked, NotIssued, Refusal, issue};
use standwell::record::PermitKind;

#[test]
fn the_job_as_it_is_can_be_issued() {
    let job = Job::new();
    let draft = job.draft(PermitKind::Load);
    assert_eq!(draft.refusals, []);
    assert_eq!(draft.from.as_ref().unwrap().step, "deck.A1-B2");
    assert_eq!(draft.until.as_ref().unwrap().step, "after");
    let permit = job.issued();
    assert_eq!(permit.issue.as_ref().unwrap().by, "A. Sample");
    assert_eq!(permit.seal.len(), 64);
    let there: usize = permit.parts.iter().map(|p| p.there).sum();
    let in_order: usize = permit.parts.iter().map(|p| p.in_order).sum();
    assert!(there > 15 && there == in_order, "{:?}", permit.parts);
}

/// The one refusal, and nothing else.
fn only(job: &Job) -> Refusal {
    let draft = job.draft(PermitKind::Load);
    assert_eq!(draft.refusals.len(), 1, "{:?}", draft.refusals);
    assert!(matches!(issue(&draft, &issuer()), Err(NotIssued::Refused(_))));
    draft.refusals[0].clone()
}

#[test]
fn a_stop() {
    // One worker on a ledger that runs out past B without a clip. Inspected like the rest, so that the
    // finding alone is in the way.
    let job = Job::new();
    job.change("job.ron", "fillers: 2,", "fillers: 2, overhangs: [(along: \"B\", by: \"2 ft\")],");
    let draft = job.draft(PermitKind::Load);
    let stops = draft.refusals.iter().filter(|r| matches!(r, Refusal::Stop { .. })).count();
    assert!(stops > 0, "{:?}", draft.refusals);
    assert_eq!(stops, draft.refusals.len(), "nothing else: {:?}", draft.refusals);
}

/// A damaged brace marked in the scene gives one *fix first*: two braced faces each way are enough.
fn damaged(job: &Job) {
    job.change(
        "job.ron",
        "fillers: 2,",
        "fillers: 2, overrides: [(members: \"brace.A1-B1.a\", damaged: true)],",
    );
}

#[test]
fn an_open_fix_first() {
    let job = Job::new();
    damaged(&job);
    let refused = job.draft(PermitKind::Load).refusals;
    assert!(!refused.is_empty());
    for refusal in &refused {
        assert!(matches!(refusal, Refusal::FixFirst { .. }), "{refusal:?}");
    }
    assert!(refused.iter().any(|r| matches!(r, Refusal::FixFirst { code, .. } if code == "SW510")));
}

#[test]
fn an_accepted_fix_first_is_listed_with_name_and_reason_and_without_them_stays_open() {
    let job = Job::new();
    damaged(&job);
    let accepted = r#"accepted: [(code: "SW510", members: ["main.brace.A1-B1.a"], by: "A. Sample", reason: "dent of 1 mm, looked at")],
    sequence: ["#;
    job.change("job.ron", "sequence: [", accepted);
    let draft = job.draft(PermitKind::Load);
    let of_it = |r: &&Refusal| matches!(r, Refusal::FixFirst { code, .. } if code == "SW510");
    assert_eq!(draft.refusals.iter().find(of_it), None);
    assert_eq!(draft.accepted.len(), 1);
    assert_eq!(draft.accepted[0].by, "A. Sample");
    assert_eq!(draft.accepted[0].reason, "dent of 1 mm, looked at");
    job.change("job.ron", "reason: \"dent of 1 mm, looked at\"", "reason: \" \"");
    let draft = job.draft(PermitKind::Load);
    assert!(draft.refusals.iter().any(|r| of_it(&r)), "a reason of blanks is none");
}

#[test]
fn anything_unknown_even_if_somebody_accepted_it() {
    // A post nobody gave a weight for would not read; a load on a place without deck cannot be judged.
    let job = Job::new();
    job.change(
        "job.ron",
        "Step(id: \"pour\"",
        "Step(id: \"odd\", do: [Load(name: \"odd\", kind: equipment, on: Area(from: (\"30 ft\", \"30 ft\"), to: (\"31 ft\", \"31 ft\"), load: \"20 psf\"))]),\n        Step(id: \"pour\"",
    );
    let draft = job.draft(PermitKind::Load);
    assert!(!draft.refusals.is_empty(), "{:?}", job.refused());
    assert!(
        draft.refusals.iter().all(|r| matches!(r, Refusal::Unknown { .. })),
        "{:?}",
        draft.refusals
    );
    assert!(draft.refused_as_unknown());
}

#[test]
fn sample_data() {
    let job = Job::new();
    job.change("own.ron", "sample: false", "sample: true");
    let Refusal::SampleData { libraries, parts } = only(&job) else {
        panic!("{:?}", job.refused())
    };
    assert_eq!(libraries, ["own.ron"]);
    assert!(parts.contains(&"post-10".to_owned()), "{parts:?}");
    assert!(!parts.contains(&"clip".to_owned()), "only what is in place: {parts:?}");
}

#[test]
fn a_part_nobody_looked_at() {
    let job = Job::new();
    job.change("job.asbuilt.ron", "\"main.filler.*\", ", "");
    let Refusal::Uninspected { why, parts } = only(&job) else { panic!("{:?}", job.refused()) };
    assert_eq!(why, "nobody has looked at it");
    assert_eq!(parts, ["main.filler.A1-B2.1", "main.filler.A1-B2.2"]);
}

#[test]
fn a_part_that_is_not_in_order_by_each_answer() {
    for (from, to, expected) in [
        ("pin_home: true, ", "", "nobody says whether the pin is home"),
        ("pin_home: true, ", "pin_home: false, ", "the pin is not home"),
        ("collar_home: true, ", "collar_home: false, ", "the collar is not home"),
        (", out_of_plumb: \"5 mm\"", "", "nobody measured whether it is plumb"),
        ("sound: true,\n            pin", "sound: false,\n            pin", "found not sound"),
        (
            "sound: true,\n            pin",
            "sound: true, damage: \"dent\",\n            pin",
            "damage: dent",
        ),
        (", fixed: true", "", "nobody says whether its ends are fixed"),
        (", fixed: true", ", fixed: false", "its ends are not fixed"),
        (
            "on: \"2026-03-09\", drawing: \"B\", sound: true,\n            pin",
            "on: \"2026-03-09\", drawing: \"A\", sound: true,\n            pin",
            "looked at against revision A of the drawing, and B is in force",
        ),
        (
            "collar_home: true, ",
            "collar_home: true, jack: \"2 in\", ",
            "its jack is run out by 51 mm, and the scene has none under it",
        ),
    ] {
        let job = Job::new();
        job.change("job.asbuilt.ron", from, to);
        let Refusal::Uninspected { why, .. } = only(&job) else { panic!("{:?}", job.refused()) };
        assert_eq!(why, expected);
    }
}

/// The limit is the pack's angle over the post's height: 1 in 120 or so; just inside and just outside.
#[test]
fn out_of_plumb_is_held_against_the_pack() {
    let job = Job::new();
    let (height, limit) = job.with(|basis| {
        let id = basis.review.assembly.find("main.post.A1").unwrap();
        let height = basis.review.assembly.member(id).length();
        (height, basis.review.pack.out_of_plumb.value.si().tan() * height)
    });
    assert!((2.7..2.8).contains(&height));
    for (out, fits) in [(limit - 1e-4, true), (limit + 1e-4, false)] {
        let job = Job::new();
        job.change(
            "job.asbuilt.ron",
            "out_of_plumb: \"5 mm\"",
            &format!("out_of_plumb: \"{out} m\""),
        );
        assert_eq!(job.refused().is_empty(), fits, "{out}: {:?}", job.refused());
    }
}

#[test]
fn a_later_entry_counts_whole() {
    let job = Job::new();
    job.change(
        "job.asbuilt.ron",
        "    ],\n    releases",
        "        (parts: [\"main.post.B2\"], by: \"R. Sample\", on: \"2026-03-10\", drawing: \"B\", sound: false),\n    ],\n    releases",
    );
    let refused = job.refused();
    assert!(refused.iter().all(|r| r.contains("main.post.B2")), "{refused:?}");
    assert!(refused.iter().any(|r| r.contains("found not sound")), "{refused:?}");
    assert!(refused.iter().any(|r| r.contains("the pin")), "the earlier yes does not carry over");
}

#[test]
fn something_in_hand() {
    let job = Job::new();
    job.change(
        "job.ron",
        "Step(id: \"pour\"",
        "Step(id: \"hand\", do: [Hold(\"main.sheet.A1-B2.1\", 1)]),\n        Step(id: \"pour\"",
    );
    let refusals = job.draft(PermitKind::Load).refusals;
    let held = refusals.iter().any(
        |r| matches!(r, Refusal::InHand { parts } if parts == &["main.sheet.A1-B2.1".to_owned()]),
    );
    assert!(held, "{refusals:?}");
}

/// Asked for from the bare tower on, the deck comes in during what it would cover.
#[test]
fn a_part_that_comes_in_after_the_inspection() {
    let job = Job::new();
    let asked = Asked { from: Some("tower.B2".to_owned()), until: None };
    let draft = job.with(|basis| standwell::permit::draft(basis, PermitKind::Load, &asked));
    let [Refusal::ComesLater { step, parts }] = &draft.refusals[..] else {
        panic!("{:?}", draft.refusals)
    };
    assert_eq!(step, "deck.A1-B2");
    assert!(parts.contains(&"main.filler.A1-B2.1".to_owned()), "{parts:?}");
    // Later than what it is for, or ending before it begins, is no window.
    for (from, until) in [(Some("pour"), None), (None, Some("tower.B2")), (Some("nowhere"), None)] {
        let asked = Asked { from: from.map(str::to_owned), until: until.map(str::to_owned) };
        let draft = job.with(|basis| standwell::permit::draft(basis, PermitKind::Load, &asked));
        assert!(matches!(draft.refusals[0], Refusal::NotJudged { .. }), "{from:?} {until:?}");
    }
}

/// Hold points of the scene's steps and of the record are one list, from one source: the scene's counts
/// as its step says, until the record has the last word.
#[test]
fn a_hold_point_of_the_scene_is_on_the_permit() {
    let job = Job::new();
    let permit = job.draft(PermitKind::Load);
    let ids: Vec<&str> = permit.hold_points.iter().map(|p| p.id.as_str()).collect();
    let due = ["ground", "built-to-drawing", "bracing", "deck-and-edge", "placing-plan"];
    assert_eq!(ids, [&due[..], &["scene:before", "rebar"][..]].concat());
    let scene = permit.hold_points.iter().find(|p| p.id == "scene:before").unwrap();
    let released = scene.released.as_ref().unwrap();
    assert_eq!((released.by.as_str(), released.on.as_str()), ("R. Sample", "in step pour"));
    // It says which work waits for it, where its name alone would not.
    assert_eq!(scene.title, "\"before\", before \u{201c}Place the landing\u{201d} (step pour)");
    // What comes after placing is one to strike.
    let strike = job.draft(PermitKind::Strike);
    let after = strike.hold_points.iter().find(|p| p.id == "scene:after").unwrap();
    assert_eq!(after.title, "\"after\", met at \u{201c}Look at it once more\u{201d} (step after)");
    // Taken back on site, it is open again.
    job.change(
        "job.asbuilt.ron",
        "evidence: [\"report 3\"]),",
        "evidence: [\"report 3\"]),\n        (point: \"scene:before\", by: \"R. Sample\", on: \"2026-03-10\", evidence: [], withdrawn: true),",
    );
    let Refusal::HoldPointOpen { id, .. } = only(&job) else { panic!("{:?}", job.refused()) };
    assert_eq!(id, "scene:before");
}

#[test]
fn a_hold_point_planned_for_all_or_of_ones_own_and_a_release_taken_back() {
    for point in ["ground", "built-to-drawing", "bracing", "deck-and-edge", "placing-plan", "rebar"]
    {
        let job = Job::new();
        let record = job.read("job.asbuilt.ron");
        let start = record.find(&format!("(point: \"{point}\"")).unwrap();
        let end = start + record[start..].find('\n').unwrap() + 1;
        job.write("job.asbuilt.ron", &format!("{}{}", &record[..start], &record[end..]));
        let Refusal::HoldPointOpen { id, .. } = only(&job) else { panic!("{:?}", job.refused()) };
        assert_eq!(id, point);
    }
    let job = Job::new();
    job.change(
        "job.asbuilt.ron",
        "evidence: [\"report 3\"]),",
        "evidence: [\"report 3\"]),\n        (point: \"bracing\", by: \"R. Sample\", on: \"2026-03-10\", evidence: [], withdrawn: true),",
    );
    let Refusal::HoldPointOpen { id, .. } = only(&job) else { panic!("{:?}", job.refused()) };
    assert_eq!(id, "bracing");
}

#[test]
fn a_walk_that_found_something_not_in_order_until_it_is() {
    let job = Job::new();
    let walked = "    walked: [\n        (station: \"hold:bracing\", by: \"T. Sample\", on: \"2026-03-09\", in_order: false, note: \"coupler loose\"),\n    ],\n)\n";
    let record = job.read("job.asbuilt.ron");
    job.write(
        "job.asbuilt.ron",
        &format!("{}{walked}", record.trim_end().strip_suffix(')').unwrap()),
    );
    let Refusal::NotInOrder { note, .. } = only(&job) else { panic!("{:?}", job.refused()) };
    assert_eq!(note, "coupler loose");
    job.change(
        "job.asbuilt.ron",
        "note: \"coupler loose\"),",
        "note: \"coupler loose\"),\n        (station: \"hold:bracing\", by: \"T. Sample\", on: \"2026-03-10\", in_order: true),",
    );
    assert_eq!(job.refused(), Vec::<String>::new());
}

#[test]
fn no_record_and_no_drawing() {
    let job = Job::new();
    std::fs::remove_file(job.path("job.asbuilt.ron")).unwrap();
    assert_eq!(only(&job), Refusal::NoRecord);
    let job = Job::new();
    job.change("job.asbuilt.ron", "drawing: (number: \"F-01\", revision: \"B\"),", "");
    assert_eq!(only(&job), Refusal::NoDrawing);
}

#[test]
fn what_has_no_step_was_not_judged() {
    let job = Job::new();
    let strike = job.draft(PermitKind::Strike);
    assert!(matches!(&strike.refusals[0], Refusal::NotJudged { .. }), "{:?}", strike.refusals);
    let open = strike.refusals.iter().skip(1).all(|r| matches!(r, Refusal::HoldPointOpen { .. }));
    assert!(open, "and nothing else but its hold points: {:?}", strike.refusals);
    let scene = job.read("job.ron");
    let pour = scene.find("        Step(id: \"pour\"").unwrap();
    let end = scene.rfind("    ],\n)").unwrap();
    job.write("job.ron", &format!("{}{}", &scene[..pour], &scene[end..]));
    let Refusal::NotJudged { why } = only(&job) else { panic!("{:?}", job.refused()) };
    assert!(why.contains("no step of the scene places concrete"), "{why}");
}

#[test]
fn nobody_a_wrong_end_and_evidence_from_the_future() {
    let job = Job::new();
    let draft = job.draft(PermitKind::Load);
    let mut who = issuer();
    who.by = "  ".to_owned();
    assert_eq!(issue(&draft, &who), Err(NotIssued::Nobody));
    let mut who = issuer();
    who.valid_until = Some("2026-03-09".parse().unwrap());
    assert!(matches!(issue(&draft, &who), Err(NotIssued::EndsBeforeItBegins { .. })));
    let mut who = issuer();
    who.on = "2026-03-08".parse().unwrap();
    assert!(matches!(issue(&draft, &who), Err(NotIssued::DatedLater { .. })));
    let issued = job.issued();
    assert_eq!(issue(&issued, &issuer()), Err(NotIssued::Issued));
}

/// A step that strikes after the pour: the permit to load ends before it, that to strike begins there.
#[test]
fn the_permit_to_strike_wants_strength_on_evidence() {
    let job = Job::new();
    job.change(
        "job.ron",
        "evidence: [\"checklist 2\"])]),",
        "evidence: [\"checklist 2\"])]),\n        Step(id: \"down\", do: [Unload(\"fresh\"), Remove(\"main.sheet.A1-B2.1\")]),",
    );
    let load = job.draft(PermitKind::Load);
    assert_eq!(load.until.unwrap().step, "after");
    let strike = job.draft(PermitKind::Strike);
    assert_eq!(strike.from.as_ref().unwrap().step, "after");
    assert_eq!(strike.until.as_ref().unwrap().step, "down");
    let open: Vec<&str> = strike
        .refusals
        .iter()
        .filter_map(|r| match r {
            Refusal::HoldPointOpen { id, .. } => Some(id.as_str()),
            _ => None,
        })
        .collect();
    assert_eq!(open, ["strength", "striking-order"]);
}
