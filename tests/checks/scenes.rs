//! One firing and one silent scene for each hazard: the second is the first with exactly one
//! change, just across the limit.

use standwell::checks::REGISTER;
use standwell::findings::{Finding, Severity};
use standwell::review::{Review, judge};
use std::path::{Path, PathBuf};

fn folder(hazard: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/checks").join(hazard)
}

/// Judges a scene text as if it lay in the hazard's folder.
fn judged(hazard: &str, text: &str) -> Review {
    let loaded = standwell::scene::read(text, &folder(hazard).join("scene.ron"))
        .unwrap_or_else(|problems| panic!("{hazard}:\n{problems}"));
    judge(loaded, &|_, _| true).unwrap_or_else(|problems| panic!("{hazard}:\n{problems}"))
}

fn text(hazard: &str, which: &str) -> String {
    std::fs::read_to_string(folder(hazard).join(which)).unwrap()
}

fn of<'a>(review: &'a Review, hazard: &str) -> Vec<&'a Finding> {
    let name = hazard.replace('_', "-");
    review.findings.iter().filter(|f| f.hazard == name).collect()
}

fn told(review: &Review) -> String {
    review
        .findings
        .iter()
        .map(|f| format!("{} {:?} at {}: {}\n", f.code, f.subjects, f.from_step, f.headline))
        .collect()
}

/// The firing scene gives exactly these findings of the hazard, step and subjects; the silent one
/// gives none.
fn fires_and_is_silent(hazard: &str, expected: &[(&str, Severity, &[&str])]) {
    let fires = judged(hazard, &text(hazard, "fires.ron"));
    let found: Vec<(&str, Severity, Vec<&str>)> = of(&fires, hazard)
        .iter()
        .map(|f| {
            (f.from_step.as_str(), f.severity, f.subjects.iter().map(String::as_str).collect())
        })
        .collect();
    let expected: Vec<(&str, Severity, Vec<&str>)> =
        expected.iter().map(|(step, severity, names)| (*step, *severity, names.to_vec())).collect();
    assert_eq!(found, expected, "{hazard} fires with\n{}", told(&fires));
    for finding in of(&fires, hazard) {
        assert!(finding.headline.chars().count() <= 100, "too long: {}", finding.headline);
        assert!(!finding.cures.is_empty(), "{}: no cure", finding.headline);
        assert!(!finding.sources.is_empty(), "{}: no source", finding.headline);
    }
    let silent = judged(hazard, &text(hazard, "silent.ron"));
    assert!(of(&silent, hazard).is_empty(), "{hazard} is not silent:\n{}", told(&silent));
}

/// Lines without the comment at the head of the file.
fn body(text: &str) -> Vec<&str> {
    text.lines().skip_while(|line| line.starts_with("//")).collect()
}

#[test]
fn every_hazard_has_both_scenes_and_they_differ_in_one_line() {
    for hazard in REGISTER {
        let name = hazard.name.replace('-', "_");
        let (fires, silent) = (text(&name, "fires.ron"), text(&name, "silent.ron"));
        for which in [&fires, &silent] {
            assert!(which.starts_with("// "), "{name}: no comment at the head");
        }
        let (a, b) = (body(&fires), body(&silent));
        assert_eq!(a.len(), b.len(), "{name}");
        let differ = a.iter().zip(&b).filter(|(a, b)| a != b).count();
        assert_eq!(differ, 1, "{name}: {differ} lines differ");
    }
}

macro_rules! scenes {
    ($($hazard:ident: $([$step:literal, $severity:ident, $($name:literal)*])+;)+) => {
        $(
            #[test]
            fn $hazard() {
                fires_and_is_silent(
                    stringify!($hazard),
                    &[$(($step, Severity::$severity, &[$($name),*])),+],
                );
            }
        )+
        #[test]
        fn every_hazard_is_asked() {
            let asked = [$(stringify!($hazard)),+];
            for hazard in REGISTER {
                assert!(asked.contains(&hazard.name.replace('-', "_").as_str()), "{}", hazard.name);
            }
        }
    };
}

scenes! {
    post_not_held: ["c1", Stop, "main.post.C1"];
    graph_disagrees: ["finished", Note, "main.post.A1"];
    tall_single_leg: ["finished", FixFirst, "main.post.A1" "main.post.A2" "main.post.B1" "main.post.B2"];
    post_overloaded: ["load", Watch, "main.post.A1"];
    beam_overstressed: ["load", Stop, "main.ledger.A1-B1"];
    beam_crushed: ["load", Stop, "main.ledger.A1-B1"];
    deck_sags: ["load", Watch, "main.joist.A1-A2"];
    sheet_overstressed: ["load", Stop, "sheet"];
    brace_overloaded: ["tower.B2", Stop,
        "main.brace.A1-A2.a" "main.brace.A1-A2.b" "main.brace.A1-B1.a" "main.brace.A1-B1.b"
        "main.brace.A2-B2.a" "main.brace.A2-B2.b" "main.brace.B1-B2.a" "main.brace.B1-B2.b"];
    head_overloaded: ["load", Stop, "main.post.A1"];
    jack_overloaded: ["load", Stop, "main.post.A1"];
    clip_overloaded: ["load", Stop, "main.clip.C1"];
    beam_turns_over: ["load", Stop, "main.ledger.A1-B1"];
    post_yields: ["load", Watch, "main.post.A1"];
    deck_sheared: ["unbrace", Stop, "main.sheet.A1-B2.1"];
    stage_unstable: ["load", FixFirst, "main.post.A1" "main.post.A2" "main.post.B1" "main.post.B2"];
    toppled_by_push: ["tower.B2", Stop, "main.post.A1" "main.post.A2" "main.post.B1" "main.post.B2"];
    foot_lifts: ["finished", Watch, "main.post.B1" "main.post.B2" "main.post.C1" "main.post.C2"];
    not_judged: ["load", FixFirst,];
    tower_tips_by_overhang: ["tower.B2", FixFirst, "main.ledger.A1-B1" "main.ledger.A2-B2"];
    wind_height_assumed: ["bundle", Note,];
    cantilever_tips: ["rest", FixFirst, "main.ledger.B1-C1"] ["rest", FixFirst, "main.ledger.B2-C2"];
    clip_missing: ["rest", Stop, "main.ledger.B2-C2"];
    clip_on_light_post:
        ["rest", FixFirst, "main.ledger.B1-C1" "main.post.B1"]
        ["rest", FixFirst, "main.ledger.B2-C2" "main.post.B2"];
    sheet_past_last_joist: ["finished", FixFirst, "end"];
    piece_slides: ["finished", FixFirst, "main.post.A1" "main.post.A2" "main.post.B1" "main.post.B2"];
    piece_tips: ["finished", FixFirst, "main.post.A1" "main.post.A2" "main.post.B1" "main.post.B2"];
    post_pulled_up:
        ["finished", FixFirst, "main.ledger.A1-B1" "main.ledger.B1-C1" "main.post.B1"]
        ["finished", FixFirst, "main.ledger.A2-B2" "main.ledger.B2-C2" "main.post.B2"];
    foot_slips: ["finished", Watch, "main.post.A1"];
    sheet_lifts_in_wind: ["deck.A1-B2", FixFirst,
        "main.sheet.A1-B2.1" "main.sheet.A1-B2.2" "main.sheet.A1-B2.3"];
    edge_unprotected: ["nail", FixFirst,];
    opening_unprotected: ["finished", FixFirst,];
    out_of_reach: ["finished", FixFirst, "main.post.A1" "main.post.A2" "main.post.B1" "main.post.B2"];
    bundle_on_half_deck: ["bundle", FixFirst, "main.sheet.A1-B2.2" "main.sheet.A1-B2.3"];
    post_on_nothing: ["finished", FixFirst, "main.post.A1"];
    joint_near_miss: ["finished", FixFirst, "far" "reach"];
    more_hands_than_crew: ["tower.B2", FixFirst,
        "main.brace.A2-B2.a" "main.brace.A2-B2.b" "main.brace.B1-B2.a" "main.brace.B1-B2.b"
        "main.joist.B1-B2" "main.ledger.A2-B2" "main.post.A1" "main.post.A2" "main.post.B1"
        "main.post.B2"];
    removed_under_load: ["back", Stop, "main.ledger.B1-C1" "main.post.C1"];
    tiered_post_unbraced: ["finished", FixFirst, "main.post.A1" "upper"];
    brace_plane_broken:
        ["finished", FixFirst, "main.post.D1" "main.post.E1"]
        ["finished", FixFirst, "main.post.D2" "main.post.E2"];
    head_loaded_unlocked: ["fillers", Stop, "main.post.A1" "main.post.A2" "main.post.B1" "main.post.B2"];
    lift_too_heavy: ["finished", Note, "main.post.A1" "main.post.A2" "main.post.B1" "main.post.B2"];
    layout_problem: ["finished", FixFirst,];
    damaged_part_in_use: ["finished", FixFirst, "main.brace.A1-B1.a"];
    jack_beyond_extension: ["tower.B2", Stop, "main.post.A1"];
    sill_overloaded: ["load", FixFirst, "main.sill.A1"];
    ground_overloaded: ["load", FixFirst, "main.post.A1"];
    ground_in_doubt: ["finished", FixFirst, "main.post.B1" "main.post.B2"];
    foot_near_drop:
        ["finished", FixFirst, "main.post.B1"]
        ["finished", FixFirst, "main.post.B2"];
    foot_near_opening: ["finished", Watch, "main.post.B1"];
    post_in_vehicle_way:
        ["finished", FixFirst, "main.post.B1"]
        ["finished", FixFirst, "main.post.B2"];
    diagonals_required: ["finished", Watch, "main.post.A1" "main.post.A2" "main.post.B1" "main.post.B2"];
    engineer_required: ["finished", Note, "main.post.A1" "main.post.A2" "main.post.B1" "main.post.B2"];
    unbalanced_pour: ["pour.edge", Stop, "main.ledger.B1-C1" "main.ledger.B2-C2"];
    heap_too_high: ["heap", FixFirst,];
    jacking_under_concrete: ["level", Stop, "main.post.B1"];
    hold_point_missing: ["pour", FixFirst,];
    people_below_placing: ["pour", Stop,];
    layer_too_tall: ["pour.strip-1.layer-1", FixFirst,];
    no_watch_while_placing: ["two", FixFirst,];
    slab_part_not_placed: ["after", Watch,];
    stripped_before_strength: ["early", Stop, "main.post.A1"];
    evidence_short: ["test", FixFirst,];
    slab_on_nothing: ["test", FixFirst,];
    held_by_friction: ["strip.A1-B2", Stop, "main.post.A1" "main.post.A2" "main.post.B1" "main.post.B2"];
    sheet_trapped: ["pull", FixFirst, "main.sheet.A1-B2.1"];
    posts_out_together: ["resnug", Stop, "main.post.A1" "main.post.B1"];
    left_in_overloaded: ["test", Stop, "main.post.A1" "main.post.A2" "main.post.B1" "main.post.B2"];
    slab_overloaded_at_age: ["finished", Stop,];
    reshore_order_worse: ["finished", FixFirst,];
    level_post_overloaded: ["finished", Stop,];
    posts_not_above: ["finished", FixFirst,
        "upper.post.A1" "upper.post.A2" "upper.post.B1" "upper.post.B2"];
}
