//! Two step tables, row by row, as fractions of one slab's weight (worked out from the method's
//! assumptions; the 9/4 and 11/6 in them are the published 2.25 and 1.83).

use super::schemes::fraction;
use num_rational::BigRational;
use standwell::levels::{Contact, Order, Row, Scheme};

type F = (i64, i64);

fn rows(shores: usize, reshores: usize) -> Vec<Row<BigRational>> {
    let scheme = Scheme { shores, reshores, order: Order::StripFirst, contact: Contact::PushOnly };
    scheme.rows(5).unwrap()
}

fn holds(rows: &[Row<BigRational>], what: &str, slabs: &[F], props: &[(usize, F)]) {
    let row = rows.iter().find(|r| r.what == what).unwrap_or_else(|| panic!("no {what}"));
    let due: Vec<BigRational> = slabs.iter().map(|f| fraction(f.0, f.1)).collect();
    assert_eq!(row.slabs, due, "{what}");
    for (slab, force) in props {
        assert_eq!(row.props[slab - 1], Some(fraction(force.0, force.1)), "{what}, props {slab}");
    }
    let standing: Vec<usize> =
        row.props.iter().enumerate().filter(|(_, p)| p.is_some()).map(|(i, _)| i + 1).collect();
    assert_eq!(standing, props.iter().map(|p| p.0).collect::<Vec<_>>(), "{what}");
}

#[test]
fn two_levels_of_shores() {
    let rows = rows(2, 0);
    holds(&rows, "cast 1", &[(0, 1)], &[(1, (1, 1))]);
    holds(&rows, "cast 2", &[(0, 1), (0, 1)], &[(1, (2, 1)), (2, (1, 1))]);
    holds(&rows, "strip 1", &[(1, 1), (1, 1)], &[(2, (0, 1))]);
    holds(&rows, "cast 3", &[(3, 2), (3, 2), (0, 1)], &[(2, (1, 2)), (3, (1, 1))]);
    holds(&rows, "strip 2", &[(1, 1), (7, 4), (1, 4)], &[(3, (3, 4))]);
    holds(&rows, "cast 4", &[(1, 1), (9, 4), (3, 4), (0, 1)], &[(3, (5, 4)), (4, (1, 1))]);
    holds(&rows, "strip 3", &[(1, 1), (1, 1), (11, 8), (5, 8)], &[(4, (3, 8))]);
    holds(&rows, "cast 5", &[(1, 1), (1, 1), (15, 8), (9, 8), (0, 1)], &[(4, (7, 8)), (5, (1, 1))]);
}

#[test]
fn two_levels_of_shores_and_one_of_reshores() {
    let rows = rows(2, 1);
    holds(&rows, "cast 3", &[(1, 1), (1, 1), (0, 1)], &[(1, (1, 1)), (2, (1, 1)), (3, (1, 1))]);
    holds(&rows, "strip 2", &[(1, 1), (3, 2), (1, 2)], &[(1, (0, 1)), (3, (1, 2))]);
    holds(
        &rows,
        "cast 4",
        &[(4, 3), (11, 6), (5, 6), (0, 1)],
        &[(2, (1, 3)), (3, (7, 6)), (4, (1, 1))],
    );
    holds(&rows, "strip 3", &[(1, 1), (1, 1), (17, 12), (7, 12)], &[(2, (0, 1)), (4, (5, 12))]);
    holds(
        &rows,
        "cast 5",
        &[(1, 1), (4, 3), (7, 4), (11, 12), (0, 1)],
        &[(3, (1, 3)), (4, (13, 12)), (5, (1, 1))],
    );
}
