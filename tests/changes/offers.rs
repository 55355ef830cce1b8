//! Every offer can be made, and does what its button says.

use super::{laid_out, shipped};
use standwell::assembly::Role;
use standwell::changes::offers::{Here, Offer, of_member, of_stage};
use standwell::changes::{LaidOut, lay_out};
use standwell::scene::model::{Change, ChangeKind};
use standwell::scene::{self, edit::add_change};
use standwell::sequence::MemberState;
use std::path::Path;

fn here(laid_out: &LaidOut, stage: usize) -> Here<'_> {
    Here {
        assembly: &laid_out.assembly,
        sequence: &laid_out.sequence,
        stage: &laid_out.sequence.stages[stage],
    }
}

/// Makes an offer in the scene's text, as the program does.
fn made(text: &str, offer: &Offer) -> Result<LaidOut, String> {
    let change = Change { name: offer.words.clone(), change: offer.change.clone() };
    let text = add_change(text, &change).map_err(|e| e.to_string())?;
    let loaded = scene::read(&text, Path::new("tried.ron")).map_err(|e| format!("{e}\n{text}"))?;
    lay_out(loaded).map_err(|e| e.to_string())
}

fn state(laid_out: &LaidOut, step: &str, member: &str) -> MemberState {
    let stage = laid_out.sequence.stages.iter().find(|s| s.step == step).unwrap();
    laid_out.assembly.find(member).map_or(MemberState::Absent, |id| stage.state(id))
}

/// A beam taken out or away may leave something hanging on nothing: that a step cannot be done
/// then is an answer. All other offers must come through.
#[test]
fn every_offer_can_be_made_and_does_what_it_says() {
    for (name, every) in [("starter-tower", 1), ("slab-edge", 11)] {
        let text = shipped(name);
        let plain = laid_out(&text);
        let (mut tried, mut refused) = (0, 0);
        for stage in (0..plain.sequence.stages.len()).step_by(every) {
            let here = here(&plain, stage);
            let step = here.stage.step.clone();
            let members = plain.assembly.members.iter().skip(stage % 7).step_by(1 + every * 3);
            for (member, offer) in
                members.flat_map(|m| of_member(here, m.id).into_iter().map(move |o| (m, o)))
            {
                tried += 1;
                let done = match made(&text, &offer) {
                    Ok(done) => done,
                    Err(why) => {
                        let beams = matches!(
                            offer.change,
                            ChangeKind::TakeOut(_) | ChangeKind::TakeAway { .. }
                        );
                        assert!(beams, "{name} {step} {}: {why}", offer.words);
                        refused += 1;
                        continue;
                    }
                };
                let after = state(&done, &step, &member.name);
                match &offer.change {
                    ChangeKind::TakeOut(_) => assert!(done.assembly.find(&member.name).is_none()),
                    ChangeKind::TakeAway { .. } => assert_eq!(after, MemberState::Absent),
                    ChangeKind::PutIn { member, .. } if !member.contains('*') => {
                        assert_eq!(state(&done, &step, member), MemberState::Standing);
                    }
                    ChangeKind::Release { .. } => assert_eq!(after, MemberState::Standing),
                    ChangeKind::Hold { .. } => assert_eq!(after, MemberState::Held(1)),
                    ChangeKind::AddBraces { block, bay, .. } => {
                        let name = format!("{block}.brace.{bay}.a");
                        assert!(done.assembly.find(&name).is_some(), "{name}");
                    }
                    ChangeKind::AddMember { member, .. } => {
                        let id = done.assembly.find(&member.name).unwrap();
                        assert!(done.sequence.stages.last().unwrap().state(id).is_there());
                    }
                    _ => {}
                }
            }
        }
        assert!(tried > 15 && refused * 4 < tried, "{name}: {refused} of {tried} refused");
    }
}

#[test]
fn steps_are_moved_as_the_buttons_say() {
    let text = shipped("sound-floor");
    let plain = laid_out(&text);
    let order = |l: &LaidOut| l.sequence.stages.iter().map(|s| s.step.clone()).collect::<Vec<_>>();
    let at = plain.sequence.stages.iter().position(|s| s.step.starts_with("deck")).unwrap() + 1;
    let offers = of_stage(here(&plain, at));
    let mut earlier = order(&plain);
    earlier.swap(at - 1, at);
    let mut later = order(&plain);
    later.swap(at, at + 1);
    for (words, due) in [("Do this step before", earlier), ("Do this step after", later)] {
        let offer = offers.iter().find(|o| o.words.starts_with(words)).unwrap();
        assert_eq!(order(&made(&text, offer).unwrap()), due, "{}", offer.words);
    }
    assert!(of_stage(here(&plain, 0)).iter().all(|o| !o.words.contains("before")));
}

/// A post by a wall is offered a tie to it, and one far from it none.
#[test]
fn a_tie_is_offered_where_a_part_reaches() {
    let text = shipped("starter-tower").replace(
        "    blocks: [(",
        "    permanent: [(name: \"wall W\", kind: Wall(from: (\"-13 ft\", \"-9 ft\"), to: (\"-13 ft\", \"20 ft\"), \
         thickness: \"8 in\"), from: \"0 ft\", to: \"10 ft\")],\n    blocks: [(",
    );
    let plain = laid_out(&text);
    let last = plain.sequence.stages.len() - 1;
    let of = |post: &str| {
        let id = plain.assembly.find(post).unwrap();
        of_member(here(&plain, last), id).into_iter().find(|o| o.words.starts_with("Tie it"))
    };
    let offer = of("main.post.A1").unwrap();
    let done = made(&text, &offer).unwrap();
    let ChangeKind::AddMember { member, .. } = &offer.change else { panic!("{offer:?}") };
    let tie = done.assembly.find(&member.name).unwrap();
    assert!(done.sequence.stages.last().unwrap().stands(tie));
    assert!(of("main.post.B1").is_none(), "18 ft 8 in is farther than any sample brace spans");
}

/// Where the block states no clip one can be added, at the post behind, and it comes in.
#[test]
fn a_clip_is_offered_where_the_block_states_none() {
    let stated = shipped("slab-edge");
    let clips = |l: &LaidOut| {
        let of = |m: &standwell::assembly::Member| (m.role == Role::Clip).then(|| m.name.clone());
        l.assembly.members.iter().filter_map(of).collect::<Vec<_>>()
    };
    let text: String = stated
        .lines()
        .filter(|l| l.trim() != "clip: \"clip\"," && !l.contains("Clip("))
        .map(|l| format!("{l}\n"))
        .collect();
    let plain = laid_out(&text);
    assert!(clips(&plain).is_empty() && !clips(&laid_out(&stated)).is_empty());
    let last = plain.sequence.stages.len() - 1;
    let offered = |id| {
        let all = of_member(here(&plain, last), id);
        all.into_iter().find(|o| o.words.starts_with("Clip it down at"))
    };
    let found: Vec<Offer> = plain.assembly.members.iter().filter_map(|m| offered(m.id)).collect();
    let posts = plain.assembly.members.iter().filter(|m| m.is_post()).count();
    assert!(!found.is_empty() && found.len() < posts, "{} offers", found.len());
    for offer in found.iter().step_by(3) {
        let done = made(&text, offer).unwrap();
        let [clip] = &clips(&done)[..] else { panic!("{:?}", clips(&done)) };
        let id = done.assembly.find(clip).unwrap();
        let joint = done.assembly.joints.iter().find(|j| j.clip == Some(id)).unwrap();
        assert!(offer.words.contains(done.assembly.name(joint.carrier.unwrap())));
        assert!(done.sequence.stages.last().unwrap().stands(id));
    }
}
