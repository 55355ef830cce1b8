//! The shipped criteria packs against the table of published values they were taken from.

use standwell::criteria::Pack;
use standwell::criteria::model::{Rule, Seen};
use standwell::equipment::model::Basis;

pub fn us() -> Pack {
    ron::from_str(include_str!("../../assets/criteria/us.ron")).unwrap()
}

pub fn uk() -> Pack {
    ron::from_str(include_str!("../../assets/criteria/uk.ron")).unwrap()
}

pub fn eu() -> Pack {
    ron::from_str(include_str!("../../assets/criteria/eu.ron")).unwrap()
}

#[test]
fn every_rule_names_its_source() {
    for pack in [us(), uk(), eu()] {
        let rules = pack.rules();
        assert!(rules.len() >= 40, "{}", pack.name);
        for rule in rules {
            assert!(rule.source.trim().len() > 10, "{}.{}: no source", pack.name, rule.name);
            // A choice says that it is one, or whose number it took over.
            if rule.seen == Seen::Practice {
                let owns_up = ["Choice of this project", "taken over", "No ", "Neither "];
                assert!(
                    owns_up.iter().any(|words| rule.source.contains(words)),
                    "{}.{}: {}",
                    pack.name,
                    rule.name,
                    rule.source
                );
            }
        }
    }
}

/// A value as the packs hold it, in SI, with how it was seen and a piece of its source.
fn of<T: Copy>(rule: &Rule<T>, si: fn(T) -> f64) -> (f64, Seen, String) {
    (si(rule.value), rule.seen, rule.source.clone())
}

fn holds((value, seen, source): (f64, Seen, String), due: f64, how: Seen, clause: &str) {
    assert!((value / due - 1.0).abs() < 5e-3, "{clause}: {value} for {due}");
    assert_eq!(seen, how, "{clause}");
    assert!(source.contains(clause), "\"{source}\" does not name {clause}");
}

/// Each line: the value in SI as the source prints it beside the customary one, how it was seen,
/// and the clause. Values from a survey of published figures: those seen on a page are `Print`,
/// those recalled or seen second-hand `Memory`.
#[test]
fn us_numbers_are_those_of_their_clauses() {
    use Seen::{Memory, Print};
    let p = us();
    // 50 psf = 2.4 kPa, ACI 347 construction live load; 100 psf = 4.79 kPa, California 1717(a).
    holds(of(&p.live_load, standwell::units::Pressure::si), 2.4e3, Print, "ACI 347");
    holds(of(&p.combined_minimum, standwell::units::Pressure::si), 4.79e3, Print, "1717(a)");
    // Greater of 100 lb per foot of floor edge (1.46 kN/m) and 2 % of dead load.
    holds(of(&p.lateral_share, |v| v), 0.02, Print, "1717(a)(4)");
    assert!((p.lateral_edge.value.unwrap().si() - 1.46e3).abs() < 5.0);
    assert_eq!(p.lateral_edge.seen, Print);
    // One person 250 lb = 1.11 kN, Subpart L App. A; 50 lb = 0.22 kN per person, ASCE 37 4.4.
    holds(
        of(&p.worker_weight, standwell::units::Force::si),
        1.112e3,
        Memory,
        "Subpart L Appendix A",
    );
    holds(of(&p.worker_push, standwell::units::Force::si), 0.2224e3, Memory, "ASCE 37 4.4");
    // Guardrail 200 lb = 890 N, 29 CFR 1926.502(b)(3).
    holds(of(&p.rail_force, standwell::units::Force::si), 890.0, Print, "1926.502(b)(3)");
    // IBC 1807.2.3: 1.5 on sliding and overturning.
    holds(of(&p.overturning, |v| v), 1.5, Memory, "IBC 1807.2.3");
    holds(of(&p.sliding, |v| v), 1.5, Memory, "IBC 1807.2.3");
    // Single posts tested with at least 3.0, WAC 296-155-687(9)(a).
    holds(of(&p.factor_on_ultimate, |v| v), 3.0, Print, "WAC 296-155-687(9)(a)");
    // KL/r of 200 preferred, AISC 360 user note.
    holds(of(&p.slenderness, |v| v), 200.0, Memory, "AISC 360");
    // 150 lb/ft³ = 23.6 kN/m³, ACI 347 / SP-4.
    holds(of(&p.concrete, standwell::units::Density::si), 23.6e3, Memory, "ACI 347R");
    // Very light duty 20 psf = 0.96 kPa, ASCE 37 Table 2.
    holds(of(&p.access_load, standwell::units::Pressure::si), 0.96e3, Memory, "ASCE 37-14 Table 2");
    // NIOSH load constant 51 lb = 23 kg.
    holds(of(&p.lift_weight, standwell::units::Mass::si), 23.13, Print, "NIOSH");
    // Fall protection from 6 ft = 1.83 m, 29 CFR 1926.501(b).
    holds(of(&p.fall_height, standwell::units::Length::si), 1.829, Memory, "1926.501(b)");
    // 75 psf (3.6 kPa) and 125 psf (6.0 kPa) with motorised carts, ACI 347-04 2.2.1.
    let pressure = standwell::units::Pressure::si;
    holds(of(&p.live_load_motorised, pressure), 3.59e3, Print, "ACI 347-04 2.2.1");
    holds(of(&p.combined_minimum_motorised, pressure), 5.985e3, Print, "ACI 347-04 2.2.1");
    // Top rail 42 in give or take 3 in, not below 39 in; anchorage 5000 lb (22.2 kN).
    holds(
        of(&p.rail_height, standwell::units::Length::si),
        39.0 * 0.0254,
        Memory,
        "1926.502(b)(1)",
    );
    holds(of(&p.fall_anchor, standwell::units::Force::si), 22.2e3, Memory, "1926.502(d)(15)");
    // ASCE 37: 0.75 below six weeks; the site's own wind is not in a pack.
    holds(of(&p.wind_short_time, |v| v), 0.75, Memory, "ASCE 37-14 6.2.1");
    assert_eq!(p.wind_at_rest.value, None);
    // AISC 360 omega 1.67, Aluminum Design Manual omega 1.65, NDS 75 during construction.
    holds(of(&p.factor_on_steel, |v| v), 1.67, Memory, "AISC 360");
    holds(of(&p.factor_on_aluminium, |v| v), 1.65, Memory, "Aluminum Design Manual");
    holds(of(&p.slenderness_timber, |v| v), 75.0, Memory, "NDS 3.7.1.4");
    holds(of(&p.deflection, |v| v), 360.0, Memory, "SP-4");
    // Federal text asks for no diagonals and no engineer by a height.
    assert!(p.diagonals_above.is_empty() && p.engineer_above.is_empty());
}

#[test]
fn uk_numbers_are_those_of_their_clauses() {
    use Seen::{Memory, Print};
    let p = uk();
    // BS 5975: working load 1.5 kN/m², access 0.75 kN/m², 2.5 % of vertical, 1.2 on overturning,
    // 2.0 on sliding, props plumb within 1.5 degrees and loaded within 25 mm of their axis.
    holds(of(&p.live_load, standwell::units::Pressure::si), 1.5e3, Memory, "BS 5975 17.4.3.1");
    holds(of(&p.access_load, standwell::units::Pressure::si), 0.75e3, Memory, "BS 5975 17.4.3.1");
    holds(of(&p.lateral_share, |v| v), 0.025, Memory, "BS 5975:2019 19.2");
    holds(of(&p.lateral_tolerance, |v| v), 0.01, Print, "Bragg report (1975)");
    holds(of(&p.overturning, |v| v), 1.2, Memory, "BS 5975 19.4.4.2");
    holds(of(&p.sliding, |v| v), 2.0, Memory, "BS 5975 19.4.5.1");
    holds(of(&p.out_of_plumb, |v| v.si().to_degrees()), 1.5, Print, "BS 5975:1996");
    holds(of(&p.head_eccentricity, standwell::units::Length::si), 0.025, Print, "BS 5975:1996");
    assert_eq!(p.lateral_edge.value, None);
}

#[test]
fn european_numbers_are_those_of_their_clauses() {
    use Seen::Memory;
    let p = eu();
    // EN 12812: 10 % of the concrete between 0.75 and 1.75 kN/m²; 1 % and sway 0.01.
    holds(of(&p.live_load, standwell::units::Pressure::si), 1.75e3, Memory, "EN 12812 8.2");
    holds(of(&p.lateral_share, |v| v), 0.01 + 0.01, Memory, "EN 12812 8.2");
    holds(of(&p.lateral_tolerance, |v| v), 0.01, Memory, "EN 12812 8.2");
    holds(of(&p.out_of_plumb, |v| v.si().tan()), 0.01, Memory, "EN 12812 9.3");
    // EN 1990 Table A1.2(A): 1.5 on variable actions that tip, 0.9 on what holds.
    holds(of(&p.overturning, |v| v), 1.5 / 0.9, Memory, "EN 1990 Table A1.2(A)");
    holds(of(&p.sliding, |v| v), 1.5 / 0.9, Memory, "EN 1990 Table A1.2(A)");
}

/// What both packs have from European documents.
#[test]
fn numbers_both_european_packs_share() {
    use Seen::{Memory, Print};
    for p in [uk(), eu()] {
        // Working wind 0.2 kN/m², about 18 m/s by q = rho v² / 2.
        holds(of(&p.working_wind, standwell::units::Speed::si), 18.0, Memory, "EN 12812 8.2");
        let q = 0.5 * 1.25 * p.working_wind.value.si().powi(2);
        assert!((q - 200.0).abs() < 5.0, "{q} N/m²");
        // EN 1991-1-4 (4.2) with K 0.2, n 0.5 and one chance in five a year, against one in fifty.
        let prob = |p: f64| 1.0 - 0.2 * (-(1.0 - p).ln()).ln();
        let factor = (prob(0.2) / prob(0.02)).sqrt();
        holds(of(&p.wind_short_time, |v| v), factor, Memory, "EN 1991-1-4 (4.2)");
        // EN 1991-1-6: 25 kN/m³ and 1 kN/m³ more while fresh.
        holds(of(&p.concrete, standwell::units::Density::si), 26e3, Memory, "EN 1991-1-6");
        // EN 12811-1 Table 3: 1.5 kN on 0.5 m x 0.5 m.
        holds(
            of(&p.worker_weight, standwell::units::Force::si),
            1.5e3,
            Memory,
            "EN 12811-1 Table 3",
        );
        // EN 1065: 1.1 x 1.5 = 1.65 on the characteristic strength; the same on steel, EN 12812.
        holds(of(&p.factor_on_characteristic, |v| v), 1.1 * 1.5, Memory, "EN 1065");
        holds(of(&p.factor_on_steel, |v| v), 1.1 * 1.5, Memory, "EN 12812 9");
        holds(of(&p.factor_on_aluminium, |v| v), 1.1 * 1.5, Memory, "EN 12812 9");
        // EN 1995-1-1: 1.3 / 0.7 x 1.5.
        holds(of(&p.factor_on_timber, |v| v), 1.3 / 0.7 * 1.5, Memory, "EN 1995-1-1");
        holds(of(&p.lift_weight, standwell::units::Mass::si), 23.0, Print, "NIOSH");
        assert!(p.diagonals_above.is_empty() && p.engineer_above.is_empty());
    }
}

#[test]
fn a_pack_with_numbers_from_memory_calls_itself_incomplete() {
    for mut pack in [us(), uk(), eu()] {
        let (memory, all) = pack.from_memory();
        assert!(memory > 0 && all > memory);
        let words = pack.incomplete().unwrap();
        assert!(
            words.contains(&format!("{memory} of its {all} numbers are from memory")),
            "{words}"
        );
        // Seen in print, every one of them: no longer.
        let text = ron::to_string(&pack).unwrap().replace("memory", "print");
        pack = ron::from_str(&text).unwrap();
        assert_eq!(pack.from_memory(), (0, all));
        assert_eq!(pack.incomplete(), None);
    }
}

#[test]
fn choices_of_this_project_are_marked_as_choices() {
    for pack in [us(), uk(), eu()] {
        for rule in
            [&pack.critical_factor, &pack.friction, &pack.use_of_capacity, &pack.plate_off_sill]
        {
            assert_eq!(rule.seen, Seen::Practice, "{}: {}", pack.name, rule.source);
        }
        assert!(pack.critical_factor.value >= 3.0);
        // A worker's push and the hand force are forces; the lift is a mass.
        assert!(pack.hand_force.value.si() < pack.worker_push.value.si());
    }
}

#[test]
fn capacity_factors_go_by_the_basis_of_the_table() {
    for (pack, characteristic, ultimate) in [(us(), 3.0, 3.0), (uk(), 1.65, 2.0), (eu(), 1.65, 2.0)]
    {
        assert!((pack.factor_on(Basis::SafeWorkingLoad) - 1.0).abs() < 1e-12);
        assert!((pack.factor_on(Basis::Characteristic) - characteristic).abs() < 1e-12);
        assert!((pack.factor_on(Basis::Ultimate) - ultimate).abs() < 1e-12);
    }
}

#[test]
fn regional_words_stand_for_the_words_of_the_file() {
    let uk = uk();
    for (word, due) in [("ledger", "primary beam"), ("mudsill", "sole plate"), ("strip", "strike")]
    {
        assert_eq!(uk.alias(word), due);
        assert_eq!(us().alias(word), word, "US words are the file's words");
    }
    assert_eq!(uk.alias("no such word"), "no such word");
}
