//! A scene with changes is the scene with the same things written into it by hand.

use super::{laid_out, shipped, stages, with};

/// The demo's faults put right: by changes, and by taking the faults out of its text. The
/// expectation is the demo's own head comment, which says what each fault is.
#[test]
fn the_demos_faults_put_right() {
    let text = shipped("faulty-floor");
    let by_hand = text
        .replace("skip: [\"brace.F1-F2.*\"], release_early: [\"A4\"]", "")
        .replace(",\n            skip: [\"joist.J8-J9\"]", "")
        .replace(",\n            skip: [\"clip.M4\"]", "");
    let (before, after) = by_hand.split_once("        Step(id: \"round.F1-F2\"").unwrap();
    let by_hand = format!("{before}{}", &after[after.find("        Erect(").unwrap()..]);
    let changed = with(
        &text,
        &[
            "PutIn(member: \"main.brace.F1-F2.*\", in_step: \"erect.F2\")",
            "Hold(member: \"main.post.A4\", hands: 1, from: \"erect.A4\", until: \"erect.B4\")",
            "PutIn(member: \"main.joist.J8-J9\", in_step: \"far.J9\")",
            "PutIn(member: \"main.clip.M4\", in_step: \"edge.M4\")",
        ],
    );
    let (by_hand, changed) = (stages(&laid_out(&by_hand)), stages(&laid_out(&changed)));
    // The round in which somebody sees the missing brace is left, with nothing to do.
    assert_eq!(changed.len(), by_hand.len() + 1);
    for (step, expected) in &by_hand {
        assert_eq!(&changed[step], expected, "{step}");
    }
    let faulty = stages(&laid_out(&text));
    assert!(
        ["erect.F2", "erect.A4", "far.J9", "edge.M4"].iter().all(|s| faulty[*s] != by_hand[*s])
    );
}

/// What a part, a head level, a sill and a tier of braces come to in the layout.
#[test]
fn the_layout_is_that_of_the_written_scene() {
    let text = shipped("starter-tower");
    let cases = [
        (
            "SetPart(member: \"main.post.B2\", part: \"post-16\")",
            "overrides: [(members: \"post.B2\", part: \"post-16\")],",
        ),
        (
            "SetHead(post: \"main.post.B2\", level: \"8 ft\")",
            "overrides: [(members: \"post.B2\", head: \"8 ft\")],",
        ),
        (
            "SetSill(post: \"main.post.A1\", sill: \"sill-24\")",
            "overrides: [(members: \"post.A1\", sill: \"sill-24\")],",
        ),
        ("TakeOut(\"main.brace.A1-B1.a\")", "omit: [\"brace.A1-B1.a\"],"),
    ];
    let original = laid_out(&text).assembly;
    for (change, written) in cases {
        let by_hand = text.replace("post: \"post-10\",", &format!("post: \"post-10\", {written}"));
        let (by_hand, changed) =
            (laid_out(&by_hand).assembly, laid_out(&with(&text, &[change])).assembly);
        let strip = |a: &standwell::assembly::Assembly| {
            let members = a.members.iter().map(|m| {
                (m.name.clone(), m.part.clone(), m.ends, m.weight.to_bits(), m.jack.clone())
            });
            (members.collect::<Vec<_>>(), a.joints.clone(), a.problems.len())
        };
        assert_eq!(strip(&changed), strip(&by_hand), "{change}");
        assert_ne!(strip(&changed), strip(&original), "{change}");
    }
}

/// The steps that `expand` prints for a scene with changes take the place of its sequence: what
/// the list of changes advises.
#[test]
fn the_printed_steps_take_the_place_of_the_changes() {
    let text = shipped("starter-tower");
    let changed = with(&text, &["TakeOut(\"main.brace.A1-B1.*\")"]);
    let loaded = standwell::scene::read(&changed, std::path::Path::new("tried.ron")).unwrap();
    let steps = standwell::sequence::to_ron(&standwell::changes::expand(loaded).unwrap());
    let at = text.find("sequence: [").unwrap();
    let written =
        text[..at].replace("brace: \"brace\",", "brace: \"brace\", omit: [\"brace.A1-B1.*\"],");
    let written = format!("{written}sequence: [{steps}],\n)\n");
    assert_eq!(stages(&laid_out(&written)), stages(&laid_out(&changed)));
}
