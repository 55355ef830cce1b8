//! Options laid over a criteria pack, and which file gives each number.

use super::bad_text::changed;
use super::reads::{file, sound};
use standwell::criteria::Pack;
use standwell::criteria::compare::differs;
use standwell::scene::{self, Problem};

const OPTIONS: [&str; 5] =
    ["california", "em-385", "new-york-city", "new-york-state", "washington"];

fn scene_with(criteria: &str, options: &str) -> Result<Pack, Vec<Problem>> {
    let with = format!("criteria: \"{criteria}\", options: [{options}]");
    let text = changed("criteria: \"us\"", &with);
    scene::read(&text, &file("scene.ron")).map(|l| l.pack).map_err(|p| p.0)
}

fn us() -> Pack {
    scene::read(&sound(), &file("scene.ron")).unwrap().pack
}

#[test]
fn an_option_adds_its_rules_and_says_so() {
    let pack = scene_with("us", "\"new-york-city\", \"california\"").unwrap();
    assert_eq!(pack.full_title(), "US practice, federal rules with new-york-city, california");
    assert_eq!(pack.name, "us");
    let diagonals = &pack.diagonals_above[0];
    assert!((diagonals.value.si() - 3.048).abs() < 1e-9, "10 ft, NYC 3305.3");
    assert_eq!(diagonals.from, "shipped:criteria/new-york-city.ron");
    assert!((pack.engineer_above[0].value.si() - 4.2672).abs() < 1e-9, "14 ft, Cal 1717(b)");
    assert_eq!(pack.engineer_span_above.from, "shipped:criteria/california.ron");
    assert_eq!(pack.live_load.from, "shipped:criteria/us.ron");
}

#[test]
fn heights_of_several_options_add_up() {
    let pack = scene_with("us", "\"new-york-city\", \"washington\"").unwrap();
    let from: Vec<&str> = pack.diagonals_above.iter().map(|r| r.from.as_str()).collect();
    assert_eq!(from, ["shipped:criteria/new-york-city.ron", "shipped:criteria/washington.ron"]);
}

/// Every option over every other, in both orders: no rule gets laxer than the plain pack's.
#[test]
fn options_only_tighten() {
    let plain = us();
    for a in OPTIONS {
        for b in OPTIONS {
            let options = if a == b { format!("{a:?}") } else { format!("{a:?}, {b:?}") };
            let pack = scene_with("us", &options).unwrap();
            assert!(!differs(&plain, &pack).is_empty(), "{options} changes nothing");
            for rule in pack.rules() {
                for before in plain.rules().iter().filter(|r| r.name == rule.name) {
                    assert!(!rule.laxer_than(before), "{options}: {}", rule.name);
                }
            }
        }
    }
}

#[test]
fn a_laxer_number_of_an_option_is_left_out() {
    let folder = tempfile::tempdir().unwrap();
    let own = "(format: 1, extends: \"us\", name: \"own\",
        fall_height: (value: \"7.5 ft\", source: \"Our own rule\", seen: print),
        overturning: (value: 2.0, source: \"Our own rule\", seen: print))";
    std::fs::write(folder.path().join("own.ron"), own).unwrap();
    let read = |with: &str| {
        let text = changed("criteria: \"us\"", with);
        scene::read(&text, &folder.path().join("scene.ron")).unwrap_or_else(|p| panic!("{p}")).pack
    };
    let option = read("criteria: \"us\", options: [\"own.ron\"]");
    assert!((option.fall_height.value.si() - 6.0 * 0.3048).abs() < 1e-9, "6 ft stays");
    assert!((option.overturning.value - 2.0).abs() < 1e-12);
    assert!(option.overturning.from.ends_with("own.ron"), "{}", option.overturning.from);
    // As a pack of its own it changes what it likes, and the output says so.
    let pack = read("criteria: \"own.ron\"");
    assert!((pack.fall_height.value.si() - 7.5 * 0.3048).abs() < 1e-9);
    assert!(pack.fall_height.from.ends_with("own.ron"));
    assert_eq!(pack.live_load.from, "shipped:criteria/us.ron");
}

#[test]
fn options_that_cannot_be() {
    for (criteria, options, message) in [
        ("uk", "\"california\"", "\"california\" is an option for the pack \"us\""),
        ("us", "\"eu\"", "\"eu\" is a whole pack, not an option: it extends no other"),
        ("us", "\"california\", \"california\"", "\"california\" is listed twice"),
    ] {
        let found = scene_with(criteria, options).unwrap_err();
        assert_eq!(found.len(), 1, "{found:#?}");
        assert_eq!(found[0].message, message);
        assert!(found[0].path.starts_with("options["), "{}", found[0].path);
        assert!(found[0].line > 0);
    }
    let found = scene_with("us", "\"californa\"").unwrap_err();
    assert_eq!(found[0].help.as_deref(), Some("did you mean \"california\"?"));
}

/// The old name of what is now two packs still reads, and says what to write.
#[test]
fn the_old_name_reads_as_the_uk_pack() {
    let old = scene_with("uk-eu", "").unwrap();
    let uk = scene_with("uk", "").unwrap();
    assert!(differs(&old, &uk).is_empty());
    assert!(old.title.contains("write uk or eu"), "{}", old.title);
}

/// The disagreements of the documents, as the packs hold them: lateral force, live load, lean,
/// overturning, factor on posts.
#[test]
fn packs_differ_where_their_documents_do() {
    let (us, uk, eu) = (us(), scene_with("uk", "").unwrap(), scene_with("eu", "").unwrap());
    for (a, b) in [(&us, &uk), (&us, &eu)] {
        let names: Vec<&str> = differs(a, b).iter().map(|d| d.name).collect();
        for due in [
            "live_load",
            "combined_minimum",
            "lateral_edge",
            "overturning",
            "factor_on_characteristic",
            "factor_on_ultimate",
            "fall_height",
            "deflection",
        ] {
            assert!(names.contains(&due), "{due} in {names:?}");
        }
        assert!(!names.contains(&"critical_factor"));
    }
    let names: Vec<&str> = differs(&uk, &eu).iter().map(|d| d.name).collect();
    assert!(names.contains(&"lateral_share") && names.contains(&"out_of_plumb"), "{names:?}");
    assert!(differs(&us, &us).is_empty());
}
