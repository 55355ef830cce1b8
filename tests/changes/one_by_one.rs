//! Each kind of change: what is there, and in whose hands, at the stages around it.

use super::{laid_out, shipped, with};
use standwell::changes::LaidOut;
use standwell::sequence::{MemberState, Stage};

fn tower(changes: &[&str]) -> LaidOut {
    laid_out(&with(&shipped("starter-tower"), changes))
}

fn stage<'a>(laid_out: &'a LaidOut, step: &str) -> &'a Stage {
    laid_out.sequence.stages.iter().find(|s| s.step == step).unwrap()
}

fn state(laid_out: &LaidOut, step: &str, member: &str) -> MemberState {
    stage(laid_out, step).state(laid_out.assembly.find(member).unwrap())
}

fn steps(laid_out: &LaidOut) -> Vec<&str> {
    laid_out.sequence.stages.iter().map(|s| s.step.as_str()).collect()
}

#[test]
fn a_further_brace_goes_in_as_soon_as_its_posts_are_there() {
    let member = "AddMember(member: (name: \"extra\", role: brace, part: \"brace\", \
                  from: On(\"main.post.A1\", \"1 ft\"), to: On(\"main.post.B1\", \"7 ft 6 in\")))";
    let plain = tower(&[]);
    let first = plain
        .sequence
        .stages
        .iter()
        .find(|s| {
            ["main.post.A1", "main.post.B1"]
                .iter()
                .all(|p| s.state(plain.assembly.find(p).unwrap()).is_there())
        })
        .unwrap();
    let tried = tower(&[member]);
    assert_eq!(state(&tried, &first.step, "extra"), MemberState::Standing);
    let before = &tried.sequence.stages[first.index - 1];
    assert_eq!(state(&tried, &before.step, "extra"), MemberState::Absent);
    let extra = tried.assembly.find("extra").unwrap();
    let made = tried.assembly.joints_of(extra).iter();
    let locked = made.filter(|j| {
        stage(&tried, &first.step).joint(**j) == standwell::sequence::JointState::Locked
    });
    assert_eq!(locked.count(), 2);
    // Its place in the file is the change, for whoever wants to see it there.
    let text = with(&shipped("starter-tower"), &[member]);
    assert!(text[tried.assembly.member(extra).written_at.clone()].contains("\"extra\""));
}

#[test]
fn braces_of_a_bay_come_with_the_blocks_own_names_once_its_posts_stand() {
    let text = shipped("sound-floor");
    let without = laid_out(&text);
    let tried = laid_out(&with(&text, &["AddBraces(block: \"main\", bay: \"B1-C1\")"]));
    for half in ["a", "b"] {
        let name = format!("main.brace.B1-C1.{half}");
        assert!(without.assembly.find(&name).is_none());
        assert_eq!(state(&tried, "erect.C1", &name), MemberState::Standing);
        assert_eq!(state(&tried, "tower.B2", &name), MemberState::Absent);
        let id = tried.assembly.find(&name).unwrap();
        let ends = tried.assembly.joints_of(id).iter();
        let locked = standwell::sequence::JointState::Locked;
        assert!(ends.clone().count() == 2);
        assert!(ends.clone().all(|j| stage(&tried, "erect.C1").joint(*j) == locked));
    }
}

#[test]
fn what_is_taken_away_is_gone_from_its_step_on() {
    let plain = tower(&[]);
    let last = steps(&plain).last().copied().unwrap().to_owned();
    let brace = "main.brace.A1-B1.a";
    let tried = tower(&[&format!("TakeAway(member: \"{brace}\", in_step: \"{last}\")")]);
    assert_eq!(state(&plain, &last, brace), MemberState::Standing);
    assert_eq!(state(&tried, &last, brace), MemberState::Absent);
    let there = |s: &&Stage| s.state(tried.assembly.find(brace).unwrap()).is_there();
    assert!(tried.sequence.stages.iter().rev().skip(1).take(1).all(|s| there(&s)
        == plain.sequence.stages[s.index].state(plain.assembly.find(brace).unwrap()).is_there()));
}

#[test]
fn a_step_is_moved() {
    let plain = laid_out(&shipped("sound-floor"));
    let order: Vec<String> = steps(&plain).into_iter().map(str::to_owned).collect();
    let deck: Vec<&String> = order.iter().filter(|s| s.starts_with("deck")).collect();
    let (first, second) = (deck[0], deck[1]);
    let text = shipped("sound-floor");
    let tried =
        laid_out(&with(&text, &[&format!("MoveStep(step: \"{second}\", before: \"{first}\")")]));
    let mut due: Vec<&str> = order.iter().map(String::as_str).collect();
    let at = due.iter().position(|s| s == first).unwrap();
    due.swap(at, at + 1);
    assert_eq!(steps(&tried), due);
    let tried = laid_out(&with(&text, &[&format!("MoveStep(step: \"{first}\")")]));
    assert_eq!(steps(&tried).last(), Some(&first.as_str()));
    // The place in the file is still the entry that makes the step.
    let moved = tried.sequence.stages.last().unwrap();
    assert!(text[moved.written_at.clone()].starts_with("Deck("));
}

#[test]
fn hands_come_off_when_the_change_says() {
    let plain = tower(&[]);
    let all = steps(&plain);
    let (post, last) = ("main.post.A1", all.last().copied().unwrap());
    assert_eq!(state(&plain, last, post), MemberState::Standing);
    let held = tower(&[&format!("Hold(member: \"{post}\", hands: 2, from: \"{last}\")")]);
    assert_eq!(state(&held, last, post), MemberState::Held(2));
    let early = all.iter().rev().find(|s| state(&plain, s, post) == MemberState::Held(1)).unwrap();
    let off = tower(&[&format!("Release(member: \"{post}\", in_step: \"{early}\")")]);
    assert_eq!(state(&off, early, post), MemberState::Standing);
    assert_eq!(state(&off, last, post), MemberState::Standing);
}

#[test]
fn a_load_is_on_between_two_steps_and_takes_the_place_of_its_namesake() {
    let plain = tower(&[]);
    let all = steps(&plain);
    let [.., from, last] = all[..] else { panic!("two steps are due") };
    let load = |lb: u32| {
        format!(
            "(name: \"bundle\", kind: bundle, on: Point(member: \"main.ledger.A1-B1\", \
             at: \"1 ft\", weight: \"{lb} lb\"))"
        )
    };
    let once = format!("SetLoad(load: {}, from: \"{from}\", until: \"{last}\")", load(200));
    let tried = tower(&[&once]);
    assert_eq!(stage(&tried, from).loads.len(), 1);
    assert_eq!(stage(&tried, last).loads.len(), 0);
    let tried = tower(&[&once, &format!("SetLoad(load: {}, from: \"{from}\")", load(300))]);
    assert_eq!(stage(&tried, last).loads.len(), 1);
    let words = format!("{:?}", stage(&tried, last).loads[0].text);
    // 300 lb is 1334.5 N by the definitions of pound and standard gravity.
    assert!(words.contains("1334.4"), "{words}");
    let tried = tower(&[&once, "TakeOffLoad(\"bundle\")"]);
    assert_eq!(stage(&tried, from).loads.len(), 0);
}

#[test]
fn a_taken_out_member_is_missed_and_nothing_else_is_different() {
    let text = shipped("sound-floor");
    let plain = laid_out(&text);
    let tried = laid_out(&with(&text, &["TakeOut(\"main.brace.A1-B1.*\")"]));
    assert_eq!(steps(&plain), steps(&tried));
    for (a, b) in plain.sequence.stages.iter().zip(&tried.sequence.stages) {
        for member in &plain.assembly.members {
            match tried.assembly.find(&member.name) {
                Some(id) => assert_eq!(a.state(member.id), b.state(id), "{}", member.name),
                None => assert!(member.name.starts_with("main.brace.A1-B1.")),
            }
        }
    }
    assert_eq!(plain.assembly.members.len(), tried.assembly.members.len() + 2);
}
