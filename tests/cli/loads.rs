//! `standwell loads`.

use super::run::run;

#[test]
fn a_post_is_told_with_its_paths_in_words_and_for_machines() {
    let args = ["loads", "deep-beam", "--stage", "pour.strip-1", "--post", "main.post.B2"];
    let text = run(&args);
    assert_eq!(text.status, 0, "{}", text.stderr);
    for due in
        ["Post main B2 after step pour.strip-1", "pour.strip-1", "self-weight", "ledger", "joist"]
    {
        assert!(text.stdout.contains(due), "{due} is not in\n{}", text.stdout);
    }
    let json = run(&[&args[..], &["--format", "json"]].concat());
    let value: serde_json::Value = serde_json::from_str(&json.stdout).unwrap();
    let one = &value[0];
    let number = |v: &serde_json::Value| v.as_f64().unwrap();
    let sum: f64 = one["paths"].as_array().unwrap().iter().map(|p| number(&p["force"])).sum();
    assert!((sum - number(&one["at_foot"])).abs() < 1e-6 * sum);
    assert!(number(&one["least"]) <= number(&one["at_foot"]));
    assert!(number(&one["greatest"]) > number(&one["at_foot"]));
}

#[test]
fn unknown_steps_and_posts_are_wrong_usage() {
    for args in [
        ["loads", "deep-beam", "--stage", "nowhere"],
        ["loads", "deep-beam", "--post", "Z9"],
        ["loads", "deep-beam", "--post", "main.ledger.A1-B1"],
    ] {
        assert_eq!(run(&args).status, 64, "{args:?}");
    }
}
