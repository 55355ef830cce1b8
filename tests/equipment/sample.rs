//! The shipped sample library: marked as sample, and sound in itself.

use standwell::equipment::Library;
use standwell::equipment::lookup::needs_two;
use standwell::equipment::model::{Basis, HeadKind, Section};
use standwell::units::Mass;
use std::f64::consts::PI;

fn sample() -> Library {
    ron::from_str(include_str!("../../assets/equipment/sample.ron")).unwrap()
}

#[test]
fn it_says_that_its_numbers_are_invented() {
    let library = sample();
    assert!(library.sample);
    assert!(library.source.starts_with("Invented sample numbers"));
}

#[test]
fn it_has_the_parts_a_floor_is_built_from() {
    let library = sample();
    assert!(library.posts.len() >= 2 && library.sheets.len() >= 2);
    for length in [4, 6, 8] {
        for kind in ["ledger", "joist", "filler"] {
            let beam = &library.beams[&format!("{kind}-{length}")];
            assert!((beam.length.si() - f64::from(length) * 0.3048).abs() < 1e-9, "{kind}");
        }
    }
    let reach =
        |f: fn(f64, f64) -> f64, from: f64, end: fn(&standwell::equipment::model::Post) -> f64| {
            library.posts.values().map(end).fold(from, f)
        };
    assert!(reach(f64::min, f64::INFINITY, |p| p.reach.0.si()) <= 8.0 * 0.3048);
    assert!(reach(f64::max, 0.0, |p| p.reach.1.si()) >= 16.0 * 0.3048 - 1e-9);
    assert!(library.braces.values().any(|b| b.compression.is_none()), "a brace that only pulls");
    assert!(library.posts.values().any(|p| p.joined_in_tension));
    assert!(library.posts.values().any(|p| !p.joined_in_tension));
    assert!(library.posts.values().any(|p| p.capacity.basis == Basis::Characteristic));
    let limit: Mass = "51 lb".parse().unwrap();
    assert!(library.posts.values().any(|p| needs_two(p.mass, limit)));
    assert!(library.beams.values().any(|b| !needs_two(b.mass, limit)));
}

/// A round tube's area and second moment follow from its outside and one wall thickness.
fn is_a_tube(section: &Section) -> bool {
    let outside = section.outside.si();
    let inside = (outside.powi(2) - 4.0 * section.area.si() / PI).sqrt();
    let i = PI / 64.0 * (outside.powi(4) - inside.powi(4));
    (section.i.si() / i - 1.0).abs() < 0.002
}

#[test]
fn tubes_are_tubes_and_fit_into_one_another() {
    for (name, post) in &sample().posts {
        assert!(is_a_tube(&post.outer) && is_a_tube(&post.inner), "{name}");
        let bore = (post.outer.outside.si().powi(2) - 4.0 * post.outer.area.si() / PI).sqrt();
        assert!(post.inner.outside.si() < bore, "{name}: the inner tube does not go in");
        assert!(post.outer_length.si() <= post.reach.0.si(), "{name}");
        assert!(post.inner_length() <= post.reach.0.si(), "{name} cannot be pushed together");
        let steel = 7_850.0
            * (post.outer.area.si() * post.outer_length.si()
                + post.inner.area.si() * post.inner_length());
        let rest = post.mass.si() - steel;
        assert!((2.0..15.0).contains(&rest), "{name}: {rest:.1} kg for head and plate");
    }
}

#[test]
fn capacities_fall_with_height_and_stay_well_below_buckling() {
    for (name, post) in &sample().posts {
        let rows = &post.capacity.rows;
        assert!(rows.windows(2).all(|w| w[0].0 < w[1].0 && w[0].1 > w[1].1), "{name}");
        let last = rows.last().unwrap();
        assert!(
            (last.0.si() - post.reach.1.si()).abs() < 1e-9,
            "{name}: the table ends at its reach"
        );
        for (height, force) in rows {
            // The weaker tube over the whole height, pinned at both ends (Euler): a lower bound.
            let t = post.telescope(height.si()).unwrap();
            let euler = PI.powi(2) * t.upper_ei / height.si().powi(2);
            let margin = match post.capacity.basis {
                Basis::SafeWorkingLoad => 2.0,
                _ => 1.2,
            };
            assert!(euler > margin * force.si(), "{name} at {height}: {:.2}", euler / force.si());
        }
    }
}

#[test]
fn heads_pass_what_their_kind_can() {
    for (name, post) in &sample().posts {
        let head = &post.head;
        assert!(head.hung.bearing && head.hung.uplift.is_none() && !head.hung.across, "{name}");
        assert!(head.locked.along && head.locked.across, "{name}");
        assert_eq!(head.locks, head.kind == HeadKind::DropHead, "{name}");
        assert_eq!(head.hung.along, head.kind == HeadKind::DropHead, "{name}: a lug hooks");
        assert!(!head.lowered.along, "{name}: let down, beams lie loose");
    }
}

/// A bare tower of four posts with ledgers, joists and cross braces on all sides stays on its feet
/// when one person pushes at a head: weight times half the side against 50 lb at the head.
#[test]
fn one_persons_push_does_not_topple_a_bare_tower() {
    let library = sample();
    for (post, height, ledger, joist, brace) in [
        ("post-10", 10.0, "ledger-6", "joist-6", "brace"),
        ("post-12", 12.0, "ledger-6", "joist-6", "brace"),
        ("post-16", 16.0, "ledger-6", "joist-6", "brace-long"),
        ("post-10", 10.0, "ledger-4", "joist-4", "brace"),
    ] {
        let side = library.beams[ledger].length.si();
        let mass = 4.0 * library.posts[post].mass.si()
            + 2.0 * (library.beams[ledger].mass.si() + library.beams[joist].mass.si())
            + 8.0 * library.braces[brace].mass.si();
        let holds = mass * 9.81 * side / 2.0;
        let push = 50.0 * 4.448 * height * 0.3048;
        assert!(holds > 1.5 * push, "{post} on {ledger}: {:.2}", holds / push);
    }
}
