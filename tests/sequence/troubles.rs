//! Sequences that cannot be gone through say what is wrong, with a close name where there is one.

use super::floor::Floor;

/// The only message and help of a sequence on a small braced floor.
fn wrong(sequence: &str) -> (String, String) {
    let floor = Floor { slab: true, sheets: true, ..Floor::new(2, 2).braced(&["A1-B1"]) };
    let problems = floor.run(sequence).unwrap_err().0;
    assert_eq!(problems.len(), 1, "{problems:?}");
    (problems[0].message.clone(), problems[0].help.clone().unwrap_or_default())
}

fn step(actions: &str) -> (String, String) {
    wrong(&format!(r#"Step(id: "1", do: [{actions}])"#))
}

#[test]
fn names() {
    let (message, help) = step(r#"Set("main.post.A11")"#);
    assert_eq!(message, "there is no member \"main.post.A11\"");
    assert_eq!(help, "did you mean \"main.post.A1\"?");
    let (message, _) = step(r#"Set("main.prop.*")"#);
    assert_eq!(message, "no member's name fits \"main.prop.*\"");
    let (message, _) =
        step(r#"Set("main.post.A1"), ConnectBetween("main.post.*", "main.post.A1")"#);
    assert_eq!(message, "one member is due here, not the pattern \"main.post.*\"");
}

#[test]
fn members_there_twice_or_not_at_all() {
    let (message, _) = step(r#"Set("main.post.A1"), Set("main.post.A1")"#);
    assert_eq!(message, "\"main.post.A1\" is there already");
    let (message, _) = step(r#"Set("main.post.*"), Set("main.post.A*")"#);
    assert_eq!(message, "all members that fit \"main.post.A*\" are there already");
    for (action, verb) in [
        (r#"Remove("main.post.A1")"#, "remove"),
        (r#"Lower("main.post.A1")"#, "lower"),
        (r#"Hold("main.post.A1", 1)"#, "hold"),
        (r#"Lock("main.post.A1")"#, "lock"),
        (r#"Connect("main.post.A1")"#, "connect"),
    ] {
        let (message, _) = step(action);
        assert_eq!(message, format!("the member \"main.post.A1\" is not there to {verb}"));
    }
    let (message, help) =
        step(r#"Set("main.post.A1"), Remove("main.post.A1"), Remove("main.post.A1")"#);
    assert_eq!(message, "the member \"main.post.A1\" is not there to remove");
    assert!(help.ends_with("this step removed it before"), "{help}");
    let (message, _) = step(r#"Set("main.post.A1"), Release("main.post.A1")"#);
    assert_eq!(message, "\"main.post.A1\" is not held");
    let (message, _) = step(r#"Set("main.post.A1"), Hold("main.post.A1", 0)"#);
    assert_eq!(message, "\"main.post.A1\" held by no hands");
}

#[test]
fn joints() {
    let (message, help) = step(r#"Set("main.brace.A1-B1.a"), Connect("main.brace.A1-B1.a")"#);
    assert_eq!(
        message,
        "\"main.brace.A1-B1.a\" cannot be connected: main.post.A1 and main.post.B1 are not there"
    );
    assert_eq!(help, "stand up its posts first");
    let (message, _) = step(r#"Hang("main.ledger.A1-B1")"#);
    assert!(message.contains("no end of it meets a post that is there"), "{message}");
    let (message, _) = step(r#"StandUp("main.ledger.A1-B1")"#);
    assert_eq!(message, "\"main.ledger.A1-B1\" is no post");
    let (message, _) = step(r#"Set("main.brace.A1-B1.a"), Lock("main.brace.A1-B1.a")"#);
    assert_eq!(message, "\"main.brace.A1-B1.a\" has nothing to lock");
    let (message, _) = step(r#"Set("main.post.A1"), Connect("main.post.A1")"#);
    assert_eq!(message, "\"main.post.A1\" has no couplers to fix");
    let (message, _) = step(r#"Set("main.post.A1"), Clip("main.post.A1")"#);
    assert_eq!(message, "\"main.post.A1\" has no hold-down clip");
    let (message, _) =
        step(r#"Set("main.post.*"), ConnectBetween("main.post.A1", "main.post.B1")"#);
    assert_eq!(message, "\"main.post.A1\" and \"main.post.B1\" do not meet");
    let (message, _) = step(r#"Set("main.post.A1"), Deck(sheets: "main.post.A1", nailed: true)"#);
    assert_eq!(message, "\"main.post.A1\" is no sheet of decking");
}

#[test]
fn loads() {
    let pour = |slab: &str| {
        format!(
            r#"Load(name: "p", kind: concrete, on: Pour(slab: "{slab}", from: ("0 m", "0 m"), to: ("1 m", "1 m")))"#
        )
    };
    let (message, help) = step(&pour("level-1"));
    assert_eq!(message, "there is no slab \"level-1\"");
    assert_eq!(help, "did you mean \"level-2\"?");
    let line = r#"Load(name: "stack", kind: bundle, on: Line(member: "main.ledger.A1-B1", load: "1 kN/m"))"#;
    let (message, _) = step(line);
    assert_eq!(message, "the load \"stack\" is set on \"main.ledger.A1-B1\", which is not there");
    let put = r#"Set("main.post.*"), Set("main.ledger.A1-B1"), Lock("main.post.*")"#;
    let (message, _) = step(&format!("{put}, {line}, {line}"));
    assert_eq!(message, "a load \"stack\" is on already");
    let (message, help) = step(&format!(r#"{put}, {line}, Unload("stock")"#));
    assert_eq!(
        (message.as_str(), help.as_str()),
        ("no load \"stock\" is on", "did you mean \"stack\"?")
    );
    let (message, _) = step(&format!(r#"{put}, {line}, Remove("main.ledger.A1-B1")"#));
    assert_eq!(message, "\"main.ledger.A1-B1\" is removed with the load \"stack\" on it");
}

#[test]
fn steps_with_one_id() {
    let (message, help) =
        wrong(r#"Step(id: "1", do: []), Step(id: "2", do: []), Step(id: "1", do: [])"#);
    assert_eq!(message, "the step id \"1\" is there twice");
    assert_eq!(help, "entry 1 of the sequence has it already");
    let (message, _) = wrong(r#"Step(id: " ", do: [])"#);
    assert_eq!(message, "a step's id is empty");
}

#[test]
fn short_lines() {
    let all = Floor::new(2, 2).braced(&["*"]);
    let says = |text: &str| all.run(text).unwrap_err().0[0].message.clone();
    assert_eq!(says(r#"Tower(id: "t", block: "mian", at: "A1-B2")"#), "there is no block \"mian\"");
    assert_eq!(
        says(r#"Tower(id: "t", block: "main", at: "A1-C2")"#),
        "the corners \"A1-C2\" are more than a bay apart"
    );
    assert!(says(r#"Tower(id: "t", block: "main", at: "A1-B9")"#).contains("no grid point \"B9\""));
    assert_eq!(
        says(r#"Erect(id: "e", block: "main", from: "A1-B2")"#),
        "the tower \"A1-B2\" does not stand yet: post A1 is missing"
    );
    let tower = r#"Tower(id: "t", block: "main", at: "A1-B2")"#;
    assert_eq!(says(&format!("{tower}, {tower}")), "the tower's post A1 stands already");
    let erect = |more: &str| {
        says(&format!(r#"{tower}, Erect(id: "e", block: "main", from: "A1-B2", {more})"#))
    };
    assert_eq!(erect(r#"posts: "A1-B2""#), "nothing is left to do here: all of this part stands");
    assert_eq!(
        erect(r#"bracing: (lines: ["X"])"#),
        "the block \"main\" has no line \"X\" to brace"
    );
    assert_eq!(erect("bracing: (every: 0)"), "`every: 0` braces no bay: 1 is the least");
    assert_eq!(
        erect(r#"skip: ["brace.A1-B9.*"]"#),
        "`skip`: no member's name fits \"main.brace.A1-B9.*\""
    );
    assert_eq!(
        says(&format!(r#"{tower}, Deck(id: "d", block: "main", posts: "A1-B2")"#)),
        "nothing is left to deck here: no filler or sheet of block \"main\" is missing"
    );
    let sheets = Floor { sheets: true, ..all.clone() };
    let problems = sheets.run(&format!(r#"{tower}, Deck(id: "d", block: "main")"#)).unwrap_err();
    assert_eq!(problems.0[0].message, "bay B1-C2 cannot be decked: post C1 does not stand");
    let bare = Floor::new(1, 1).braced(&["A1-B1"]);
    let problems = bare.run(tower).unwrap_err();
    assert!(problems.0[0].message.starts_with("the tower's face A2-B2 has no diagonal"));
}

#[test]
fn every_trouble_of_a_sequence_is_told_at_once_with_its_path() {
    let problems = Floor::new(1, 1)
        .run(
            r#"Step(id: "1", do: [Set("main.post.A1"), Set("main.post.Z1")]),
               Step(id: "2", do: [Remove("main.post.B1")])"#,
        )
        .unwrap_err();
    let paths: Vec<&str> = problems.0.iter().map(|p| p.path.as_str()).collect();
    assert_eq!(paths, ["sequence[0].do[1]", "sequence[1].do[0]"]);
}
