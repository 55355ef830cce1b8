//! `calc`, `rules`, and `check` under another pack or two.

use super::run::run;
use serde_json::Value;

fn json(args: &[&str]) -> Value {
    let ran = run(args);
    serde_json::from_str(&ran.stdout)
        .unwrap_or_else(|e| panic!("{e}: {}{}", ran.stdout, ran.stderr))
}

#[test]
fn a_members_sheet_names_its_sources_and_that_data_are_samples() {
    let ran = run(&["calc", "starter-tower", "--member", "main.post.A1"]);
    assert_eq!(ran.status, 0, "{}", ran.stderr);
    for words in [
        "use your supplier's table",
        "incomplete:",
        "numbers are from memory",
        "P_t",
        "[post-",
        "End conditions of the table: pinned at foot and head.",
    ] {
        assert!(ran.stdout.contains(words), "{words} is not in\n{}", ran.stdout);
    }
    let report = json(&["calc", "starter-tower", "--member", "main.post.A1", "--format", "json"]);
    let line = &report["sheets"][0]["sections"][0]["lines"][0];
    for field in ["symbol", "meaning", "formula", "inputs", "value", "unit", "source"] {
        assert!(line.get(field).is_some(), "{field}: {line}");
    }
}

#[test]
fn calc_says_what_is_not_there() {
    for (args, words) in [
        (
            vec!["calc", "starter-tower", "--member", "main.post.A9"],
            "there is no member \"main.post.A9\"",
        ),
        (vec!["calc", "starter-tower", "--finding", "SW202"], "write the finding as CODE@STEP"),
        (
            vec!["calc", "starter-tower", "--finding", "SW202@nowhere"],
            "there is no step \"nowhere\"",
        ),
        (vec!["calc", "starter-tower"], "say which --finding or --member"),
    ] {
        let ran = run(&args);
        assert_ne!(ran.status, 0, "{args:?}");
        assert!(ran.stderr.contains(words), "{args:?}: {}", ran.stderr);
    }
}

#[test]
fn rules_lists_every_number_with_source_and_file() {
    let ran = run(&["rules", "us+california"]);
    assert_eq!(ran.status, 0, "{}", ran.stderr);
    for words in [
        "US practice, federal rules with california (US)",
        "incomplete:",
        "live_load",
        "2.39 kPa",
        "from shipped:criteria/us.ron",
        "from shipped:criteria/california.ron",
        "(seen in print)",
        "(from memory, to be checked)",
        "(common practice, no published source)",
    ] {
        assert!(ran.stdout.contains(words), "{words} is not in\n{}", ran.stdout);
    }
    let report = json(&["rules", "eu", "--format", "json"]);
    assert!(report["rules"].as_array().unwrap().len() > 40);
    let all = run(&["rules"]);
    for name in ["us", "uk", "eu", "california", "washington"] {
        assert!(all.stdout.lines().any(|l| l.starts_with(&format!("{name} "))), "{}", all.stdout);
    }
    let wrong = run(&["rules", "uss"]);
    assert_eq!(wrong.status, 2);
    assert!(wrong.stderr.contains("did you mean \"us\"?"), "{}", wrong.stderr);
    let wrong = run(&["rules", "uk+california"]);
    assert!(wrong.stderr.contains("is an option for the pack \"us\""), "{}", wrong.stderr);
}

#[test]
fn two_packs_side_by_side() {
    let ran = run(&["check", "starter-tower", "--beside", "uk"]);
    for words in [
        "A  US practice, federal rules (US)",
        "B  UK practice, BS 5975 (UK)",
        "Numbers that differ",
        "overturning",
        "A 1.5",
        "B 1.2",
        "Found under A alone",
        "Found under B alone",
    ] {
        assert!(ran.stdout.contains(words), "{words} is not in\n{}", ran.stdout);
    }
    let both =
        json(&["check", "starter-tower", "--criteria", "us", "--beside", "us", "--format", "json"]);
    assert_eq!(both["rules"].as_array().unwrap().len(), 0);
    assert_eq!(both["findings"].as_array().unwrap().len(), 0);
    assert_eq!(both["a"]["job"]["criteria"]["name"], "us");
    let eu = json(&["check", "starter-tower", "--criteria", "eu", "--format", "json"]);
    assert_eq!(eu["job"]["criteria"]["name"], "eu");
    assert!(eu["job"]["criteria"]["incomplete"].as_str().unwrap().contains("from memory"));
}
