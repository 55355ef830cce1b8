//! Names decide the order of members, and nothing else: a floor whose lines and block are called
//! otherwise, so that every order turns round, gets the same answers at every stage.

use standwell::assembly::{self, Assembly};
use standwell::criteria::Pack;
use standwell::loads::take_down;
use standwell::mechanics::stage::Judge;
use standwell::scene;
use standwell::sequence::{self, Sequence};
use std::path::Path;

const OLD: [&str; 5] = ["A", "B", "C", "D", "E"];
const NEW: [&str; 5] = ["Z", "Y", "X", "W", "V"];

fn laid_out(text: &str) -> (Assembly, Pack, Sequence) {
    let loaded = scene::read(text, Path::new("grid.ron")).unwrap();
    let assembly = assembly::build(&loaded.scene, &loaded.library, &loaded.source).unwrap();
    let sequence = sequence::run(&assembly, &loaded.source).unwrap();
    (assembly, loaded.pack, sequence)
}

/// `main.ledger.A1-B1` becomes `other.ledger.Z1-Y1`.
fn renamed(name: &str) -> String {
    let mut out = name.replace("main.", "other.");
    for (old, new) in OLD.iter().zip(NEW) {
        for before in [".", "-"] {
            for digit in 1..=9 {
                out =
                    out.replace(&format!("{before}{old}{digit}"), &format!("{before}{new}{digit}"));
            }
        }
    }
    out
}

#[test]
fn renaming_changes_no_answer() {
    let text = standwell::cli::grid::floor((4, 3), false).unwrap();
    let other = text
        .replace("\"main\"", "\"other\"")
        .replace("\"A..E\"", &format!("\"{}\"", NEW.join(" ")))
        .replace("\"A1-B2\"", "\"Z1-Y2\"");
    assert_ne!(text, other);
    let (a, pack, before) = laid_out(&text);
    let (b, _, after) = laid_out(&other);
    assert_eq!(before.stages.len(), after.stages.len());
    let same: Vec<_> =
        a.members.iter().map(|m| b.find(&renamed(&m.name)).expect(&m.name)).collect();
    assert!(same.windows(2).any(|w| w[0] > w[1]), "the order must turn round");
    let (mut one, mut two) = (Judge::new(&a, &pack), Judge::new(&b, &pack));
    for (s, t) in before.stages.iter().zip(&after.stages) {
        let x = one.stage(s, &take_down(&a, &pack, s));
        let y = two.stage(t, &take_down(&b, &pack, t));
        assert_eq!(x.mechanisms.len(), y.mechanisms.len(), "{}", s.step);
        assert_eq!(
            (&x.mechanisms_certain, &x.critical, &x.lateral, &x.push),
            (&y.mechanisms_certain, &y.critical, &y.lateral, &y.push),
            "{}",
            s.step
        );
        let largest = x.axial.iter().fold(1.0, |m: f64, r| m.max(-r.least).max(r.greatest));
        for (k, r) in x.axial.iter().enumerate() {
            let other = y.axial.get(same[k].index()).unwrap();
            let off = (r.least - other.least).abs().max((r.greatest - other.greatest).abs());
            assert!(off < 1e-8 * largest, "{}: {} {off}", s.step, a.members[k].name);
        }
        match (x.lowest_factor, y.lowest_factor) {
            (Some(x), Some(y)) => assert!((x / y - 1.0).abs() < 1e-6, "{}: {x} {y}", s.step),
            (x, y) => assert_eq!(x, y, "{}", s.step),
        }
    }
}
