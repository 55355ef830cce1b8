//! The order of names, and names with `*`.

use standwell::assembly::names::{fits, natural};

#[test]
fn numbers_in_names_count_as_numbers() {
    let mut names = ["m.post.A10", "m.post.A2", "m.ledger.A1-B1", "m.post.B1", "m.post.A02"];
    names.sort_by(|a, b| natural(a, b));
    assert_eq!(names, ["m.ledger.A1-B1", "m.post.A02", "m.post.A2", "m.post.A10", "m.post.B1"]);
}

#[test]
fn a_star_stands_for_any_text() {
    for (pattern, name, due) in [
        ("post.C4", "post.C4", true),
        ("post.C4", "post.C40", false),
        ("post.C*", "post.C40", true),
        ("*.C4", "post.C4", true),
        ("brace.*.a", "brace.C4-D4.a", true),
        ("brace.*.a", "brace.C4-D4.b", false),
        ("*", "", true),
        ("a*a", "a", false),
        ("a*b*c", "axxbxxc", true),
        ("", "post.C4", false),
    ] {
        assert_eq!(fits(pattern, name), due, "{pattern} on {name}");
    }
}
