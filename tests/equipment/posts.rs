//! Capacity, tubes and stiffness of a post at a height.

use proptest::prelude::*;
use standwell::equipment::Library;
use standwell::equipment::lookup::needs_two;
use standwell::equipment::model::{Post, Section};
use standwell::units::{Area, Length, Mass, Pressure, SecondMoment};

const FT: f64 = 0.3048;

fn post(name: &str) -> Post {
    let library: Library =
        ron::from_str(include_str!("../../assets/equipment/sample.ron")).unwrap();
    library.posts[name].clone()
}

#[test]
fn a_height_takes_the_row_at_it_or_the_next_taller() {
    let post = post("post-12");
    let at = |feet: f64| post.capacity_at(feet * FT).map(|(row, force)| (row / FT, force));
    let close = |found: Option<(f64, f64)>, row: f64, force: f64| {
        let (r, f) = found.unwrap();
        assert!((r - row).abs() < 1e-9 && (f - force).abs() < 1e-6, "{found:?}");
    };
    close(at(8.0), 8.0, 42e3);
    close(at(8.01), 10.0, 36e3);
    close(at(9.99), 10.0, 36e3);
    close(at(10.0), 10.0, 36e3);
    close(at(12.0), 12.0, 28e3);
    close(at(5.0), 8.0, 42e3);
    assert_eq!(at(12.01), None, "above the table nothing is known");
    for bad in [0.0, -1.0, f64::NAN, f64::INFINITY] {
        assert_eq!(post.capacity_at(bad), None, "{bad}");
    }
}

proptest! {
    /// Never above the straight line between the rows around it, whatever the order of the rows.
    #[test]
    fn capacity_never_goes_above_the_table(height in 1.0f64..4.0, turn in 0usize..3) {
        let mut post = post("post-12");
        post.capacity.rows.rotate_left(turn);
        let table = [(8.0 * FT, 42e3), (10.0 * FT, 36e3), (12.0 * FT, 28e3)];
        match post.capacity_at(height) {
            None => prop_assert!(height > table[2].0),
            Some((row, force)) => {
                prop_assert!(row >= height - 1e-4);
                let line = table.windows(2).find(|w| w[0].0 <= height && height <= w[1].0);
                let line = line.map_or(table[0].1, |w| {
                    w[0].1 + (w[1].1 - w[0].1) * (height - w[0].0) / (w[1].0 - w[0].0)
                });
                prop_assert!(force <= line + 1.0, "{} over {}", force, line);
            }
        }
    }

    /// Tubes add up to the height, and the overlap to the inner tube.
    #[test]
    fn tubes_add_up(share in 0.0f64..=1.0, name in prop::sample::select(vec!["post-10", "post-12", "post-16", "prop-35"])) {
        let post = post(name);
        let (low, high) = (post.reach.0.si(), post.reach.1.si());
        let height = low + share * (high - low);
        let t = post.telescope(height).unwrap();
        prop_assert!((t.lower + t.upper - height).abs() < 1e-12);
        prop_assert!((t.upper + t.overlap - post.inner_length()).abs() < 1e-9);
        prop_assert!(t.overlap >= post.overlap.si() - 1e-9, "the least overlap is kept");
        prop_assert!(t.lower_ei > t.upper_ei, "the inner tube is the weaker");
    }
}

#[test]
fn drawn_out_fully_the_least_overlap_is_left() {
    let post = post("post-10");
    let t = post.telescope(10.0 * FT).unwrap();
    assert!((t.overlap - 0.3).abs() < 1e-9 && (t.lower - 1.7).abs() < 1e-12);
    assert!((t.upper - (10.0 * FT - 1.7)).abs() < 1e-12);
    assert_eq!(post.telescope(10.0 * FT + 0.006), None);
    assert_eq!(post.telescope(6.0 * FT - 0.006), None);
    assert!(post.telescope(10.0 * FT + 0.004).is_some(), "play within 5 mm");
}

/// CHS 48.3 x 3.2: A 453.4 mm², I 115 857 mm⁴, i 15.99 mm. Computed from the tube's geometry in
/// the worked check of EN 1993-1-1 6.3.1 that is also used for column curves (E 210 GPa).
#[test]
fn a_tube_has_its_radius_of_gyration_and_stiffness() {
    let tube = Section {
        outside: Length(0.0483),
        area: Area(453.4e-6),
        i: SecondMoment(115_857e-12),
        e: Pressure(210e9),
        fy: Pressure(235e6),
    };
    assert!((tube.r() - 15.99e-3).abs() < 0.01e-3);
    // Ncr of a 2 m pin-ended length is 60.0 kN there: pi² EI / L².
    let euler = std::f64::consts::PI.powi(2) * tube.ei() / 4.0;
    assert!((euler - 60.0e3).abs() < 0.1e3, "{euler}");
    assert!((tube.ea() - 95.2e6).abs() < 0.1e6);
}

#[test]
fn two_people_lift_what_is_heavier_than_the_limit() {
    let limit: Mass = "51 lb".parse().unwrap();
    assert!(!needs_two(limit, limit) && !needs_two("23 kg".parse().unwrap(), limit));
    assert!(needs_two("51.1 lb".parse().unwrap(), limit));
}
