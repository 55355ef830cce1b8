//! What is not known, or is not a number, is never passed over in silence.

use standwell::checks::{REGISTER, Seeing};
use standwell::findings::Severity;
use standwell::mechanics::Verdict;
use standwell::review::{JudgedStage, Review, judge, observe_one};
use std::path::Path;

/// A sound tower with ledgers that run on a little, finished.
fn tower() -> Review {
    let text = r#"(format: 1, title: "tower", equipment: ["sample"], criteria: "us",
        floors: [(name: "slab", level: "0 m", kind: Slab)],
        blocks: [(name: "main", x: (lines: "A..B", every: "6 ft"), y: (lines: "1..2", every: "6 ft"),
            stands_on: "slab", head: "8 ft", post: "post-10", ledger: ["ledger-6"],
            joist: ["joist-6"], brace: "brace", brace_every: 1,
            overhangs: [(along: "B", by: "3 in")])])"#;
    let loaded = standwell::scene::read(text, Path::new("tower.ron")).unwrap();
    judge(loaded, &|_, _| true).unwrap()
}

/// What is seen once something in the judgment is changed: codes above *watch*, with whether they
/// are unknown.
fn seen(change: impl FnOnce(&mut JudgedStage)) -> Vec<(&'static str, bool)> {
    let review = tower();
    let mut judged = review.stages[0].clone();
    change(&mut judged);
    let stage = &review.sequence.stages[0];
    let all = observe_one(&review.assembly, &review.pack, &review.sequence, stage, &judged);
    let worth = |s: &&Seeing| s.observation.severity > Severity::Watch;
    all.iter().filter(worth).map(|s| (REGISTER[s.hazard].code, s.observation.unknown)).collect()
}

#[test]
fn the_tower_itself_is_sound() {
    assert!(seen(|_| {}).is_empty());
    assert!(!tower().stages[0].equilibrium.tipping.is_empty());
}

#[test]
fn an_unknown_verdict_is_a_finding() {
    let why = || Verdict::Unknown("it did not converge".to_owned());
    type Pick = fn(&mut JudgedStage) -> &mut Verdict;
    let verdicts: [Pick; 5] = [
        |j| &mut j.mechanics.mechanisms_certain,
        |j| &mut j.mechanics.critical,
        |j| &mut j.mechanics.lateral,
        |j| &mut j.mechanics.push,
        |j| &mut j.mechanics.strength.verdict,
    ];
    for verdict in verdicts {
        assert_eq!(seen(|j| *verdict(j) = why()), [("SW304", true)]);
    }
}

#[test]
fn a_no_that_names_nothing_is_a_finding() {
    assert_eq!(seen(|j| j.mechanics.mechanisms_certain = Verdict::NotMet), [("SW304", true)]);
    assert_eq!(seen(|j| j.mechanics.lateral = Verdict::NotMet), [("SW304", true)]);
    assert_eq!(seen(|j| j.mechanics.push = Verdict::NotMet), [("SW304", true)]);
    assert_eq!(seen(|j| j.mechanics.strength.verdict = Verdict::NotMet), [("SW304", true)]);
    // Below the required factor with no factor known: it can fall.
    assert_eq!(seen(|j| j.mechanics.critical = Verdict::NotMet), [("SW301", false)]);
}

#[test]
fn what_is_not_a_number_is_not_good_enough() {
    let tips = seen(|j| {
        for tipping in &mut j.equilibrium.tipping {
            tipping.factor = f64::NAN;
        }
    });
    assert!(tips.contains(&("SW401", false)), "{tips:?}");
    let heavy = seen(|j| j.loads.at_foot.fill(f64::NAN));
    assert!(heavy.contains(&("SW202", false)), "{heavy:?}");
    let most = seen(|j| j.loads.foot_greatest.fill(f64::NAN));
    assert!(most.contains(&("SW202", false)), "{most:?}");
    let yields = seen(|j| {
        for post in j.mechanics.strength.posts.to_mut() {
            post.usage = f64::NAN;
        }
    });
    assert_eq!(yields, [("SW221", false)]);
}

#[test]
fn what_the_loads_and_the_tipping_could_not_judge_is_a_finding() {
    let post = tower().assembly.find("main.post.A1").unwrap();
    let ledger = tower().assembly.find("main.ledger.A1-B1").unwrap();
    assert_eq!(
        seen(|j| j.equilibrium.unknown.push((ledger, "no weight".to_owned()))),
        [("SW304", true)]
    );
    assert_eq!(seen(|j| j.loads.unknown.push((ledger, "no weight".to_owned()))), [("SW304", true)]);
    assert_eq!(
        seen(|j| j.loads.unplaced.push(("beside the deck".to_owned(), 500.0))),
        [("SW304", true)]
    );
    assert_eq!(
        seen(|j| j.mechanics.not_modelled.push((post, "no section".to_owned()))),
        [("SW304", true)]
    );
    assert_eq!(seen(|j| j.loads.no_path.push(ledger)), [("SW301", false)]);
    let play = |j: &mut JudgedStage| {
        j.mechanics.strength.verdict = Verdict::Unknown("no play".to_owned());
        j.mechanics.strength.unknown.push((post, "no play".to_owned()));
    };
    assert_eq!(seen(play), [("SW221", true)]);
}
