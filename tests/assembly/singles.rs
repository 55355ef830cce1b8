//! Single members: where they lie, what they meet, and what they only come close to.

use super::{block, build, carriers, joints, scene, try_build};
use proptest::prelude::*;
use standwell::assembly::model::{NearMiss, NearMissKind};
use standwell::assembly::{Assembly, JointKind};

/// Two posts 3 m high and 6 ft apart, and further members.
fn two_posts(more: &str) -> Assembly {
    build(&format!(
        r#"members: [
            (name: "p", role: post, part: "post-10", from: At("0 m", "0 m", "0 m"), to: Some(At("0 m", "0 m", "3 m"))),
            (name: "q", role: post, part: "post-10", from: At("6 ft", "0 m", "0 m"), to: Some(At("6 ft", "0 m", "3 m"))),
            {more}]"#
    ))
}

fn misses(a: &Assembly, kind: NearMissKind) -> Vec<(&str, &str, &NearMiss)> {
    let of_kind = a.near_misses.iter().filter(|m| m.kind == kind);
    of_kind.map(|m| (a.name(m.a), a.name(m.b), m)).collect()
}

fn ledger(from_x: &str, to_x: &str) -> String {
    format!(
        r#"(name: "l", role: ledger, part: "ledger-6", from: At("{from_x}", "0 m", "3 m"), to: Some(At("{to_x}", "0 m", "3 m")))"#
    )
}

#[test]
fn a_ledger_from_head_to_head_is_joined_at_both() {
    let a = two_posts(
        r#"(name: "l", role: ledger, part: "ledger-6", from: Head("p"), to: Some(Head("q")))"#,
    );
    assert_eq!(carriers(&a, "l", JointKind::Head), ["p", "q"]);
    assert!(joints(&a, "l", JointKind::Head).iter().all(|j| j.found && j.hung.along));
    for post in ["p", "q"] {
        assert_eq!(joints(&a, post, JointKind::Ground).len(), 1);
    }
    assert!(a.near_misses.is_empty(), "{:?}", a.near_misses);
    assert!(a.problems.is_empty(), "{:?}", a.problems);
}

#[test]
fn ten_millimetres_meet_and_forty_do_not() {
    let near = two_posts(&ledger("10 mm", "6 ft"));
    assert_eq!(carriers(&near, "l", JointKind::Head), ["p", "q"]);
    assert!(near.near_misses.is_empty(), "{:?}", near.near_misses);
    let short = two_posts(&ledger("40 mm", "6 ft"));
    assert_eq!(carriers(&short, "l", JointKind::Head), ["q"]);
    let told = misses(&short, NearMissKind::EndShort);
    let [("l", "p", miss)] = told[..] else { panic!("{told:?}") };
    assert!((miss.gap - 0.040).abs() < 1e-9);
    assert_eq!(short.near_misses.len(), 1, "told once, and not also as something else");
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    /// 25 mm is the limit, in every direction of the miss, and 150 mm the end of being close.
    #[test]
    fn an_end_is_joined_told_or_far(gap in 0.0f64..0.3, turn in 0.0..std::f64::consts::TAU, up in -1.0f64..1.0) {
        prop_assume!((gap - 0.025).abs() > 1e-6 && (gap - 0.150).abs() > 1e-6);
        let side = (1.0 - up * up).sqrt();
        let (dx, dy, dz) = (gap * side * turn.cos().abs(), gap * side * turn.sin(), gap * up);
        let a = two_posts(&format!(
            r#"(name: "l", role: ledger, part: "ledger-6", from: At("{dx:.9} m", "{dy:.9} m", "{:.9} m"), to: Some(Head("q")))"#,
            3.0 + dz
        ));
        let heads = carriers(&a, "l", JointKind::Head);
        let told = misses(&a, NearMissKind::EndShort);
        // A miss aside and away leaves the axis itself nearer to the head than its end.
        prop_assert_eq!(heads.contains(&"p"), gap < 0.025);
        prop_assert_eq!(told.len(), usize::from((0.025..=0.150).contains(&gap)), "{:?}", told);
    }
}

#[test]
fn an_end_beside_a_head_is_not_laid_on_the_beam_that_ends_there() {
    let a = build(&format!(
        r#"blocks: [{}], members: [(name: "l", role: ledger, part: "ledger-6",
            from: At("6 ft", "40 mm", "9 ft 6 in"), to: Some(At("12 ft", "40 mm", "9 ft 6 in")))]"#,
        block("A..B", "1..2", "")
    ));
    assert!(joints(&a, "l", JointKind::Rest).is_empty());
    assert!(joints(&a, "l", JointKind::Head).is_empty());
    assert_eq!(misses(&a, NearMissKind::EndShort)[0].1, "main.post.B1");
}

#[test]
fn braces_meet_posts_anywhere_along_them() {
    let a = two_posts(
        r#"(name: "b", role: brace, part: "brace", from: On("p", "0.3 m"), to: Some(On("q", "2.7 m"))),
           (name: "short", role: brace, part: "brace", from: At("0 m", "60 mm", "2.7 m"), to: Some(On("q", "0.3 m")))"#,
    );
    assert_eq!(carriers(&a, "b", JointKind::Coupler), ["p", "q"]);
    let stations: Vec<f64> =
        joints(&a, "b", JointKind::Coupler).iter().map(|j| j.carrier_at).collect();
    assert!((stations[0] - 0.3).abs() < 1e-9 && (stations[1] - 2.7).abs() < 1e-9);
    assert_eq!(carriers(&a, "short", JointKind::Coupler), ["q"]);
    let told = misses(&a, NearMissKind::EndShort);
    let [("short", "p", miss)] = told[..] else { panic!("{told:?}") };
    assert!((miss.gap - 0.060).abs() < 1e-9);
    let id = a.find("short").unwrap();
    assert!(a.problems.iter().any(|p| p.members == [id]), "an end that meets nothing is unknown");
}

#[test]
fn a_brace_that_touches_a_post_on_its_way_is_told() {
    let third = |y: &str| {
        two_posts(&format!(
            r#"(name: "r", role: post, part: "post-10", from: At("3 ft", "{y}", "0 m"), to: Some(At("3 ft", "{y}", "3 m"))),
               (name: "b", role: brace, part: "brace", from: On("p", "0.3 m"), to: Some(On("q", "2.7 m")))"#
        ))
    };
    // Half-widths 44.5 and 24 mm: 68 mm apart they touch, 70 mm apart they do not.
    let touching = third("68 mm");
    let told = misses(&touching, NearMissKind::Passes);
    let [("b", "r", miss)] = told[..] else { panic!("{told:?}") };
    assert!((miss.gap - 0.068).abs() < 1e-9);
    assert_eq!(carriers(&touching, "b", JointKind::Coupler), ["p", "q"]);
    assert!(third("70 mm").near_misses.is_empty());
}

#[test]
fn members_in_the_same_place_are_told() {
    let block_and = |y: &str| {
        build(&format!(
            r#"blocks: [{}], members: [(name: "l", role: ledger, part: "ledger-6",
                from: At("0.2 ft", "{y}", "9 ft 6 in"), to: Some(At("5.8 ft", "{y}", "9 ft 6 in")))]"#,
            block("A..B", "1..2", "")
        ))
    };
    // Ledgers 75 mm wide: side by side at 80 mm, one in the other at 60 mm.
    let told = |y| {
        misses(&block_and(y), NearMissKind::Through)
            .iter()
            .map(|m| m.1.to_owned())
            .collect::<Vec<_>>()
    };
    assert_eq!(told("60 mm").len(), 1, "{:?}", told("60 mm"));
    assert!(told("80 mm").is_empty(), "{:?}", told("80 mm"));
    // A beam through the middle of a post.
    let a = two_posts(
        r#"(name: "x", role: ledger, part: "ledger-6", from: At("0 m", "-3 ft", "1.5 m"), to: Some(At("0 m", "3 ft", "1.5 m")))"#,
    );
    let told = misses(&a, NearMissKind::Through);
    assert_eq!((told.len(), told[0].0, told[0].1), (1, "p", "x"));
    assert!(told[0].2.gap < -0.04, "{:?}", told[0].2);
}

#[test]
fn props_posts_on_posts_and_sills_find_what_is_below_and_above() {
    let a = build(&format!(
        r#"blocks: [{}], members: [
            (name: "prop", role: prop, part: "post-10", from: At("7.5 ft", "0 m", "0 m"),
             to: Some(On("main.ledger.A1-B1", "7.5 ft")), sill: Some("sill-12")),
            (name: "upper", role: post, part: "post-10", from: Head("main.post.A2"),
             to: Some(At("0 m", "6 ft", "17 ft"))),
            (name: "lonely", role: post, part: "post-10", from: At("0 m", "20 ft", "1 ft"),
             to: Some(At("0 m", "20 ft", "9 ft"))),
        ]"#,
        block("A..B", "1..2", r#"overhangs: [(along: "B", by: "2 ft")]"#)
    ));
    assert!(carriers(&a, "main.ledger.A1-B1", JointKind::Head).contains(&"prop"));
    assert_eq!(carriers(&a, "prop", JointKind::Foot), ["prop.sill"]);
    assert_eq!(joints(&a, "prop.sill", JointKind::Ground).len(), 1);
    let prop = a.member(a.find("prop").unwrap());
    assert!((prop.ends[0].z - 2.0 * 0.0254).abs() < 1e-12, "the foot stands on its sill");
    assert_eq!(carriers(&a, "upper", JointKind::Splice), ["main.post.A2"]);
    assert!(a.joints.iter().all(|j| a.name(j.member) != "lonely"), "a foot above the floor");
    assert!(a.problems.is_empty(), "{:?}", a.problems);
}

#[test]
fn ties_end_on_the_face_of_walls_and_columns() {
    let text = |level: &str| {
        format!(
            r#"permanent: [(name: "col", kind: Column(at: ("-1 m", "0 m"), size: ("0.4 m", "0.4 m")), from: "0 m", to: "3.5 m"),
                           (name: "wall", kind: Wall(from: ("-3 m", "-2.2 m"), to: ("3 m", "-2.2 m"), thickness: "0.4 m"), from: "0 m", to: "3.5 m")],
               members: [
                (name: "p", role: post, part: "post-10", from: At("1 m", "0 m", "0 m"), to: Some(At("1 m", "0 m", "3 m"))),
                (name: "t", role: tie_in, part: "brace", from: On("p", "2.5 m"), to: Some(Permanent("col", "{level}"))),
                (name: "w", role: tie_in, part: "brace", from: Permanent("wall", "2.5 m"), to: Some(On("p", "2.5 m"))),
            ]"#
        )
    };
    let a = build(&text("2.5 m"));
    let tie = joints(&a, "t", JointKind::Tie);
    // Column 0.4 m square about x = -1 m: its face is at -0.8 m.
    assert!((tie[0].at.x + 0.8).abs() < 1e-12 && tie[0].carrier.is_none());
    assert!(tie[0].locked.along && !tie[0].hung.along);
    assert_eq!(carriers(&a, "t", JointKind::Coupler), ["p"]);
    let wall = joints(&a, "w", JointKind::Tie);
    assert!((wall[0].at.y + 2.0).abs() < 1e-12 && (wall[0].at.x - 1.0).abs() < 1e-12);
    assert!(a.problems.is_empty(), "{:?}", a.problems);
    let above = build(&text("3.8 m"));
    assert!(joints(&above, "t", JointKind::Tie).is_empty(), "above the column's top");
    assert!(above.problems[0].what.contains("t meets nothing at its second end"));
}

#[test]
fn bearers_carry_ledgers_and_sheets_lie_on_what_runs_under_them() {
    let a = two_posts(
        r#"(name: "bearer", role: drop_beam, part: "bearer-8", from: Head("p"), to: Some(Head("q"))),
           (name: "l", role: ledger, part: "ledger-4", from: At("3 ft", "-2 ft", "3 m"), to: Some(At("3 ft", "2 ft", "3 m"))),
           (name: "s", role: sheet, part: "sheet-4", from: At("2 ft", "-2 ft", "3.094 m"), to: Some(At("4 ft", "2 ft", "3.094 m")))"#,
    );
    assert_eq!(carriers(&a, "bearer", JointKind::Head), ["p", "q"]);
    assert_eq!(carriers(&a, "l", JointKind::Rest), ["bearer"]);
    let ledger = joints(&a, "l", JointKind::Rest)[0];
    assert!((ledger.member_at - 2.0 * 0.3048).abs() < 1e-9);
    let rests = joints(&a, "s", JointKind::Rest);
    let mut under = carriers(&a, "s", JointKind::Rest);
    under.sort_unstable();
    assert_eq!(under, ["bearer", "l"]);
    let on_l = rests.iter().find(|j| j.carrier == a.find("l")).unwrap();
    assert!((on_l.member_at - 0.3048).abs() < 1e-9, "a foot from the sheet's edge");
    assert!(a.near_misses.is_empty(), "{:?}", a.near_misses);
}

#[test]
fn a_clip_finds_its_beam_or_says_why_not() {
    let with = |clip: &str| {
        build(&format!(
            r#"blocks: [{}], members: [{clip}]"#,
            block("A..C", "1..2", r#"overhangs: [(along: "C", by: "2 ft")]"#)
        ))
    };
    let a = with(r#"(name: "k", role: clip, part: "clip", from: Head("main.post.B1"))"#);
    let clip = joints(&a, "main.ledger.B1-C1", JointKind::Clip)[0];
    assert_eq!(clip.clip, a.find("k"));
    assert_eq!(clip.carrier, a.find("main.post.B1"));
    let none = with(r#"(name: "k", role: clip, part: "clip", from: Head("main.post.A1"))"#);
    assert!(none.problems[0].what.contains("meets no beam that runs on"), "{:?}", none.problems);
    let named = with(
        r#"(name: "k", role: clip, part: "clip", from: Head("main.post.A1"), to: Some(On("main.ledger.A1-B1", "0 m")))"#,
    );
    assert_eq!(joints(&named, "main.ledger.A1-B1", JointKind::Clip).len(), 1);
}

#[test]
fn parts_that_cannot_be_so_long_are_told() {
    let a = two_posts(
        r#"(name: "far", role: ledger, part: "ledger-4", from: Head("p"), to: Some(Head("q"))),
           (name: "tall", role: post, part: "post-10", from: At("5 m", "0 m", "0 m"), to: Some(At("5 m", "0 m", "4 m")))"#,
    );
    let told: Vec<_> = a.problems.iter().map(|p| p.what.as_str()).collect();
    assert_eq!(told.len(), 2, "{told:?}");
    assert!(told[0].starts_with("far is 1.829 m long, but ledger-4 is"), "{told:?}");
    assert!(told[1].starts_with("tall is 4.000 m long, but post-10 reaches"), "{told:?}");
}

#[test]
fn places_taken_from_nobody_are_problems() {
    let problems =
        |members: &str| try_build(&scene(&format!("members: [{members}]"))).unwrap_err().0;
    let p = r#"(name: "post1", role: post, part: "post-10", from: At("0 m", "0 m", "0 m"), to: Some(At("0 m", "0 m", "3 m")))"#;
    let unknown = problems(&format!(
        r#"{p}, (name: "l", role: ledger, part: "ledger-6", from: Head("post1"), to: Some(Head("post2")))"#
    ));
    assert_eq!(unknown[0].path, "members[1].to");
    assert_eq!(unknown[0].help.as_deref(), Some("did you mean \"post1\"?"));
    let circle = problems(
        r#"(name: "a", role: ledger, part: "ledger-6", from: On("b", "0 m"), to: Some(At("0 m", "0 m", "1 m"))),
           (name: "b", role: ledger, part: "ledger-6", from: On("a", "0 m"), to: Some(At("0 m", "1 m", "1 m")))"#,
    );
    assert_eq!(circle.len(), 2, "{circle:?}");
    let part = problems(
        r#"(name: "a", role: post, part: "post-1", from: At("0 m", "0 m", "0 m"), to: Some(At("0 m", "0 m", "3 m")))"#,
    );
    assert_eq!(part[0].path, "members[0].part");
    let twice = problems(&format!("{p}, {p}"));
    assert!(twice[0].message.contains("two members called \"post1\""), "{twice:?}");
}

#[test]
fn two_blocks_in_one_place_are_told() {
    let second = block("A..B", "1..2", "").replace("\"main\"", "\"other\"");
    let apart = second.replace("stands_on", r#"origin: ("10 m", "0 m"), stands_on"#);
    let both = |second: &str| build(&format!("blocks: [{}, {second}]", block("A..B", "1..2", "")));
    assert!(both(&apart).near_misses.is_empty());
    let told = both(&second);
    let posts = misses(&told, NearMissKind::Through);
    for what in ["post.A1", "post.A2", "post.B1", "post.B2", "ledger.A1-B1", "joist.B1-B2"] {
        let pair = (format!("main.{what}"), format!("other.{what}"));
        assert!(posts.iter().any(|m| m.0 == pair.0 && m.1 == pair.1), "{what}: {posts:?}");
    }
}
