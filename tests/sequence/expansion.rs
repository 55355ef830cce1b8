//! Short lines written out: towers, the normal cycle, decks; judged by hands and by what holds.

use super::floor::Floor;
use super::loose::loose;
use standwell::scene::model::{Action, SequenceItem};
use standwell::sequence::{self, JointState, MemberState, Sequence, Stage, to_ron};
use std::collections::BTreeMap;

const TOWER: &str = r#"Tower(id: "tower", block: "main", at: "A1-B2", crew: 5)"#;

fn erect(more: &str) -> String {
    format!(r#"{TOWER}, Erect(id: "erect", block: "main", from: "A1-B2", {more})"#)
}

/// First and every fourth bay of all lines of a 6 × 5 floor.
fn floor() -> Floor {
    let mut bays = Vec::new();
    for row in ["1", "2", "3", "4", "5", "6"] {
        bays.extend([format!("A{row}-B{row}"), format!("E{row}-F{row}")]);
    }
    for line in ["A", "B", "C", "D", "E", "F", "G"] {
        bays.extend([format!("{line}1-{line}2"), format!("{line}5-{line}6")]);
    }
    let bays: Vec<&'static str> = bays.into_iter().map(|b| &*b.leak()).collect();
    Floor::new(6, 5).braced(&bays)
}

fn all_loose(floor: &Floor, text: &str) -> (Sequence, BTreeMap<String, Vec<String>>) {
    let (assembly, sequence) = (floor.with(text), floor.run(text).unwrap());
    let bad = (sequence.stages.iter())
        .map(|s| (s.step.clone(), loose(&assembly, s)))
        .filter(|(_, l)| !l.is_empty())
        .collect();
    (sequence, bad)
}

#[test]
fn a_tower_of_four_steps_needs_five_people_and_leaves_nothing_loose() {
    let floor = Floor { sills: true, ..Floor::new(1, 1).braced(&["*"]) };
    let (sequence, bad) = all_loose(&floor, TOWER);
    assert_eq!(bad, BTreeMap::new());
    let hands: Vec<(&str, u32)> =
        sequence.stages.iter().map(|s| (s.step.as_str(), s.hands_needed)).collect();
    assert_eq!(hands, [("tower.A1", 2), ("tower.B1", 3), ("tower.A2", 4), ("tower.B2", 5)]);
    assert!(sequence.stages.iter().all(|s| s.crew == 5));
    let end = sequence.stages.last().unwrap();
    let assembly = floor.with("");
    for member in &assembly.members {
        assert_eq!(end.state(member.id), MemberState::Standing, "{}", member.name);
        assert!(!member.is_post() || end.head_locked[member.id.index()], "{}", member.name);
    }
    for joint in assembly.joints.iter().filter(|j| standwell::sequence::machine::bears(j.kind)) {
        assert_ne!(end.joint(joint.id), JointState::Open);
    }
    // A two-post frame is free out of its plane: both posts are still in hand after it.
    let held = |i: usize| {
        let stage: &Stage = &sequence.stages[i];
        stage.members.iter().filter(|m| m.is_held()).count()
    };
    assert_eq!([0, 1, 2, 3].map(held), [1, 2, 3, 0]);
}

#[test]
fn the_normal_cycle_leaves_no_standing_post_loose_and_needs_three_people() {
    let floor = floor();
    for toward in ["x", "y"] {
        let (sequence, bad) = all_loose(&floor, &erect(&format!("toward: {toward}")));
        assert_eq!(bad, BTreeMap::new(), "toward {toward}");
        assert_eq!(sequence.stages.len(), 7 * 6);
        for stage in &sequence.stages[4..] {
            assert!(stage.hands_needed <= 3, "{} needs {}", stage.step, stage.hands_needed);
        }
        let end = sequence.stages.last().unwrap();
        assert!(end.members.iter().all(|&m| m == MemberState::Standing));
    }
}

#[test]
fn a_cycle_from_a_tower_in_the_middle_goes_both_ways() {
    let floor = Floor::new(5, 4).braced(&["*"]);
    let text = r#"Tower(id: "tower", block: "main", at: "C3-D4"),
        Erect(id: "erect", block: "main", from: "C3-D4")"#;
    let (sequence, bad) = all_loose(&floor, text);
    assert_eq!(bad, BTreeMap::new());
    assert!(sequence.stages.last().unwrap().members.iter().all(|m| m.is_there()));
    let ids: Vec<&str> = sequence.stages[4..12].iter().map(|s| s.step.as_str()).collect();
    assert_eq!(
        ids,
        [
            "erect.E3", "erect.E4", "erect.F3", "erect.F4", "erect.B3", "erect.B4", "erect.A3",
            "erect.A4"
        ]
    );
}

#[test]
fn a_row_begins_at_its_braced_bay() {
    // Row 3 is braced between C and D only; everything else in its first bay.
    let floor = Floor::new(4, 2)
        .braced(&["A1-B1", "A2-B2", "C3-D3", "A1-A2", "B1-B2", "C1-C2", "D1-D2", "E1-E2"]);
    let (sequence, bad) = all_loose(&floor, &erect(""));
    assert_eq!(bad, BTreeMap::new());
    let ids: Vec<&str> = sequence.stages[10..].iter().map(|s| s.step.as_str()).collect();
    assert_eq!(ids, ["erect.C3", "erect.D3", "erect.E3", "erect.B3", "erect.A3"]);
    // C3 is free along row 3 until D3 stands and the bay is braced.
    let assembly = floor.with("");
    let c3 = assembly.find("main.post.C3").unwrap();
    assert_eq!(sequence.stages[10].state(c3), MemberState::Held(1));
    assert_eq!(sequence.stages[11].state(c3), MemberState::Standing);
}

#[test]
fn posts_of_a_line_without_bracing_stay_in_hand() {
    let mut bays = floor().braced;
    bays.retain(|b| !b.starts_with("A3-") && !b.starts_with("E3-"));
    let (sequence, bad) = all_loose(&Floor::new(6, 5).braced(&bays), &erect(""));
    assert_eq!(bad, BTreeMap::new());
    let end = sequence.stages.last().unwrap();
    assert_eq!(end.members.iter().filter(|m| m.is_held()).count(), 7);
    // Row 3 holds nobody while it is in hand, so rows 4 and 5 that lean on it stay in hand until
    // their cross lines are braced between rows 5 and 6.
    let before = sequence.stages.iter().find(|s| s.step == "erect.G5").unwrap();
    assert_eq!(before.members.iter().filter(|m| m.is_held()).count(), 21);
    assert!(end.hands_needed > end.crew);
}

#[test]
fn diagonals_that_come_late_leave_posts_loose_meanwhile_and_then_no_more() {
    let (sequence, bad) = all_loose(&floor(), &erect("bracing: (late_by: 2)"));
    assert!(bad.contains_key("erect.C2"), "{bad:?}");
    assert_eq!(bad["erect.C2"], ["C1", "C2"]);
    let at = |id: &str| sequence.stages.iter().position(|s| s.step == id).unwrap();
    // C1-C2 stands after erect.C2; two more steps pass before its diagonals.
    assert_eq!(at("erect.late.C1-C2"), at("erect.C2") + 3);
    let end = sequence.stages.last().unwrap();
    assert!(end.members.iter().all(|&m| m == MemberState::Standing));
    assert!(!bad.contains_key(&end.step));
}

#[test]
fn the_rule_holds_other_bays_back_to_a_last_step() {
    let floor = floor();
    let assembly = floor.with("");
    let steps = floor.expand(&erect(r#"bracing: (every: 5)"#)).unwrap();
    let rest = steps.last().unwrap();
    assert_eq!(rest.id, "erect.rest");
    assert!(rest.actions.contains(&Action::Connect("main.brace.E4-F4.b".to_owned())));
    let set = |id: &str| -> usize {
        let all = steps.iter().filter(|s| s.id == id).flat_map(|s| &s.actions);
        all.filter(|a| matches!(a, Action::Set(n) if n.contains(".brace."))).count()
    };
    assert_eq!(set("erect.F1"), 0);
    assert_eq!(set("erect.C2"), 2);
    // None is forgotten, none comes twice.
    let text = erect("bracing: (every: 5)");
    let (sequence, bad) = all_loose(&floor, &text);
    assert_eq!(bad, BTreeMap::new());
    let end = sequence.stages.last().unwrap();
    assert!(assembly.members.iter().all(|m| end.stands(m.id)));
    let lines = floor.expand(&erect(r#"bracing: (lines: ["1", "2", "3"])"#)).unwrap();
    assert!(lines.last().unwrap().actions.contains(&Action::Set("main.brace.G1-G2.a".to_owned())));
}

#[test]
fn a_member_left_out_stays_out_and_the_crew_goes_on() {
    let floor = floor();
    let text = erect(r#"skip: ["brace.C1-C2.*", "joist.E2-E3"]"#);
    let (sequence, bad) = all_loose(&floor, &text);
    assert_eq!(bad["erect.C2"], ["C1", "C2"]);
    // Line C is braced again between rows 5 and 6, and so is line E above the gap.
    assert_eq!(bad["erect.E3"], ["C1", "C2", "C3", "E3"]);
    assert_eq!(bad["erect.D6"], ["E3", "E4", "E5"]);
    assert!(!bad.contains_key("erect.E6"));
    let assembly = floor.with("");
    let end = sequence.stages.last().unwrap();
    let out: Vec<&str> = (assembly.members.iter())
        .filter(|m| !end.state(m.id).is_there())
        .map(|m| m.name.as_str())
        .collect();
    assert_eq!(out, ["main.brace.C1-C2.a", "main.brace.C1-C2.b", "main.joist.E2-E3"]);
}

#[test]
fn hands_off_one_step_early() {
    let (sequence, bad) = all_loose(&floor(), &erect(r#"release_early: ["A4"]"#));
    assert_eq!(bad, BTreeMap::from([("erect.A4".to_owned(), vec!["A4".to_owned()])]));
    let early = sequence.stages.iter().find(|s| s.step == "erect.A4").unwrap();
    assert_eq!(early.released.len(), 1);
}

#[test]
fn a_part_of_a_block_and_then_the_rest() {
    let floor = Floor::new(3, 3).braced(&["*"]);
    let text = format!(
        r#"{TOWER}, Erect(id: "one", block: "main", from: "A1-B2", posts: "A1-C3"),
           Step(id: "by-hand", do: [Hang("main.ledger.C3-D3"), StandUp("main.post.D3")]),
           Erect(id: "two", block: "main", from: "A1-B2")"#
    );
    let (sequence, bad) = all_loose(&floor, &text);
    assert_eq!(bad, BTreeMap::new());
    assert!(sequence.stages.last().unwrap().members.iter().all(|&m| m == MemberState::Standing));
    assert_eq!(sequence.stages[9].step, "by-hand");
}

#[test]
fn a_deck_locks_heads_first_and_goes_bay_by_bay() {
    let floor = Floor { fillers: 2, sheets: true, clips: true, ..Floor::new(2, 1).braced(&["*"]) };
    let text = format!(
        r#"{TOWER}, Erect(id: "erect", block: "main", from: "A1-B2"),
           Step(id: "slack", do: [Unlock("main.post.B1")]),
           Deck(id: "deck", block: "main", nailed: true)"#
    );
    let sequence = floor.run(&text).unwrap();
    let ids: Vec<&str> = sequence.stages.iter().map(|s| s.step.as_str()).collect();
    assert_eq!(ids[6..], ["slack", "deck.A1-B2", "deck.B1-C2"]);
    assert!(sequence.stages.iter().all(|s| s.loaded_unlocked.is_empty()));
    let assembly = floor.with("");
    let end = sequence.stages.last().unwrap();
    for member in &assembly.members {
        assert!(end.stands(member.id), "{}", member.name);
        assert_eq!(end.nailed[member.id.index()], member.name.contains(".sheet."));
    }
    let clips = assembly.joints.iter().filter(|j| j.clip.is_some());
    assert!(
        clips.clone().count() == 2 && clips.clone().all(|j| end.joint(j.id) == JointState::Locked)
    );
}

#[test]
fn plan_braces_go_in_when_their_four_posts_stand() {
    let floor = Floor { plan: vec!["B1-C2"], ..Floor::new(2, 1).braced(&["*"]) };
    let steps = floor.expand(&erect("")).unwrap();
    let with: Vec<&str> = (steps.iter())
        .filter(|s| s.actions.contains(&Action::Connect("main.plan.B1-C2".to_owned())))
        .map(|s| s.id.as_str())
        .collect();
    assert_eq!(with, ["erect.C2"]);
}

#[test]
fn the_expansion_is_printed_so_that_it_reads_back_the_same() {
    let floor = Floor { fillers: 2, sheets: true, sills: true, clips: true, ..floor() };
    let text = format!(
        r#"{}, Deck(id: "deck", block: "main"),
           Step(id: "q", title: "quote \" and \\ back", do: [Load(name: "x", kind: bundle,
               on: Point(member: "main.ledger.A1-B1", at: "1 ft 3 in", weight: "250 lb")),
               Hold("main.post.A1", 2), ConnectBetween("main.ledger.A1-B1", "main.post.A1"),
               Load(name: "y", kind: workers, on: Area(from: ("0 m", "0.1 ft"),
               to: ("1 m", "1 m"), load: "50 psf")), Deck(sheets: "main.sheet.A1-B2.1",
               nailed: true)])"#,
        erect("crew: 3")
    );
    let steps = floor.expand(&text).unwrap();
    let printed = to_ron(&steps);
    let again = floor.scene(&printed);
    let items: Vec<SequenceItem> = steps.iter().cloned().map(SequenceItem::Step).collect();
    assert_eq!(again.sequence, items);
    // And it is gone through to the same stages.
    let (first, second) = (floor.run(&text).unwrap(), floor.run(&printed).unwrap());
    assert_eq!(first, second);
    let assembly = floor.with(&printed);
    assert_eq!(to_ron(&sequence::expand(&assembly.scene, &assembly).unwrap()), printed);
    assert!(printed.lines().all(|l| l.len() <= 130), "{printed}");
}
