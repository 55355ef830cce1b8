//! What each action leaves behind at the end of its step.

use super::floor::Floor;
use standwell::assembly::{Assembly, JointId};
use standwell::sequence::{JointState, MemberState, Sequence, Stage};

/// A floor gone through, with look-ups by name.
struct Gone {
    assembly: Assembly,
    sequence: Sequence,
}

fn go(floor: &Floor, sequence: &str) -> Gone {
    Gone { assembly: floor.with(sequence), sequence: floor.run(sequence).unwrap() }
}

impl Gone {
    fn stage(&self, index: usize) -> &Stage {
        &self.sequence.stages[index]
    }
    fn last(&self) -> &Stage {
        self.sequence.stages.last().unwrap()
    }
    fn member(&self, stage: &Stage, name: &str) -> MemberState {
        stage.state(self.assembly.find(name).unwrap())
    }
    /// State of the joints in which one member is carried by the other, in order.
    fn joints(&self, stage: &Stage, member: &str, carrier: &str) -> Vec<JointState> {
        let (m, c) = (self.assembly.find(member).unwrap(), self.assembly.find(carrier).unwrap());
        (self.assembly.joints.iter())
            .filter(|j| j.member == m && j.carrier == Some(c))
            .map(|j| stage.joint(JointId(j.id.0)))
            .collect()
    }
    fn names(&self, ids: &[standwell::assembly::MemberId]) -> Vec<&str> {
        ids.iter().map(|&id| self.assembly.name(id)).collect()
    }
}

#[test]
fn a_hung_ledger_is_in_hand_until_a_post_stands_under_its_far_end() {
    let gone = go(
        &Floor::new(1, 1),
        r#"Step(id: "1", do: [Set("main.post.A1"), Hang("main.ledger.A1-B1")]),
           Step(id: "2", do: [StandUp("main.post.B1")])"#,
    );
    assert_eq!(gone.member(gone.stage(0), "main.ledger.A1-B1"), MemberState::Held(1));
    assert_eq!(gone.joints(gone.stage(0), "main.ledger.A1-B1", "main.post.A1"), [JointState::Hung]);
    assert_eq!(gone.joints(gone.stage(0), "main.ledger.A1-B1", "main.post.B1"), [JointState::Open]);
    assert_eq!(gone.stage(0).hands_needed, 1);
    assert_eq!(gone.member(gone.stage(1), "main.ledger.A1-B1"), MemberState::Standing);
    assert_eq!(gone.member(gone.stage(1), "main.post.B1"), MemberState::Held(1));
    // One at the ledger's far end, one with the post.
    assert_eq!(gone.stage(1).hands_needed, 2);
    assert!(gone.stage(1).released.is_empty());
}

#[test]
fn a_ledger_held_on_purpose_stays_in_hand_when_its_post_comes() {
    let gone = go(
        &Floor::new(1, 1),
        r#"Step(id: "1", do: [Set("main.post.A1"), Hang("main.ledger.A1-B1"),
                              Hold("main.ledger.A1-B1", 2)]),
           Step(id: "2", do: [StandUp("main.post.B1")])"#,
    );
    assert_eq!(gone.member(gone.last(), "main.ledger.A1-B1"), MemberState::Held(2));
    assert_eq!(gone.last().hands_needed, 3);
}

#[test]
fn hands_off_is_noted_only_if_it_stays_so_to_the_end_of_the_step() {
    let gone = go(
        &Floor::new(1, 1),
        r#"Step(id: "1", do: [StandUp("main.post.A1"), StandUp("main.post.B1"),
                Release("main.post.*"), Hold("main.post.B1", 1)])"#,
    );
    assert_eq!(gone.names(&gone.last().released), ["main.post.A1"]);
    assert_eq!(gone.member(gone.last(), "main.post.A1"), MemberState::Standing);
    assert_eq!(gone.member(gone.last(), "main.post.B1"), MemberState::Held(1));
}

#[test]
fn a_brace_set_but_not_connected_holds_by_open_couplers() {
    let gone = go(
        &Floor::new(1, 1).braced(&["A1-B1"]),
        r#"Step(id: "1", do: [Set("main.post.?1"), Set("main.brace.A1-B1.a")]),
           Step(id: "2", do: [Connect("main.brace.A1-B1.a")])"#
            .replace('?', "*")
            .as_str(),
    );
    let at = |stage| gone.joints(gone.stage(stage), "main.brace.A1-B1.a", "main.post.B1");
    assert_eq!(at(0), [JointState::Open]);
    assert_eq!(at(1), [JointState::Locked]);
}

#[test]
fn a_lock_reaches_what_hangs_on_the_head_then_and_not_what_comes_later() {
    let gone = go(
        &Floor::new(2, 1),
        r#"Step(id: "1", do: [Set("main.post.*1"), Set("main.ledger.A1-B1"), Lock("main.post.B1"),
                              Set("main.ledger.B1-C1")]),
           Step(id: "2", do: [Lock("main.ledger.B1-C1")]),
           Step(id: "3", do: [Unlock("main.post.B1")])"#,
    );
    let near = |stage| gone.joints(gone.stage(stage), "main.ledger.A1-B1", "main.post.B1")[0];
    let far = |stage| gone.joints(gone.stage(stage), "main.ledger.B1-C1", "main.post.B1")[0];
    assert_eq!((near(0), far(0)), (JointState::Locked, JointState::Hung));
    assert_eq!((near(1), far(1)), (JointState::Locked, JointState::Locked));
    assert_eq!((near(2), far(2)), (JointState::Hung, JointState::Hung));
    let b1 = gone.assembly.find("main.post.B1").unwrap().index();
    assert_eq!([0, 1, 2].map(|s| gone.stage(s).head_locked[b1]), [true, true, false]);
}

#[test]
fn a_lowered_head_drops_what_hangs_on_it_and_what_is_hung_after() {
    let gone = go(
        &Floor::new(2, 1),
        r#"Step(id: "1", do: [Set("main.post.*1"), Set("main.ledger.A1-B1"), Lock("main.post.B1")]),
           Step(id: "2", do: [Lower("main.post.B1"), Set("main.ledger.B1-C1")])"#,
    );
    for ledger in ["main.ledger.A1-B1", "main.ledger.B1-C1"] {
        assert_eq!(gone.joints(gone.last(), ledger, "main.post.B1"), [JointState::Lowered]);
    }
    assert!(!gone.last().head_locked[gone.assembly.find("main.post.B1").unwrap().index()]);
}

#[test]
fn clips_come_with_their_beam_and_are_fixed_by_clip_alone() {
    let floor = Floor { clips: true, ..Floor::new(1, 1) };
    let gone = go(
        &floor,
        r#"Step(id: "1", do: [Set("main.post.*"), Set("main.ledger.*")]),
           Step(id: "2", do: [Clip("main.clip.B1"), Clip("main.ledger.A2-B2")]),
           Step(id: "3", do: [Unclip("main.clip.B1")])"#,
    );
    let at = |stage, row| {
        gone.joints(
            gone.stage(stage),
            &format!("main.ledger.A{row}-B{row}"),
            &format!("main.post.B{row}"),
        )
    };
    assert_eq!(at(0, 1), [JointState::Hung, JointState::Open]);
    assert_eq!(at(1, 1), [JointState::Hung, JointState::Locked]);
    assert_eq!(at(1, 2), [JointState::Hung, JointState::Locked]);
    assert_eq!(at(2, 1), [JointState::Hung, JointState::Open]);
    assert_eq!(gone.member(gone.stage(1), "main.clip.B2"), MemberState::Standing);
}

#[test]
fn sheets_are_nailed_when_laid_or_later() {
    let floor = Floor { sheets: true, ..Floor::new(2, 1) };
    let gone = go(
        &floor,
        r#"Step(id: "1", do: [Set("main.post.*"), Set("main.joist.*"), Lock("main.post.*"),
                Deck(sheets: "main.sheet.A1-B2.1", nailed: true),
                Deck(sheets: "main.sheet.B1-C2.1", nailed: false)]),
           Step(id: "2", do: [Deck(sheets: "main.sheet.*", nailed: true)])"#,
    );
    let nailed =
        |stage, name: &str| gone.stage(stage).nailed[gone.assembly.find(name).unwrap().index()];
    assert!(nailed(0, "main.sheet.A1-B2.1") && !nailed(0, "main.sheet.B1-C2.1"));
    assert!(nailed(1, "main.sheet.B1-C2.1"));
    assert_eq!(
        gone.joints(gone.stage(0), "main.sheet.B1-C2.1", "main.joist.B1-B2"),
        [JointState::Hung]
    );
    assert_eq!(
        gone.joints(gone.stage(1), "main.sheet.B1-C2.1", "main.joist.B1-B2"),
        [JointState::Locked]
    );
}

#[test]
fn a_filler_on_a_ledger_whose_head_is_not_locked_is_noted() {
    let floor = Floor { fillers: 1, ..Floor::new(1, 1) };
    let gone = go(
        &floor,
        r#"Step(id: "1", do: [Set("main.post.*"), Set("main.ledger.*"), Lock("main.post.*1"),
                Lock("main.post.B2"), Set("main.filler.*")]),
           Step(id: "2", do: [Lock("main.post.A2"), Load(name: "stack", kind: bundle,
                on: Line(member: "main.filler.A1-B2.1", load: "1 kN/m"))]),
           Step(id: "3", do: [Unload("stack"), Unlock("main.post.B1"), Load(name: "stack",
                kind: bundle, on: Area(from: ("0.5 m", "-0.1 m"), to: ("1 m", "0.1 m"),
                load: "1 kPa"))])"#,
    );
    let pairs = |stage: usize| -> Vec<(&str, &str)> {
        (gone.stage(stage).loaded_unlocked.iter())
            .map(|&(a, b)| (gone.assembly.name(a), gone.assembly.name(b)))
            .collect()
    };
    assert_eq!(pairs(0), [("main.post.A2", "main.filler.A1-B2.1")]);
    assert_eq!(pairs(1), []);
    assert_eq!(pairs(2), [("main.post.B1", "main.ledger.A1-B1")]);
    assert_eq!(gone.stage(1).loads.len(), 1);
    assert_eq!(gone.stage(2).loads[0].since_step, 2);
}

#[test]
fn a_post_taken_from_under_a_ledger_is_noted_and_a_whole_bay_taken_at_once_is_not() {
    let put =
        r#"Step(id: "1", do: [Set("main.post.*"), Set("main.ledger.*"), Set("main.joist.*")]),"#;
    let gone =
        go(&Floor::new(1, 1), &format!(r#"{put} Step(id: "2", do: [Remove("main.post.B1")])"#));
    let pairs: Vec<_> = (gone.last().removed_under.iter())
        .map(|&(a, b)| (gone.assembly.name(a), gone.assembly.name(b)))
        .collect();
    assert_eq!(
        pairs,
        [("main.post.B1", "main.joist.B1-B2"), ("main.post.B1", "main.ledger.A1-B1")]
    );
    assert_eq!(gone.names(&gone.last().removed), ["main.post.B1"]);
    assert_eq!(gone.joints(gone.last(), "main.ledger.A1-B1", "main.post.B1"), [JointState::Open]);
    let gone = go(&Floor::new(1, 1), &format!(r#"{put} Step(id: "2", do: [Remove("main.*")])"#));
    assert!(gone.last().removed_under.is_empty());
    assert_eq!(gone.last().removed.len(), 8);
}

#[test]
fn a_ledger_in_hand_may_lose_its_post() {
    let gone = go(
        &Floor::new(1, 1),
        r#"Step(id: "1", do: [Set("main.post.*1"), Set("main.ledger.A1-B1"),
                Hold("main.ledger.A1-B1", 2), Remove("main.post.B1")])"#,
    );
    assert!(gone.last().removed_under.is_empty());
    assert_eq!(gone.last().hands_needed, 3);
}

#[test]
fn crew_people_and_places_are_kept() {
    let gone = go(
        &Floor::new(1, 1),
        r#"Step(id: "1", title: "First", crew: 5, do: [Set("main.post.A1")],
                people: [(who: "erector", at: ("1 m", "2 m", "0 m"), tied_off: true)]),
           Step(id: "2", do: [Set("main.post.B1")])"#,
    );
    assert_eq!((gone.stage(0).crew, gone.stage(1).crew), (5, 3));
    assert_eq!(gone.stage(0).title, "First");
    assert_eq!(gone.stage(0).people[0].at, standwell::assembly::model::Point::new(1.0, 2.0, 0.0));
    assert!(gone.stage(0).people[0].tied_off && gone.stage(1).people.is_empty());
    assert_eq!(gone.names(&gone.stage(1).touched), ["main.post.B1"]);
    assert_eq!((gone.stage(1).index, gone.stage(1).step.as_str()), (1, "2"));
}

#[test]
fn without_a_sequence_everything_stands_and_only_that_is_judged() {
    let floor = Floor { sheets: true, clips: true, ..Floor::new(2, 1).braced(&["A1-B1"]) };
    let gone = go(&floor, "");
    assert!(gone.sequence.finished_only);
    let stage = gone.last();
    assert_eq!((gone.sequence.stages.len(), stage.step.as_str()), (1, "finished"));
    assert!(stage.members.iter().all(|&m| m == MemberState::Standing));
    assert_eq!(gone.joints(stage, "main.brace.A1-B1.a", "main.post.A1"), [JointState::Locked]);
    assert_eq!(
        gone.joints(stage, "main.ledger.B1-C1", "main.post.C1"),
        [JointState::Locked, JointState::Locked]
    );
    // Nobody has said that sheets are nailed.
    assert!(stage.nailed.iter().all(|n| !n));
    assert_eq!(gone.joints(stage, "main.sheet.A1-B2.1", "main.joist.A1-A2"), [JointState::Hung]);
}
