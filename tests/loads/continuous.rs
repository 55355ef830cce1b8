//! Reactions of continuous beams against handbook tables and against the frame engine.
//!
//! Known to work when: equal spans under an even load give the coefficients of the beam tables that
//! every handbook of structures prints (recalled from memory: two spans 0.375, 1.25, 0.375; three
//! 0.4, 1.1; four 0.393, 1.143, 0.929 of w L); any spans and loads give what the frame engine gives,
//! which knows nothing of the equation of three moments; and patterns give what the same tables print
//! for the worst arrangement of live load (two spans: 0.4375 at an end; three: 0.45 and 1.2; four:
//! 0.446, 1.223 and 1.143; from memory).

use standwell::assembly::model::{Point, Vector};
use standwell::loads::beam::{Piece, Ranged, bounds, continuous, reactions};
use standwell::mechanics::frame::{ElementForm, Frame, FrameMember, LoadCase, Section, Support};
use standwell::mechanics::model::Model;

fn even(stations: &[f64]) -> Piece {
    let (from, to) = (stations[0], stations[stations.len() - 1]);
    Piece { from, to, force: to - from, centre: 0.5 * (from + to) }
}

fn spans(n: usize) -> Vec<f64> {
    (0..=n).map(|i| i as f64 * 2.0).collect()
}

/// In units of w L, with w = 1 N/m and L = 2 m.
fn coefficients(n: usize) -> Vec<f64> {
    let at = spans(n);
    continuous(&at, &[even(&at)]).into_iter().map(|r| r / 2.0).collect()
}

fn close(found: &[f64], due: &[f64], within: f64) {
    assert_eq!(found.len(), due.len());
    for (a, b) in found.iter().zip(due) {
        assert!((a - b).abs() < within, "{found:?} is not {due:?}");
    }
}

#[test]
fn equal_spans_give_the_coefficients_of_the_tables() {
    close(&coefficients(2), &[0.375, 1.25, 0.375], 1e-12);
    close(&coefficients(3), &[0.4, 1.1, 1.1, 0.4], 1e-12);
    // 11/28, 8/7, 13/14: the tables print three digits.
    close(&coefficients(4), &[11.0 / 28.0, 8.0 / 7.0, 13.0 / 14.0, 8.0 / 7.0, 11.0 / 28.0], 1e-12);
    close(&coefficients(4), &[0.393, 1.143, 0.929, 1.143, 0.393], 5e-4);
}

#[test]
fn tributary_widths_are_a_quarter_low_at_the_middle_of_two_spans() {
    let at = spans(2);
    let tributary = reactions(&at, &[even(&at)])[1];
    let (_, greatest) = bounds(&at, &[fixed(even(&at))])[1];
    assert!((greatest / tributary - 1.25).abs() < 1e-12);
}

fn fixed(piece: Piece) -> Ranged {
    Ranged { piece, least: piece.force, greatest: piece.force }
}

#[test]
fn an_end_support_is_judged_by_the_single_span_and_an_inner_one_by_the_continuous_beam() {
    let at = spans(3);
    let found = bounds(&at, &[fixed(even(&at))]);
    let per = |k: usize| (found[k].0 / 2.0, found[k].1 / 2.0);
    close(&[per(0).0, per(0).1, per(1).0, per(1).1], &[0.4, 0.5, 1.0, 1.1], 1e-12);
}

#[test]
fn live_load_on_any_span_gives_the_pattern_coefficients_of_the_tables() {
    let worst = |n: usize| -> Vec<f64> {
        let at = spans(n);
        let load = Ranged { piece: even(&at), least: 0.0, greatest: even(&at).force };
        // The single span gives one half at an end; the tables are for the continuous beam, whose
        // worst is found by loading the spans one by one.
        let mut sums = vec![0.0_f64; n + 1];
        for k in 0..n {
            let (from, to) = (at[k], at[k + 1]);
            let part = Piece { from, to, force: 2.0, centre: 0.5 * (from + to) };
            for (sum, r) in sums.iter_mut().zip(continuous(&at, &[part])) {
                *sum += r.max(0.0) / 2.0;
            }
        }
        // And the bounds hold it.
        for (sum, (_, greatest)) in sums.iter().zip(bounds(&at, &[load])) {
            assert!(greatest / 2.0 >= sum - 1e-12);
        }
        sums
    };
    close(&worst(2), &[0.4375, 1.25, 0.4375], 5e-4);
    close(&worst(3), &[0.45, 1.2, 1.2, 0.45], 5e-4);
    close(&worst(4), &[0.446, 1.223, 1.143, 1.223, 0.446], 6e-4);
}

/// Vertical reactions of the same beam by the frame engine, nodes at supports and loads.
fn by_frame(stations: &[f64], loads: &[Piece]) -> Vec<f64> {
    let mut at: Vec<f64> = stations.to_vec();
    for load in loads {
        at.extend([load.from, load.to]);
    }
    at.sort_by(f64::total_cmp);
    at.dedup_by(|a, b| (*a - *b).abs() < 1e-9);
    let node = |x: f64| at.iter().position(|s| (s - x).abs() < 1e-9).unwrap();
    let mut frame = Frame {
        nodes: at.iter().map(|&x| Point::new(x, 0.0, 0.0)).collect(),
        sections: vec![Section { e: 2e11, g: 8e10, a: 1e-2, iy: 1e-5, iz: 1e-5, j: 1e-5 }],
        ..Frame::default()
    };
    for k in 1..at.len() {
        frame.members.push(FrameMember::beam(k - 1, k, 0, Vector::z()));
    }
    for (k, &s) in stations.iter().enumerate() {
        // Held along and against spin at the first; down at every one.
        let first = k == 0;
        frame
            .supports
            .push(Support { node: node(s), fixed: [first, true, true, first, false, false] });
    }
    let mut case = LoadCase::default();
    for load in loads {
        if load.to - load.from < 1e-9 {
            case.nodal.push((node(load.from), [0.0, 0.0, -load.force, 0.0, 0.0, 0.0]));
            continue;
        }
        let each = load.force / (load.to - load.from);
        for k in node(load.from)..node(load.to) {
            case.uniform.push((k, [0.0, 0.0, -each]));
        }
    }
    let model = Model::new(&frame, ElementForm::Exact, &[]).unwrap();
    let solution = model.factor().unwrap().solve(&case).unwrap();
    let at_node = |k: usize| solution.reactions.iter().find(|(n, _)| *n == k).unwrap().1[2];
    stations.iter().map(|&s| at_node(node(s))).collect()
}

#[test]
fn uneven_spans_overhangs_points_and_part_loads_agree_with_the_frame_engine() {
    let spread =
        |from: f64, to: f64, force: f64| Piece { from, to, force, centre: 0.5 * (from + to) };
    let cases: [(&[f64], Vec<Piece>); 4] = [
        (&[0.0, 2.0, 5.0], vec![spread(0.0, 5.0, 900.0), spread(3.1, 3.1, 400.0)]),
        (&[0.5, 2.0, 3.5, 7.0], vec![spread(0.0, 7.8, 1300.0), spread(7.8, 7.8, 150.0)]),
        (&[0.0, 1.0, 4.0, 4.5, 9.0], vec![spread(0.4, 6.2, 700.0), spread(8.0, 8.5, 90.0)]),
        (&[1.0, 3.0, 6.0], vec![spread(0.0, 0.7, 55.0), spread(6.0, 6.9, 35.0)]),
    ];
    for (stations, loads) in cases {
        let (found, due) = (continuous(stations, &loads), by_frame(stations, &loads));
        let total: f64 = loads.iter().map(|l| l.force).sum();
        for (a, b) in found.iter().zip(&due) {
            // The frame's beam also bends in shear-free theory; both are exact, to round-off.
            assert!((a - b).abs() < 1e-7 * total, "{found:?} is not {due:?}");
        }
    }
}

#[test]
fn two_supports_are_the_lever_rule() {
    let load = Piece { from: 3.0, to: 3.0, force: 10.0, centre: 3.0 };
    close(&continuous(&[0.0, 2.0], &[load]), &[-5.0, 15.0], 1e-12);
}
