//! Overrides and omissions of a block.

use super::{block, of_block, scene, try_build};
use standwell::assembly;

#[test]
fn an_omitted_post_takes_with_it_what_needs_it() {
    let a = of_block(
        "A..C",
        "1..2",
        r#"fillers: 1, sheet: Some("sheet-8"), sill: Some("sill-12"), omit: ["post.C2"]"#,
    );
    for gone in [
        "main.post.C2",
        "main.sill.C2",
        "main.ledger.B2-C2",
        "main.joist.C1-C2",
        "main.filler.B1-C2.1",
        "main.sheet.B1-C2.1",
    ] {
        assert!(a.find(gone).is_none(), "{gone}");
    }
    for there in ["main.post.C1", "main.ledger.B1-C1", "main.joist.B1-B2", "main.sheet.A1-B2.1"] {
        assert!(a.find(there).is_some(), "{there}");
    }
    assert!(a.problems.is_empty());
}

#[test]
fn an_omitted_ledger_leaves_the_rest() {
    let full = of_block("A..C", "1..2", "");
    let a = of_block("A..C", "1..2", r#"omit: ["ledger.A1-B1"]"#);
    assert_eq!(a.members.len() + 1, full.members.len());
    assert!(a.find("main.ledger.A1-B1").is_none());
}

#[test]
fn a_later_override_wins_field_by_field() {
    let a = of_block(
        "A..C",
        "1..2",
        r#"sill: Some("sill-12"), jack: None,
           overrides: [
             (members: "post.*", part: Some("post-12"), off_sill: Some(("3 in", "0 in"))),
             (members: "post.B*", part: Some("post-plate")),
             (members: "post.C1", damaged: true),
           ]"#,
    );
    let post = |n: &str| a.member(a.find(&format!("main.post.{n}")).unwrap());
    assert_eq!(post("A1").part, "post-12");
    assert_eq!(post("B2").part, "post-plate");
    assert!(post("C1").damaged && !post("C2").damaged);
    assert!((post("B2").off_sill[0] - 0.0762).abs() < 1e-12);
    // The post stays on the grid; the sill lies 3 in the other way.
    let sill = a.member(a.find("main.sill.A1").unwrap());
    let middle = (sill.ends[0].x + sill.ends[1].x) / 2.0;
    assert!((middle + 0.0762).abs() < 1e-12);
}

#[test]
fn braces_can_be_marked_tension_only() {
    let more =
        |part: &str, rest: &str| format!(r#"brace: Some("{part}"), braced: ["A1-B1"], {rest}"#);
    let only = |a: &standwell::assembly::Assembly, half: &str| {
        a.member(a.find(&format!("main.brace.A1-B1.{half}")).unwrap()).tension_only
    };
    let tube = of_block(
        "A..B",
        "1",
        &more("brace", r#"overrides: [(members: "brace.*.b", tension_only: Some(true))]"#),
    );
    assert_eq!((only(&tube, "a"), only(&tube, "b")), (false, true));
    let rod = of_block("A..B", "1", &more("brace-rod", ""));
    assert!(only(&rod, "a"), "a rod has no compression capacity");
}

#[test]
fn names_that_meet_nothing_are_problems_with_a_hint() {
    let try_with = |more: &str| {
        try_build(&scene(&format!("blocks: [{}]", block("A..C", "1..2", more)))).unwrap_err().0
    };
    let omit = try_with(r#"omit: ["post.D1"]"#);
    assert_eq!(omit.len(), 1);
    assert_eq!(omit[0].path, "blocks[0].omit[0]");
    assert!(omit[0].message.contains("names no member of block \"main\""), "{}", omit[0]);
    assert!(omit[0].help.as_deref().unwrap().contains("post."), "{}", omit[0]);
    let over = try_with(r#"overrides: [(members: "ledgr.A1-B1", damaged: true)]"#);
    assert_eq!(over[0].help.as_deref(), Some("did you mean \"ledger.A1-B1\"?"));
    let part = try_with(r#"sill: Some("sill-13")"#);
    assert_eq!(part.len(), 1, "told once, not once a post: {part:?}");
    assert!(part[0].help.as_deref().unwrap().contains("sill-12"));
    let braced = try_with(r#"brace: Some("brace"), braced: ["A1-D1"]"#);
    assert_eq!(braced[0].path, "blocks[0].braced[0]");
    assert!(!try_with(r#"brace: Some("brace"), brace_every: Some(0)"#).is_empty());
    assert!(!try_with(r#"braced: ["A1-B1"]"#).is_empty(), "braced bays without a brace part");
}

#[test]
fn a_problem_says_where_and_a_member_says_where_it_was_written() {
    let text = r#"(format: 1, title: "t", equipment: ["sample"], criteria: "us",
    floors: [(name: "floor", level: "0 m", kind: Slab)],
    blocks: [
        (name: "main", x: (lines: "A..B", every: "6 ft"), y: (lines: "1"), stands_on: "floor",
         head: "9 ft", post: "post-10", ledger: ["ledger-6"],
         omit: ["ledger.*.x"]),
    ])"#;
    let read = |text: &str| standwell::scene::read(text, std::path::Path::new("t.ron")).unwrap();
    let loaded = read(text);
    let problems = assembly::build(&loaded.scene, &loaded.library, &loaded.source).unwrap_err().0;
    assert_eq!((problems.len(), problems[0].line, problems[0].column), (1, 6, 17), "{problems:?}");
    let text = text.replace("omit: [\"ledger.*.x\"]", "");
    let loaded = read(&text);
    let a = assembly::build(&loaded.scene, &loaded.library, &loaded.source).unwrap();
    let at = a.member(a.find("main.post.A1").unwrap()).written_at.clone();
    assert!(loaded.source.text[at.clone()].starts_with("(name: \"main\""), "{at:?}");
    assert!(loaded.source.text[at].trim_end().ends_with(')'));
}
