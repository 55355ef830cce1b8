//! Load ratios of the usual schemes, in units of one slab's weight, as fractions.
//!
//! Published: Grundy and Kabaila 1963, 2 and 3 and 4 levels of shores 2.25, 2.36, 2.43 with 2.00 in
//! the steady state; 1 shore level with 1, 2, 3 reshore levels 1.50, 1.33, 1.25; 2 and 1: 1.83 and
//! 1.78 (all from memory). The fractions were worked out from the method's assumptions. Shores alone,
//! m levels from the ground: the largest is ((m + 1)/m)^m. 1 shore level and n reshore levels: 1 +
//! 1/(n + 1).

use num_rational::BigRational;
use standwell::levels::scheme::Extremes;
use standwell::levels::{Contact, Order, Scheme};

pub fn fraction(above: i64, below: i64) -> BigRational {
    BigRational::new(above.into(), below.into())
}

fn run(shores: usize, reshores: usize, contact: Contact, order: Order) -> Extremes<BigRational> {
    Scheme { shores, reshores, order, contact }.extremes(10).unwrap()
}

fn plain(shores: usize, reshores: usize) -> Extremes<BigRational> {
    run(shores, reshores, Contact::PushOnly, Order::StripFirst)
}

fn float(shores: usize, reshores: usize, contact: Contact, floors: usize) -> Extremes<f64> {
    Scheme { shores, reshores, order: Order::StripFirst, contact }.extremes(floors).unwrap()
}

#[test]
fn shores_alone() {
    for (m, above, below) in [(1, 2, 1), (2, 9, 4), (3, 64, 27), (4, 625, 256), (5, 7776, 3125)] {
        let got = plain(m, 0);
        assert_eq!(got.slab, (fraction(above, below), m), "{m} levels");
        assert_eq!(got.prop, fraction(m as i64, 1), "{m} levels");
    }
    // ((m + 1)/m)^m for more than the table has.
    let scheme =
        Scheme { shores: 6, reshores: 0, order: Order::StripFirst, contact: Contact::PushOnly };
    let six: Extremes<BigRational> = scheme.extremes(12).unwrap();
    assert_eq!(six.slab, (fraction(7, 6).pow(6), 6));
    for m in 1..=5 {
        let steady = float(m, 0, Contact::PushOnly, 120).steady;
        assert!((steady - 2.0).abs() < 1e-6, "{m} levels: {steady}");
    }
}

#[test]
fn one_level_of_shores_with_reshores() {
    for n in 1..=5usize {
        let got = plain(1, n);
        let due = fraction(1, 1) + fraction(1, n as i64 + 1);
        assert_eq!(
            (got.slab.0, got.steady, got.prop),
            (due.clone(), due, fraction(1, 1)),
            "1 + {n}"
        );
    }
}

#[test]
fn two_and_three_levels_of_shores_with_reshores() {
    let two = plain(2, 1);
    assert_eq!((two.slab, two.prop), ((fraction(11, 6), 2), fraction(2, 1)));
    let steady = |m, n, contact| float(m, n, contact, 120).steady;
    assert!((steady(2, 1, Contact::PushOnly) - 16.0 / 9.0).abs() < 1e-6);
    let linear = run(2, 2, Contact::Linear, Order::StripFirst);
    assert_eq!(linear.slab, (fraction(7, 4), 4));
    assert!((steady(2, 2, Contact::Linear) - 5.0 / 3.0).abs() < 1e-6);
    let pushing = plain(2, 2);
    assert_eq!(pushing.slab.1, 4);
    assert!((float(2, 2, Contact::PushOnly, 10).slab.0 - 1.854).abs() < 0.000_5);
    assert!((steady(2, 2, Contact::PushOnly) - 1.778).abs() < 0.000_5);
    assert_eq!(plain(3, 1).slab, (fraction(19, 9), 3));
    assert!((steady(3, 1, Contact::PushOnly) - 1.88).abs() < 0.005);
    let (linear, pushing) = (float(3, 2, Contact::Linear, 10), float(3, 2, Contact::PushOnly, 10));
    assert!((linear.slab.0 - 1.978).abs() < 0.000_5 && linear.slab.1 == 3, "{linear:?}");
    assert!((pushing.slab.0 - 2.028).abs() < 0.000_5 && pushing.slab.1 == 3, "{pushing:?}");
    assert!((steady(3, 2, Contact::Linear) - 1.80).abs() < 0.005);
    assert!((steady(3, 2, Contact::PushOnly) - 1.88).abs() < 0.005);
    for (m, n) in [(2, 1), (2, 2)] {
        assert_eq!(plain(m, n).prop, fraction(2, 1));
    }
    for n in 1..=2 {
        assert_eq!(plain(3, n).prop, fraction(3, 1));
    }
}

/// The plain linear method pulls: −1/4 with 2 + 1, −1/2 with 2 + 2, −0.43 with 3 + 1.
#[test]
fn the_linear_method_needs_props_that_pull() {
    let least = |m, n| {
        let scheme =
            Scheme { shores: m, reshores: n, order: Order::StripFirst, contact: Contact::Linear };
        let rows = scheme.rows::<BigRational>(10).unwrap();
        rows.iter().flat_map(|r| r.props.iter().flatten()).min().unwrap().clone()
    };
    assert_eq!(least(2, 1), fraction(-1, 4));
    assert_eq!(least(2, 2), fraction(-1, 2));
    let three: f64 = num_traits::ToPrimitive::to_f64(&least(3, 1)).unwrap();
    assert!((three + 0.43).abs() < 0.005, "{three}");
}

#[test]
fn taking_the_reshores_first_is_worse() {
    for (m, n, strip_first, reshores_first) in [
        (1, 1, fraction(3, 2), fraction(7, 4)),
        (1, 2, fraction(4, 3), fraction(13, 9)),
        (1, 3, fraction(5, 4), fraction(21, 16)),
        (2, 1, fraction(11, 6), fraction(35, 18)),
    ] {
        assert_eq!(plain(m, n).slab.0, strip_first, "{m} + {n}");
        let worse = run(m, n, Contact::PushOnly, Order::ReshoresFirst);
        assert_eq!(worse.slab.0, reshores_first, "{m} + {n}");
    }
}
