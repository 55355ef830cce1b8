//! `levels` and `strip`: what they print and with which status.

use super::run::run;

#[test]
fn a_usual_scheme_in_fractions() {
    let ran = run(&["levels", "--scheme", "2+1"]);
    assert_eq!((ran.status, ran.stderr.as_str()), (0, ""));
    assert!(ran.stdout.contains("largest slab load 11/6 = 1.833 (slab 2)"), "{}", ran.stdout);
    let worse = run(&["levels", "--scheme", "1+1", "--reshores-first"]);
    assert!(worse.stdout.contains("largest slab load 7/4"), "{}", worse.stdout);
    assert!(run(&["levels", "--scheme", "2+1", "--linear"]).stdout.contains("-1/4"));
    for bad in ["0+1", "x", "2+99", ""] {
        assert_eq!(run(&["levels", "--scheme", bad]).status, 64, "{bad}");
    }
}

#[test]
fn the_levels_of_a_job() {
    let ran = run(&["levels", "reshored-levels"]);
    assert_eq!((ran.status, ran.stderr.as_str()), (0, ""));
    for words in ["3. day 3: cast L4", "fresh: its shores carry it", "Cardington", "Sample data"] {
        assert!(ran.stdout.contains(words), "{words}: {}", ran.stdout);
    }
    let none = run(&["levels", "starter-tower"]);
    assert_eq!((none.status, none.stdout.as_str()), (64, ""));
    assert!(none.stderr.contains("no `levels`"));
}

#[test]
fn what_comes_free_while_stripping() {
    let ran = run(&["strip", "stripped-floor"]);
    assert_eq!((ran.status, ran.stderr.as_str()), (0, ""));
    for words in [
        "log: slab level-3 may be stripped, posts left in",
        "posts undisturbed 20",
        "may be stripped and cleared of posts",
        "In all 137 of the 137 parts",
    ] {
        assert!(ran.stdout.contains(words), "{words}: {}", ran.stdout);
    }
    assert!(run(&["strip", "sound-floor"]).stdout.contains("Nothing is stripped in this job."));
}
