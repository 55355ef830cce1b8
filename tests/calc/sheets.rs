//! The hand-calculation sheet: every line, worked again from the numbers that are printed in it,
//! gives the number that is printed; and the sheet ends where the check ended.

use super::evaluate::evaluate;
use standwell::calc::{CalcSheet, of_member};
use standwell::capacity::work::Section;
use standwell::report::calc::{CalcReport, write};
use standwell::report::style::Style;
use standwell::review::{Review, judge};
use standwell::units::UnitSystem;
use std::collections::BTreeMap;
use std::path::Path;

fn review(hazard: &str) -> Review {
    let path =
        Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/checks").join(hazard).join("fires.ron");
    let loaded = standwell::scene::load(&path).unwrap_or_else(|p| panic!("{p}"));
    judge(loaded, &|_, _| true).unwrap_or_else(|p| panic!("{p}"))
}

fn sheet(review: &Review, stage: usize, member: &str, units: UnitSystem) -> CalcSheet {
    of_member(&review.at(stage).unwrap(), review.assembly.find(member).unwrap(), units)
}

fn printed(review: &Review, sheet: CalcSheet, units: UnitSystem) -> String {
    let report = CalcReport::of("title", &review.pack, &[], vec![sheet], units);
    let mut out = Vec::new();
    write(&mut out, &report, Style::plain()).unwrap();
    String::from_utf8(out).unwrap()
}

/// `M_a = 8500000 N mm` as letters and number.
fn number(text: &str) -> (&str, f64) {
    let (symbol, rest) = text.split_once(" = ").unwrap_or_else(|| panic!("no number in {text}"));
    let value = rest.split(' ').next().unwrap();
    (symbol, value.parse().unwrap_or_else(|_| panic!("no number in {text}")))
}

/// Reads the printed text again: a line with a formula, the row of its inputs, its result. Gives how
/// many formulas were worked again.
fn worked_again(text: &str) -> usize {
    let lines: Vec<&str> = text.lines().collect();
    let mut count = 0;
    for (i, line) in lines.iter().enumerate() {
        let Some(first) = lines.get(i + 1).and_then(|l| l.strip_prefix("        with ")) else {
            continue;
        };
        let mut inputs = first.to_owned();
        let mut next = i + 2;
        while let Some(more) = lines[next].strip_prefix("             ") {
            inputs.push_str("; ");
            inputs.push_str(more);
            next += 1;
        }
        let (symbol, formula) = line.trim().split_once(" = ").unwrap();
        let formula = formula.split("    ").next().unwrap();
        let with: BTreeMap<&str, f64> = inputs.split("; ").map(number).collect();
        let (of, value) = number(lines[next].trim());
        assert_eq!(of, symbol, "{line}");
        let again = evaluate(formula, &with).unwrap_or_else(|e| panic!("{line}: {e}"));
        // Five figures are printed; a sum of large numbers that nearly cancel keeps fewer, down to
        // half a unit of the last figure of the largest number in it.
        let largest = with.values().fold(0.0_f64, |m, v| m.max(v.abs()));
        let close = (again - value).abs() <= 5.1e-5 * value.abs()
            || (formula.contains('-') && (again - value).abs() <= 1e-9 * largest.powi(2));
        assert!(close, "{line}\n{inputs}\nprinted {value}, worked again {again}");
        count += 1;
    }
    count
}

/// The greatest use on a sheet.
fn most_used(sheet: &CalcSheet) -> f64 {
    let lines = sheet.sections.iter().flat_map(|s| &s.lines);
    lines.filter(|l| l.symbol == "U").map(|l| l.value).fold(0.0, f64::max)
}

/// For every hazard of use: the member it is found on, in both unit systems.
#[test]
fn every_printed_line_can_be_worked_again() {
    for (hazard, least) in [
        ("post_overloaded", 3),
        ("beam_overstressed", 8),
        ("beam_crushed", 8),
        ("deck_sags", 8),
        ("sheet_overstressed", 8),
        ("brace_overloaded", 2),
        ("deck_sheared", 4),
        ("head_overloaded", 3),
        ("jack_overloaded", 3),
        ("clip_overloaded", 2),
        ("sill_overloaded", 5),
        ("ground_overloaded", 8),
    ] {
        let review = review(hazard);
        let name = hazard.replace('_', "-");
        let finding = review.findings.iter().find(|f| f.hazard == name).unwrap();
        let member = finding.subjects[0].replace(".sill.", ".post.");
        for units in [UnitSystem::Metres, UnitSystem::Feet] {
            let sheet = sheet(&review, finding.from_stage, &member, units);
            let used = most_used(&sheet);
            let text = printed(&review, sheet, units);
            let count = worked_again(&text);
            assert!(count >= least, "{hazard}: {count} lines\n{text}");
            // The sheet comes to what the check found: its own measure over its limit.
            if let [measure] = finding.evidence.measures.as_slice() {
                let share = measure.measured / measure.limit.unwrap();
                assert!(used >= share * (1.0 - 1e-3), "{hazard}: {used} for {share}\n{text}");
            }
        }
    }
}

/// A ledger with a bundle in the middle, by hand: PL/4 + wL²/8 = 18.7 x 1.8288 / 4 + 0.2059 x 1.8288 / 8
/// = 8.597 kN m.
#[test]
fn a_ledger_by_hand() {
    let review = review("beam_overstressed");
    let stage = review.stages.len() - 1;
    let found = sheet(&review, stage, "main.ledger.A1-B1", UnitSystem::Metres);
    let line = |symbol: &str| {
        let lines = found.sections.iter().flat_map(|s| &s.lines);
        lines.filter(|l| l.symbol == symbol).map(|l| l.value).next().unwrap()
    };
    let own = 21.0 * 9.80665;
    let due = 18_700.0 * 1828.8 / 4.0 + own * 1828.8 / 8.0;
    assert!((line("M") / due - 1.0).abs() < 1e-4, "{} for {due}", line("M"));
    assert!((line("V") / (9350.0 + own / 2.0) - 1.0).abs() < 1e-4, "{}", line("V"));
    assert!((line("M_a") - 8.5e6).abs() < 1.0);
}

/// What is in reserve is one over the greatest use printed on the sheet, whose lines are worked again
/// above; a member whose data leave something open has none, unless it is past a limit.
#[test]
fn what_is_in_reserve_is_what_the_sheet_says() {
    let mut seen = [0; 4];
    for hazard in [
        "post_overloaded",
        "beam_overstressed",
        "beam_crushed",
        "sheet_overstressed",
        "brace_overloaded",
        "sill_overloaded",
        "jack_overloaded",
    ] {
        let review = review(hazard);
        for stage in 0..review.stages.len() {
            let at = review.at(stage).unwrap();
            for member in &review.assembly.members {
                let found = standwell::calc::reserve(&at, member.id);
                let sheet = of_member(&at, member.id, UnitSystem::Metres);
                let sags = |s: &&Section| !s.title.contains("sag");
                let sections = || sheet.sections.iter().filter(sags);
                let uses = sections().flat_map(|s| &s.lines).filter(|l| l.symbol == "U");
                let most = uses.map(|l| l.value).reduce(f64::max);
                let open = sections().flat_map(|s| &s.notes).any(|n| n.contains("not safe"));
                let name = format!("{hazard} {stage} {}", member.name);
                match (found, most) {
                    (Some(Ok(r)), Some(most)) if most > 0.0 => {
                        assert!((r * most - 1.0).abs() < 2e-4, "{name}: {r} for {most}");
                        assert!(!open || most > 1.0, "{name}");
                        seen[usize::from(most > 1.0)] += 1;
                    }
                    (Some(Ok(r)), _) => assert!(r.is_infinite() && !open, "{name}: {r}"),
                    (Some(Err(_)), _) => {
                        assert!(open, "{name}");
                        seen[2] += 1;
                    }
                    (None, most) => {
                        assert!(most.is_none() && !open, "{name}");
                        seen[3] += 1;
                    }
                }
            }
        }
    }
    println!("within, past, open, nothing: {seen:?}");
    assert!(seen[0] > 50 && seen[1] > 2 && seen[3] > 50, "{seen:?}");
}

#[test]
fn what_is_not_there_or_carries_nothing_says_so() {
    let review = review("beam_overstressed");
    let first = sheet(&review, 0, "main.ledger.A1-B1", UnitSystem::Metres);
    let notes: Vec<&String> = first.sections.iter().flat_map(|s| &s.notes).collect();
    assert_eq!(notes, ["It is not there at this stage."]);
    assert!(first.sample_data);
}
