//! Scores by hand: what was seen, missed, raised for nothing.

use super::shipped::opened;
use standwell::lessons::{
    Answer, Phase, Replay, Session, fall_time, made_from, named_members, score,
};

fn names(names: &[&str]) -> Vec<String> {
    names.iter().map(|n| (*n).to_owned()).collect()
}

/// In the lesson of the long row C1 and C2 are loose from `erect.C2` on, and C3 and C4 join them.
#[test]
fn seen_missed_and_raised_for_nothing() {
    let opened = opened("long-row");
    let review = &opened.review;
    let at = |step: &str| review.sequence.stages.iter().position(|s| s.step == step).unwrap();
    let stage = at("erect.C2");

    let right = score(review, stage, &names(&["main.post.C1", "main.post.C2"]));
    assert_eq!((right.seen.len(), right.missed.len(), right.raised.len()), (1, 0, 0));
    assert!(right.is_right());
    // Either of the two is enough.
    assert!(score(review, stage, &names(&["main.post.C2"])).is_right());

    let none = score(review, stage, &[]);
    assert_eq!((none.seen.len(), none.missed.len()), (0, 1));
    assert!(!none.is_right());

    // Some step shows a post beside the loose ones that nothing is said of: it stands, held both ways.
    let beside = ["main.post.A1", "main.post.A2", "main.post.A3", "main.post.A4", "main.post.D4"];
    let (marked, wrong) = (stage..review.sequence.stages.len())
        .flat_map(|at| beside.map(|post| (at, post)))
        .map(|(at, post)| (post, score(review, at, &names(&[post, "main.post.C1"]))))
        .find(|(_, score)| score.raised.iter().any(|(_, why)| why.contains("held both ways")))
        .expect("a post that stands well");
    assert_eq!(wrong.seen.len(), 1);
    let (member, why) = &wrong.raised[0];
    assert_eq!(member, marked);
    assert!(why.contains("brace"), "{why}");
    assert!(!wrong.is_right());

    // The joist between them moves along: close, but not what is wrong.
    let near = score(review, stage, &names(&["main.joist.C1-C2"]));
    assert_eq!((near.near.len(), near.raised.len(), near.missed.len()), (1, 0, 1));

    // What joined later counts as seeing the same fault.
    assert!(score(review, at("erect.C4"), &names(&["main.post.C4"])).is_right());
    // Not yet there.
    let early = score(review, stage, &names(&["main.post.C4"]));
    assert_eq!(early.raised[0].1, "It is not there yet, or not any more.");
    // In hand.
    let opened = super::shipped::opened("first-tower");
    let held = score(&opened.review, 0, &names(&["main.post.A1"]));
    assert_eq!(held.raised[0].1, "Somebody has it in hand.");
    assert!(score(&opened.review, 0, &[]).is_right());
}

#[test]
fn members_by_the_names_people_use() {
    let opened = opened("long-row");
    let assembly = &opened.review.assembly;
    let named = |text| named_members(assembly, text);
    assert_eq!(named("C1").unwrap(), ["main.post.C1"]);
    assert_eq!(named("c1, C2").unwrap(), ["main.post.C1", "main.post.C2"]);
    assert_eq!(named("ledger B1-C1").unwrap(), ["main.ledger.B1-C1"]);
    assert_eq!(named("ledger B1 – C1").unwrap(), ["main.ledger.B1-C1"]);
    assert_eq!(named("brace A1-B1").unwrap(), ["main.brace.A1-B1.a", "main.brace.A1-B1.b"]);
    assert_eq!(named("main.post.D*").unwrap().len(), 4);
    assert!(named("Z9").is_err() && named("ledger").is_err());
    assert_eq!(named(" , ").unwrap(), Vec::<String>::new());
}

#[test]
fn a_session_waits_for_answers_and_keeps_the_first() {
    let mut session = Session::new(opened("first-tower"), "N. Sample");
    assert!(session.may_go_on(), "the first card is to be read");
    session.next();
    let at = session.at;
    assert!(!session.may_go_on());
    session.next();
    assert_eq!(session.at, at, "it waits");
    assert!(session.answer(&Answer::Marks(Vec::new()), None).is_none(), "does not fit the card");
    assert!(session.answer(&Answer::GoOn(false), None).is_some_and(|t| !t.right));
    assert!(session.answer(&Answer::GoOn(true), None).is_some_and(|t| t.right));
    assert_eq!(session.answered, Some(Answer::GoOn(true)));
    assert_eq!(session.tally(), (0, 1), "the first answer counts");
    session.next();
    session.back();
    assert_eq!(session.at, at);
    // Through to the end with every answer right.
    let mut session = Session::new(opened("strip-a-bay"), "N. Sample");
    while let Some(card) = session.card().cloned() {
        use standwell::lessons::Card;
        let stage = session.stage();
        let faults = standwell::lessons::faults_at(&session.opened.review, stage);
        match &card {
            Card::Mark { .. } => {
                let marks = faults.iter().map(|f| f.subjects[0].clone()).collect();
                assert!(session.answer(&Answer::Marks(marks), None).unwrap().right);
            }
            Card::GoOn { .. } => {
                assert!(session.answer(&Answer::GoOn(faults.is_empty()), None).unwrap().right);
            }
            Card::Choose { choices, .. } => {
                assert!(session.answer(&Answer::Choice(99), None).is_none());
                let right = choices.iter().position(|c| c.right).unwrap();
                assert!(session.answer(&Answer::Choice(right), None).unwrap().right);
            }
            Card::Say { .. } | Card::Replay { .. } => {}
        }
        session.next();
    }
    let (right, all) = session.tally();
    assert!(right == all && all >= 2);
    session.next();
    assert_eq!(session.stage(), session.opened.review.sequence.stages.len() - 1);
}

/// Any scene makes a lesson: each step where a root begins, the one before the first, and the last.
#[test]
fn a_lesson_from_any_scene() {
    let opened = opened("long-row");
    let lesson = made_from(&opened.review, "long-row");
    let steps: Vec<&str> =
        lesson.cards.iter().step_by(2).map(standwell::lessons::Card::at).collect();
    assert_eq!(steps, ["erect.C1", "erect.C2", "erect.D4"]);
}

/// Small angles have a closed form: θ(t) = θ0 cosh(t √(3g/2L)). From 0.01 to 0.02 rad it takes
/// arcosh(2)/√(3g/2L); the difference of two falls to the floor gives that stretch. Own derivation from
/// the equation of a rod about its foot, I = m L²/3.
#[test]
fn the_fall_of_a_rod() {
    let length: f64 = 2.74;
    let rate = (1.5 * 9.806_65 / length).sqrt();
    let lag = fall_time(length, 0.001).unwrap() - fall_time(length, 0.002).unwrap();
    // Each start is at rest: far from the start both grow as θ0 e^{rate t}/2, so a factor of two in the
    // lean is ln 2 of time.
    assert!((lag * rate - 2.0f64.ln()).abs() < 2e-3, "{}", lag * rate);
    // Longer falls slower, as the square root of its length.
    let ratio = fall_time(4.0 * length, 0.02).unwrap() / fall_time(length, 0.02).unwrap();
    assert!((ratio - 2.0).abs() < 1e-6);
    for (length, lean) in [(0.0, 0.1), (-1.0, 0.1), (2.0, 0.0), (2.0, 2.0), (f64::NAN, 0.1)] {
        assert_eq!(fall_time(length, lean), None);
    }
}

#[test]
fn a_replay_begins_at_rest_goes_faster_and_ends_right() {
    let opened = opened("next-post");
    let stage = opened.review.sequence.stages.iter().position(|s| s.step == "go").unwrap();
    let replay = Replay::at_stage(&opened.review, stage).unwrap();
    assert!(replay.members.iter().any(|(n, _)| n == "main.post.C1"));
    let size = |v: &[f64; 3]| (v[0] * v[0] + v[1] * v[1] + v[2] * v[2]).sqrt();
    let far = replay.members.iter().flat_map(|(_, e)| e.iter().map(size)).fold(0.0, f64::max);
    assert!((far - 0.45 * replay.tallest).abs() < 1e-9, "{far}");
    let mut last = (0.0, 0.0);
    let mut phases = Vec::new();
    for i in 0..=200 {
        let shown = Replay::shown(Replay::length() * f64::from(i) / 199.0);
        if phases.last() != Some(&shown.phase) {
            phases.push(shown.phase);
        }
        assert!((0.0..=1.0).contains(&shown.share));
        if shown.phase == Phase::Wrong {
            let step = shown.share - last.0;
            assert!(step >= last.1 - 1e-12, "always faster");
            last = (shown.share, step);
        }
    }
    assert_eq!(phases, [Phase::Before, Phase::Wrong, Phase::Gone, Phase::Right, Phase::Over]);
}
