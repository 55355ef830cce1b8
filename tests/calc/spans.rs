//! Bars over more than two supports, written out: every line worked again from its own numbers, and
//! the end what the statics find in silence.
//!
//! Source of the numbers by hand: two equal spans under an even load have wL²/8 over the middle and
//! 10/8 wL there; three have 0.1 wL² and 1.1 wL (handbook tables of continuous beams); a bar cut at its
//! inner supports has wL²/8 in each span.

use super::evaluate::evaluate;
use standwell::capacity::beam::forces;
use standwell::capacity::statics::Bar;
use standwell::capacity::{Line, Work};
use standwell::loads::beam::Piece;
use standwell::units::UnitSystem;
use std::collections::BTreeMap;

fn even(from: f64, to: f64, force: f64) -> Piece {
    Piece { from, to, force, centre: 0.5 * (from + to) }
}

fn point(at: f64, force: f64) -> Piece {
    Piece { from: at, to: at, force, centre: at }
}

/// Writes a bar out and works every line again; gives the lines.
fn written(length: f64, supports: &[f64], loads: &[Piece]) -> Vec<Line> {
    let bar = Bar { length, supports, loads };
    let mut w = Work::written(UnitSystem::Metres);
    let found = forces(&mut w, &bar, &[]).unwrap();
    let worst = bar.worst().unwrap();
    for (value, due) in [
        (found.moment.si, worst.moment.1),
        (found.shear.si, worst.shear.1),
        (found.reaction.si, worst.reaction.1),
    ] {
        // Each line is rounded to five figures before the next.
        assert!((value - due.abs()).abs() <= 5e-4 * due.abs(), "{value} is not {due}");
    }
    let lines: Vec<Line> = w.sections.into_iter().flat_map(|s| s.lines).collect();
    for line in lines.iter().filter(|l| !l.formula.is_empty()) {
        let with: BTreeMap<&str, f64> =
            line.inputs.iter().map(|i| (i.symbol.as_str(), i.value)).collect();
        let again = evaluate(&line.formula, &with).unwrap_or_else(|e| panic!("{line:?}: {e}"));
        let largest = with.values().fold(0.0_f64, |m, v| m.max(v.abs()));
        assert!(
            (again - line.value).abs() <= 5.1e-5 * line.value.abs() + 1e-9 * largest,
            "{line:?}: {again}"
        );
    }
    // Nothing of the end is merely given.
    for symbol in ["M", "V", "R"] {
        let line = lines.iter().rev().find(|l| l.symbol == symbol).unwrap();
        assert!(!line.formula.is_empty(), "{symbol} is given");
    }
    lines
}

fn value(lines: &[Line], symbol: &str) -> f64 {
    lines.iter().rev().find(|l| l.symbol == symbol).unwrap_or_else(|| panic!("no {symbol}")).value
}

#[test]
fn two_equal_spans_under_an_even_load() {
    // 3 m each, 10 kN/m: 11.25 kN m over the middle, 37.5 kN there, 18.75 kN beside it.
    let lines = written(6.0, &[0.0, 3.0, 6.0], &[even(0.0, 6.0, 60e3)]);
    for (symbol, due) in [("M_2", -11.25e6), ("M", 11.25e6), ("R", 37_500.0), ("V", 18_750.0)] {
        assert!((value(&lines, symbol) / due - 1.0).abs() < 1e-4, "{symbol}");
    }
}

#[test]
fn three_equal_spans_and_both_sides_of_each_equation() {
    let lines = written(9.0, &[0.0, 3.0, 6.0, 9.0], &[even(0.0, 9.0, 90e3)]);
    for (symbol, due) in [("M_2", -9e6), ("M_3", -9e6), ("R", 33_000.0)] {
        assert!((value(&lines, symbol) / due - 1.0).abs() < 1e-4, "{symbol}");
    }
    // Cut, each span has 11.25 kN m, which is more.
    assert!((value(&lines, "M") / 11.25e6 - 1.0).abs() < 1e-4);
    for k in ["2", "3"] {
        let (moments, loads) = (value(&lines, &format!("e_{k}")), value(&lines, &format!("g_{k}")));
        assert!((moments / loads - 1.0).abs() < 1e-4, "{moments}, {loads}");
    }
}

#[test]
fn overhangs_points_and_loads_that_are_not_even() {
    let sloping = Piece { from: 1.0, to: 3.0, force: 5e3, centre: 2.1 };
    written(
        5.0,
        &[0.5, 2.0, 4.2],
        &[even(0.0, 5.0, 4e3), point(0.1, 2e3), point(3.3, 7e3), point(4.9, 3e3)],
    );
    written(
        7.0,
        &[0.0, 2.0, 4.0, 6.0],
        &[even(0.0, 7.0, 2e3), sloping, point(5.0, 9e3), point(6.8, 1e3)],
    );
}
