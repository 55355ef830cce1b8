//! The steps a scene writes give the ratios of the usual schemes, and name what cannot be done.

use standwell::levels::job::{LevelState, run, worse_orders};
use standwell::levels::{Contact, Order, Scheme};
use standwell::scene::{Loaded, Problems, read};
use std::path::Path;

/// A scene with these steps on slabs L1 to L5 of 100 psf, nothing else on them.
fn scene(steps: &str) -> Result<Loaded, Problems> {
    let slab = |i: usize| {
        format!(
            "(name: \"L{i}\", weight: \"100 psf\", designed_for: \"200 psf\", specified: \"28 MPa\", gain: Aci209),"
        )
    };
    let slabs: String = (1..=5).map(slab).collect();
    let text = format!(
        "(format: 1, title: \"x\", equipment: [\"sample\"], criteria: \"us\",
        members: [(name: \"post\", role: post, part: \"post-10\", from: At(\"0 m\", \"0 m\", \"0 m\"), to: Some(At(\"0 m\", \"0 m\", \"8 ft\")))],
        levels: Some((slabs: [{slabs}], post: \"post-10\", height: \"8 ft\", each: \"2 m2\", forms: \"0 psf\", live: \"0 psf\", steps: [{steps}])))"
    );
    read(&text, Path::new("levels.ron"))
}

fn states(steps: &str) -> Vec<LevelState> {
    let loaded = scene(steps).unwrap_or_else(|p| panic!("{p}"));
    run(loaded.scene.levels.as_ref().unwrap(), &loaded.pack, &loaded.library).unwrap()
}

const PSF: f64 = 47.880_258_980_335_8;

#[test]
fn two_levels_of_shores_written_out_are_the_scheme() {
    let states = states(
        "(day: 0, do: Cast(\"L1\")), (day: 7, do: Cast(\"L2\")), (day: 14, do: Strip(\"L1\")),
         (day: 14, do: Cast(\"L3\")), (day: 21, do: Strip(\"L2\")), (day: 21, do: Cast(\"L4\")),
         (day: 28, do: Strip(\"L3\")), (day: 28, do: Cast(\"L5\"))",
    );
    let scheme =
        Scheme { shores: 2, reshores: 0, order: Order::StripFirst, contact: Contact::PushOnly };
    let rows = scheme.rows::<f64>(5).unwrap();
    // The scheme strips after L5 as well.
    assert_eq!(rows.len(), states.len() + 1);
    for (state, row) in states.iter().zip(&rows) {
        for (slab, due) in state.slabs.iter().zip(&row.slabs) {
            assert!(
                (slab.equal / (100.0 * PSF) - due).abs() < 1e-9,
                "{} {}",
                state.what,
                slab.name
            );
        }
        let due: Vec<f64> = row.props.iter().flatten().map(|f| f * 200.0 * PSF).collect();
        let got: Vec<f64> = state.props.iter().map(|p| p.equal).collect();
        assert!(
            got.iter().zip(&due).all(|(a, b)| (a - b).abs() < 1e-6),
            "{}: {got:?} {due:?}",
            state.what
        );
    }
    // What was found: 9/4 on L2 when L4 is cast.
    let worst = &states[5].slabs[1];
    assert!((worst.equal / (100.0 * PSF) - 2.25).abs() < 1e-9);
    assert_eq!(worst.age, Some(14.0));
    // 200 psf by 14/(4 + 11.9) at 14 days.
    assert!((worst.capacity / (200.0 * PSF) - 14.0 / 15.9).abs() < 1e-9);
    assert!(worst.use_of_capacity() > 1.0);
}

#[test]
fn one_and_one_in_the_wrong_order_goes_from_one_and_a_half_to_one_and_three_quarters() {
    let cycle = |first: &str, second: &str| {
        format!(
            "(day: 0, do: Cast(\"L1\")), (day: 7, do: Strip(\"L1\")), (day: 7, do: Reshore(\"L1\")),
             (day: 7, do: Cast(\"L2\")), (day: 14, do: Strip(\"L2\")), (day: 14, do: TakeProps(\"L1\")),
             (day: 14, do: Reshore(\"L2\")), (day: 14, do: Cast(\"L3\")),
             (day: 21, do: {first}), (day: 21, do: {second})"
        )
    };
    let orders = |steps: &str| {
        let loaded = scene(steps).unwrap_or_else(|p| panic!("{p}"));
        worse_orders(loaded.scene.levels.as_ref().unwrap(), &loaded.pack, &loaded.library)
    };
    let worse = orders(&cycle("TakeProps(\"L2\")", "Strip(\"L3\")"));
    assert_eq!(worse.len(), 1, "{worse:?}");
    assert_eq!((worse[0].step, worse[0].slab.as_str()), (8, "L2"));
    assert!((worse[0].written - 1.75).abs() < 1e-9 && (worse[0].swapped - 1.5).abs() < 1e-9);
    assert!(orders(&cycle("Strip(\"L3\")", "TakeProps(\"L2\")")).is_empty());
}

#[test]
fn what_cannot_be_done_is_named_with_its_step() {
    for (steps, at, words) in [
        ("(day: 0, do: Strip(\"L1\"))", 0, "no props stand under slab \"L1\""),
        ("(day: 0, do: Cast(\"L2\"))", 0, "no slab beneath"),
        ("(day: 0, do: Cast(\"L1\")), (day: 0, do: Strip(\"L1\"))", 1, "still fresh"),
        ("(day: 0, do: Cast(\"L1\")), (day: 1, do: Cast(\"L1\"))", 1, "cast already"),
        (
            "(day: 0, do: Cast(\"L1\")), (day: 1, do: Reshore(\"L1\"))",
            1,
            "stand under slab \"L1\" already",
        ),
        ("(day: 0, do: Reshore(\"L1\"))", 0, "not cast yet"),
        ("(day: 0, do: Cast(\"L1\")), (day: 1, do: Leave(slab: \"L1\", share: 1.5))", 1, "share"),
    ] {
        let loaded = scene(steps).unwrap_or_else(|p| panic!("{p}"));
        let levels = loaded.scene.levels.clone().unwrap();
        let error = run(&levels, &loaded.pack, &loaded.library).expect_err(steps);
        assert!(error.step == at && error.what.contains(words), "{steps}: {error:?}");
        // Judging says it with its place.
        let problems = standwell::review::judge(loaded, &|_, _| true).expect_err(steps);
        assert_eq!(problems.0[0].path, format!("levels.steps[{at}]"));
    }
    for (steps, path) in [
        ("(day: 0, do: Cast(\"L9\"))", "levels.steps[0].do"),
        ("(day: 3, do: Cast(\"L1\")), (day: 2, do: Cast(\"L2\"))", "levels.steps[1].day"),
    ] {
        let problems = scene(steps).expect_err(steps);
        assert_eq!(problems.0[0].path, path, "{problems}");
    }
    let loaded = scene("(day: 0, do: Cast(\"L1\"), at: Some(\"nowhere\"))").unwrap();
    let problems = standwell::review::judge(loaded, &|_, _| true).unwrap_err();
    assert!(problems.0[0].message.contains("no step \"nowhere\""), "{problems}");
}

#[test]
fn posts_left_in_carry_the_same_in_the_rigid_method_and_each_more_of_it() {
    let states = states(
        "(day: 0, do: Cast(\"L1\")), (day: 7, do: Cast(\"L2\")), (day: 14, do: Leave(slab: \"L2\", share: 0.5))",
    );
    let force = |step: usize| states[step].props.iter().find(|p| p.slab == "L2").unwrap().clone();
    assert!((force(1).equal - 200.0 * PSF).abs() < 1e-6);
    assert!((force(2).equal - 400.0 * PSF).abs() < 1e-6 && force(2).left == 0.5);
    assert!(force(2).finite < 400.0 * PSF);
}
