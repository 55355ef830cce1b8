//! Names that are nowhere, or twice; numbers and lines that cannot be; circles.

use super::bad_text::{changed, one, place, problems};

#[test]
fn unknown_names() {
    let text = changed("stands_on: \"ground floor\",", "stands_on: \"ground flor\",");
    let help = Some("did you mean \"ground floor\"?");
    one(&text, "\"ground flor\"", "there is no floor \"ground flor\"", help);

    let text = changed("stands_on: \"pit\"", "stands_on: \"roof\"");
    let help = Some("what fits here: ground floor, pit");
    one(&text, "\"roof\"", "there is no floor \"roof\"", help);

    let text = changed("post: \"post-10\",", "post: \"post-1O\",");
    let message = "there is no post in the equipment called \"post-1O\"";
    one(&text, "\"post-1O\"", message, Some("did you mean \"post-10\"?"));

    let text = changed("Pour(slab: \"level 1\"", "Pour(slab: \"level 2\"");
    let help = Some("did you mean \"level 1\"?");
    one(&text, "\"level 2\"", "there is no slab \"level 2\"", help);

    let text = changed("Permanent(\"col 1\"", "Permanent(\"coll 1\"");
    let help = Some("did you mean \"col 1\"?");
    one(&text, "\"coll 1\"", "there is no wall or column \"coll 1\"", help);

    let text = changed("Foot(\"prop\")", "Foot(\"porp\")");
    one(&text, "\"porp\"", "there is no member \"porp\"", Some("did you mean \"prop\"?"));

    let text = changed("Head(\"main.post.C1\")", "Head(\"mian.post.C1\")");
    let help = Some("did you mean \"main.post.C1\"?");
    one(&text, "\"mian.post.C1\"", "there is no member \"mian.post.C1\"", help);

    let text = changed("Head(\"main.post.C1\")", "Head(\"main.post.C9\")");
    let message =
        "there is no member \"main.post.C9\": there is no grid point \"C9\" in this block";
    one(&text, "\"main.post.C9\"", message, Some("did you mean \"main.post.C1\"?"));

    let text =
        changed("Tower((id: \"tower\", block: \"main\"", "Tower((id: \"tower\", block: \"mane\"");
    one(&text, "\"mane\"", "there is no block \"mane\"", Some("did you mean \"main\"?"));

    let text = changed("Unload(\"bundle\")", "Unload(\"bundel\")");
    let help = Some("did you mean \"bundle\"?");
    one(&text, "\"bundel\"", "there is no load \"bundel\"", help);

    let text = changed("braced: [\"A1-C1\", \"A1-A2\"],", "braced: [\"A1-C1\", \"A1-D1\"],");
    let message = "there is no grid point \"D1\" in this block";
    one(&text, "\"A1-D1\"", message, Some("did you mean \"A1\"?"));

    let text = changed("members: \"post.B*\"", "members: \"pots.B*\"");
    let message = "\"pots\" is not a role of a block's members";
    one(&text, "\"pots.B*\"", message, Some("did you mean \"post\"?"));

    let text = changed("lines: [\"A\", \"1\"]", "lines: [\"A\", \"X\"]");
    one(&text, "\"X\"", "there is no line \"X\"", Some("did you mean \"1\"?"));
}

#[test]
fn unknown_names_in_short_lines() {
    let erect = "toward: x, bracing: (lines: [\"A\", \"1\"])";
    let text = changed(erect, "skip: [\"brase.A1-A2.a\"]");
    let message = "\"brase\" is not a role of a block's members";
    one(&text, "\"brase.A1-A2.a\"", message, Some("did you mean \"brace\"?"));
    let text = changed(erect, "skip: [\"ledger.A1-A7\"]");
    let message = "there is no grid point \"A7\" in this block";
    one(&text, "\"ledger.A1-A7\"", message, Some("did you mean \"A1\"?"));
    let text = changed(erect, "release_early: [\"Q9\"]");
    let message = "there is no grid point \"Q9\" in this block";
    one(&text, "\"Q9\"", message, Some("its lines are A to C and 1 to 3"));
    let text = changed(erect, "posts: \"B1-B9\"");
    let message = "there is no grid point \"B9\" in this block";
    one(&text, "\"B1-B9\"", message, Some("did you mean \"B1\"?"));
    let text = changed("along: \"C\"", "along: \"E\"");
    let message = "\"E\" is no line of this block and no run on one";
    one(&text, "\"E\"", message, Some("did you mean \"1\"?"));
}

#[test]
fn duplicates() {
    let text = changed("(name: \"pit\"", "(name: \"ground floor\"");
    let found = problems(&text);
    let second = "a second floor \"ground floor\"; the first is in line 10";
    let at = found.iter().find(|p| p.message == second).expect("a second floor");
    assert_eq!(at.line, 11);

    let text = changed("(name: \"stay\"", "(name: \"tie\"");
    let message = "a second block or member \"tie\"; the first is in line 41";
    one(&text, "\"tie\", role: tie_in", message, None);

    let text = changed("id: \"load\"", "id: \"tower\"");
    let message = "a second step \"tower\"; the first is in line 45";
    one(&text, "\"tower\",\n", message, None);

    let text = changed("(name: \"prop\"", "(name: \"main\"");
    let found = problems(&text);
    assert_eq!(found[0].message, "a second block or member \"main\"; the first is in line 22");
    assert_eq!((found[0].line, found[0].column), place(&text, "\"main\", role"));
}

#[test]
fn numbers_that_cannot_be() {
    for (from, to, at, message) in [
        ("thickness: \"8 in\"", "thickness: \"0 in\"", "\"0 in\"", "must be more than zero"),
        ("thickness: \"8 in\"", "thickness: \"-8 in\"", "\"-8 in\"", "must be more than zero"),
        ("by: \"2 ft\"", "by: \"0 ft\"", "\"0 ft\", walkway", "must be more than zero"),
        (
            "every: \"6 ft\"",
            "every: \"0 m\"",
            "\"0 m\"),\n        y",
            "a bay must be longer than zero",
        ),
        ("\"72 in\"]", "\"-72 in\"]", "\"-72 in\"", "a bay must be longer than zero"),
        ("crew: (size: 3)", "crew: (size: 0)", "0),", "a crew has at least one person"),
        (
            "head: \"9 ft\"",
            "head: \"0 ft\"",
            "\"0 ft\",\n        post",
            "the heads must lie above the floor",
        ),
        (
            "posts: \"A1-B2\", head: \"-1 ft\"",
            "posts: \"A1-B2\", head: \"-12 ft\"",
            "(posts: \"A1-B2\"",
            "the heads of this part would not lie above its floor",
        ),
        (
            "at: \"1 ft\"",
            "at: \"3 ft\"",
            "\"3 ft\", w",
            "the edge form stands past the overhang's tip",
        ),
        ("weight: \"2 kN\"", "weight: \"-2 kN\"", "\"-2 kN\"", "must be more than zero"),
        (
            "Hold(\"main.post.C3\", 2)",
            "Hold(\"main.post.C3\", 0)",
            "0),\n",
            "at least one hand is due",
        ),
        ("bearing: \"2000 psf\"", "bearing: \"0 psf\"", "\"0 psf\"", "must be more than zero"),
    ] {
        let text = changed(from, to);
        let found = problems(&text);
        assert_eq!(found.len(), 1, "{found:#?}");
        assert_eq!(found[0].message, message);
        assert_eq!((found[0].line, found[0].column), place(&text, at), "{}", found[0]);
    }
}

#[test]
fn lines_that_cannot_be() {
    let text = changed("lines: \"A..C\"", "lines: \"C..A\"");
    let found = problems(&text);
    let message = "the range \"C..A\" runs backwards: write the lower line first";
    assert_eq!(found[0].message, message);
    assert_eq!((found[0].line, found[0].column), place(&text, "\"C..A\""));

    let text = changed("bays: [\"6 ft\", \"72 in\"]", "bays: [\"6 ft\"]");
    let message = "3 lines have 2 bays, but `bays` lists 1";
    one(&text, "[\"6 ft\"]", message, None);

    let text = changed("every: \"6 ft\"", "every: \"6 ft\", bays: [\"1 m\", \"1 m\"]");
    one(&text, "[\"1 m\", \"1 m\"]", "`every` and `bays` are both there: keep one of them", None);

    let text = changed(", every: \"6 ft\"", "");
    let message = "spacings are missing: write `every` for one spacing, or `bays` for one a bay";
    one(&text, "(lines: \"A..C\")", message, None);

    let text = changed("at: \"A1-B2\"", "at: \"A1-C3\"");
    one(&text, "\"A1-C3\"", "a tower stands on one bay, and \"A1-C3\" is more", None);
}

#[test]
fn circles() {
    let text = changed("from: At(\"14 ft\", \"0 ft\", \"0 ft\")", "from: On(\"stay\", \"1 ft\")");
    let message = "prop, stay take their places from each other in a circle: at least one of \
                   them must stand on its own";
    one(&text, "On(\"stay\", \"1 ft\")", message, None);
    let text = changed("from: Foot(\"prop\")", "from: On(\"stay\", \"1 ft\")");
    one(&text, "On(\"stay\", \"1 ft\")", "\"stay\" takes its place from itself", None);
}

#[test]
fn nothing_to_judge() {
    let text = "(format: 1, title: \"x\", equipment: [\"sample\"], criteria: \"us\")";
    let found = problems(text);
    assert_eq!(found.len(), 1);
    assert_eq!(found[0].message, "nothing to judge: the scene has no block and no member");
    assert_eq!((found[0].line, found[0].column), (1, 1));
}

#[test]
fn a_brace_bay_without_a_brace() {
    let text = changed("brace: \"brace\",\n", "\n");
    let found = problems(&text);
    assert!(found.iter().all(|p| p.message == "bays are braced, but no `brace` is named"));
    assert_eq!(found.len(), 2, "{found:#?}");
}
