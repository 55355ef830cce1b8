//! Line names, spacings and grid points.

use standwell::scene::model::Lines;
use standwell::scene::{Grid, GridPoint, LinesError, grid_run};
use standwell::units::Length;

fn lines(text: &str) -> Lines {
    Lines { lines: text.into(), every: Some(Length(1.5)), bays: Vec::new() }
}

#[test]
fn ranges_and_lists_of_names() {
    assert_eq!(lines("A..D").names().unwrap(), ["A", "B", "C", "D"]);
    assert_eq!(lines("8..11").names().unwrap(), ["8", "9", "10", "11"]);
    assert_eq!(lines("A B C E").names().unwrap(), ["A", "B", "C", "E"]);
    assert_eq!(lines("A..C, AA, 7..8").names().unwrap(), ["A", "B", "C", "AA", "7", "8"]);
}

#[test]
fn bad_lines_are_refused() {
    assert_eq!(lines("  ").names(), Err(LinesError::Empty));
    assert_eq!(lines("A..7").names(), Err(LinesError::NotARange("A..7".into())));
    assert_eq!(lines("a..F").names(), Err(LinesError::NotARange("a..F".into())));
    assert_eq!(lines("1..").names(), Err(LinesError::NotARange("1..".into())));
    assert_eq!(lines("F..A").names(), Err(LinesError::Backwards("F..A".into())));
    assert_eq!(lines("A A").names(), Err(LinesError::Twice("A".into())));
    assert_eq!(lines("A-B C").names(), Err(LinesError::BadName("A-B".into())));
    assert_eq!(lines("1..4000000000").names(), Err(LinesError::TooMany(4_000_000_000)));
    assert_eq!(
        lines("1..18446744073709551615").names(),
        Err(LinesError::TooMany(18_446_744_073_709_551_615))
    );
}

#[test]
fn positions_add_up() {
    assert_eq!(lines("A..D").positions(), [0.0, 1.5, 3.0, 4.5]);
    let bays = vec![Length(1.0), Length(2.5)];
    let own = Lines { lines: "A..C".into(), every: None, bays };
    assert_eq!(own.positions(), [0.0, 1.0, 3.5]);
}

#[test]
fn spacings_must_fit_the_lines() {
    let with = |every, bays: &[f64]| Lines {
        lines: "A..C".into(),
        every,
        bays: bays.iter().map(|&b| Length(b)).collect(),
    };
    assert_eq!(with(None, &[]).spacings(), Err(LinesError::NoSpacing));
    assert_eq!(with(Some(Length(1.0)), &[1.0, 1.0]).spacings(), Err(LinesError::BothSpacings));
    assert_eq!(
        with(None, &[1.0]).spacings(),
        Err(LinesError::BayCount { lines: 3, due: 2, found: 1 })
    );
    assert_eq!(with(Some(Length(0.0)), &[]).spacings(), Err(LinesError::NotPositive(None)));
    assert_eq!(with(None, &[1.0, -1.0]).spacings(), Err(LinesError::NotPositive(Some(1))));
    assert_eq!(lines("A").positions(), [0.0]);
    assert_eq!(Lines { lines: "A".into(), every: None, bays: vec![] }.positions(), [0.0]);
}

#[test]
fn points_with_long_line_names_are_not_cut_wrongly() {
    let names = |text: &str| lines(text).names().unwrap();
    let grid = Grid::new(names("A AA B"), names("1..12")).unwrap();
    assert_eq!(grid.point("AA10").unwrap(), GridPoint { x: 1, y: 9 });
    assert_eq!(grid.point("A1").unwrap(), GridPoint { x: 0, y: 0 });
    assert_eq!(grid.name(GridPoint { x: 2, y: 11 }).unwrap(), "B12");
    assert_eq!(grid.point("C1"), Err(LinesError::NoPoint("C1".into())));
    assert_eq!(Grid::new(names("1 11"), names("1 11")), Err(LinesError::Ambiguous("111".into())));
}

#[test]
fn runs_and_areas() {
    let names = |text: &str| lines(text).names().unwrap();
    let (x, y) = (names("A..F"), names("1..9"));
    assert_eq!(grid_run("C4-F4", &x, &y).unwrap(), ("C4".into(), "F4".into()));
    assert_eq!(grid_run("C4", &x, &y), Err(LinesError::NotARun("C4".into())));
    assert_eq!(grid_run("C4-C4", &x, &y), Err(LinesError::NoLength("C4-C4".into())));
    assert_eq!(grid_run("C4-Z4", &x, &y), Err(LinesError::NoPoint("Z4".into())));
    let grid = Grid::new(x, y).unwrap();
    let low = GridPoint { x: 0, y: 1 };
    assert_eq!(grid.area("B2-A4").unwrap(), (low, GridPoint { x: 1, y: 3 }));
    assert_eq!(grid.area("A2-A4"), Err(LinesError::NoArea("A2-A4".into())));
    assert_eq!(grid.straight("A4-A2").unwrap(), (low, GridPoint { x: 0, y: 3 }));
    assert_eq!(grid.straight("A4-B2"), Err(LinesError::Slanted("A4-B2".into())));
}
