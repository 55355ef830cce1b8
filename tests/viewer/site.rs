//! A judged floor to look at. Stages and layout come from the program itself; findings are put in
//! by hand, so that the window can be tested apart from what is judged.

use standwell::assembly::Assembly;
use standwell::findings::{
    Dimension, Evidence, Finding, Measure, Motion, MovingMember, Severity, SourceNote,
};
use standwell::mechanics::StageMechanics;
use standwell::review::{JudgedStage, Review, StageSummary};
use standwell::{assembly, loads, restraint, scene, sequence};
use std::path::Path;

/// A floor of `x` by `y` bays with an overhang, a walkway and a wall.
pub fn floor_text(x: u8, y: u8) -> String {
    let last = char::from(b'A' + x);
    let (lx, ly) = (f64::from(x) * 1.8288, f64::from(y) * 1.8288);
    format!(
        r#"(
    format: 1,
    title: "A floor to look at",
    about: "Laid out for the window's tests.",
    units: metres,
    equipment: ["sample"],
    criteria: "us",
    crew: (size: 5),
    floors: [(name: "ground floor", level: "0 m", kind: Slab, outline: [("-2 m", "-2 m"), ("{fx} m", "-2 m"), ("{fx} m", "{fy} m"), ("-2 m", "{fy} m")])],
    slabs: [(name: "slab", soffit: "3.25 m", thickness: "200 mm", outline: [("-0.4 m", "-0.4 m"), ("{sx} m", "-0.4 m"), ("{sx} m", "{sy} m"), ("-0.4 m", "{sy} m")])],
    permanent: [(name: "core", kind: Wall(from: ("-1 m", "-0.5 m"), to: ("-1 m", "{ly} m"), thickness: "250 mm"), from: "0 m", to: "3.2 m")],
    blocks: [(
        name: "main",
        x: (lines: "A..{last}", every: "6 ft"),
        y: (lines: "1..{rows}", every: "6 ft"),
        stands_on: "ground floor",
        head: "3 m",
        post: "post-10",
        ledger: ["ledger-4", "ledger-6", "ledger-8"],
        joist: ["joist-4", "joist-6", "joist-8"],
        fillers: 2,
        sheet: Some("sheet-6"),
        brace: Some("brace"),
        brace_every: 4,
        overhangs: [(along: "{last}", by: "0.9 m", clip: Some("clip"), walkway: Some("0.6 m"), edge_form: Some((at: "0.25 m", weight: "0.2 kN/m")), rail: true)],
    )],
    sequence: [
        Tower((id: "tower", block: "main", at: "A1-B2")),
        Erect((id: "erect", block: "main", from: "A1-B2")),
        Deck((id: "deck", block: "main")),
    ],
)"#,
        rows = y + 1,
        fx = lx + 3.0,
        fy = ly + 2.0,
        sx = lx + 0.25,
        sy = ly + 0.4,
    )
}

/// The floor with its stages, restraint, and a handful of findings.
pub fn review(x: u8, y: u8) -> Review {
    of_text(&floor_text(x, y))
}

pub fn of_text(text: &str) -> Review {
    let loaded = match scene::read(text, Path::new("floor.ron")) {
        Ok(loaded) => loaded,
        Err(problems) => panic!("{problems}"),
    };
    let assembly = match assembly::build(&loaded.scene, &loaded.library, &loaded.source) {
        Ok(assembly) => assembly,
        Err(problems) => panic!("{problems}"),
    };
    let sequence = match sequence::run(&assembly, &loaded.source) {
        Ok(sequence) => sequence,
        Err(problems) => panic!("{problems}"),
    };
    let stages = sequence
        .stages
        .iter()
        .map(|stage| JudgedStage {
            loads: loads::take_down(&assembly, &loaded.pack, stage),
            restraint: restraint::of_stage(&assembly, stage),
            mechanics: StageMechanics::unknown(
                "not judged here",
                assembly.members.len(),
                2.0,
                222.4,
            ),
            equilibrium: standwell::equilibrium::StageEquilibrium::default(),
        })
        .collect();
    let findings = findings(&assembly, sequence.stages.len());
    let summaries = (0..sequence.stages.len())
        .map(|stage| {
            let here: Vec<usize> = (0..findings.len())
                .filter(|&i| (findings[i].from_stage..=findings[i].last_stage).contains(&stage))
                .collect();
            StageSummary {
                worst: here.iter().map(|&i| findings[i].severity).max(),
                unknown: here.iter().any(|&i| findings[i].unknown),
                reserve: Some(0.4 + 2.0 * ((stage % 23) as f64 / 23.0)),
                reserve_at_least: false,
                reserve_of: "push at the heads".to_owned(),
                findings: here,
                ..StageSummary::default()
            }
        })
        .collect();
    Review {
        assembly,
        pack: loaded.pack,
        sequence,
        stages,
        summaries,
        findings,
        changes: Vec::new(),
    }
}

fn findings(assembly: &Assembly, stages: usize) -> Vec<Finding> {
    let middle = stages * 2 / 5;
    let mut out = vec![
        finding(
            "SW101",
            Severity::Stop,
            "main.post.C3 is held along x by nothing: it can fall",
            &["main.post.C3"],
            middle,
            middle + 6,
        ),
        finding(
            "SW301",
            Severity::Stop,
            "The stage gives way to a push of 45 N at main.post.C3",
            &["main.post.C3", "main.ledger.B3-C3"],
            middle,
            middle + 6,
        ),
        finding(
            "SW202",
            Severity::FixFirst,
            "main.post.B2 is used to 1.12 of its capacity at this height",
            &["main.post.B2"],
            middle - 4,
            stages - 1,
        ),
        finding(
            "SW401",
            Severity::FixFirst,
            "Whether main.post.A2's sill bears is unknown: nobody stated the ground",
            &["main.post.A2"],
            2,
            stages - 1,
        ),
        finding(
            "SW601",
            Severity::Watch,
            "Single legs above 10 ft ask for diagonals",
            &["main.post.A1"],
            4,
            stages - 1,
        ),
        finding("SW602", Severity::Note, "Rests on sample data", &[], 0, stages - 1),
    ];
    out[1].root = Some(0);
    out[3].unknown = true;
    let post = assembly.find("main.post.C3").expect("post C3 is there");
    let member = |name: &str, second: [f64; 3]| MovingMember {
        name: name.to_owned(),
        first_end: if name.contains("post") { [0.0; 3] } else { second },
        second_end: second,
    };
    out[0].evidence = Evidence {
        measures: vec![
            measure("least push at its head", 45.0, 222.4, true, Dimension::Force),
            measure("unbraced length", 3.0, 2.4, false, Dimension::Length),
        ],
        path: vec!["main.ledger.B3-C3".to_owned(), "main.ledger.A3-B3".to_owned()],
        motion: Some(Motion {
            members: vec![
                member("main.post.C3", [1.0, 0.0, 0.0]),
                member("main.ledger.B3-C3", [1.0, 0.0, 0.0]),
            ],
        }),
        notes: vec![format!(
            "{} hangs on one ledger, which no diagonal holds.",
            assembly.name(post)
        )],
    };
    out[0].others = vec!["main.ledger.B3-C3".to_owned()];
    out
}

pub fn measure(
    what: &str,
    measured: f64,
    limit: f64,
    at_least: bool,
    dimension: Dimension,
) -> Measure {
    Measure { what: what.to_owned(), measured, limit: Some(limit), at_least, dimension }
}

pub fn finding(
    code: &str,
    severity: Severity,
    headline: &str,
    subjects: &[&str],
    from: usize,
    last: usize,
) -> Finding {
    Finding {
        code: code.to_owned(),
        hazard: "some-hazard".to_owned(),
        severity,
        unknown: false,
        headline: headline.to_owned(),
        subjects: subjects.iter().map(|s| (*s).to_owned()).collect(),
        others: Vec::new(),
        from_step: format!("step.{from}"),
        from_stage: from,
        cured_by: None,
        last_stage: last,
        evidence: Evidence::default(),
        cures: vec!["Connect the diagonal of this line before the post is released".to_owned()],
        remedies: Vec::new(),
        sources: vec![SourceNote {
            title: "Some standard".to_owned(),
            locator: "clause 9".to_owned(),
            seen: "memory".to_owned(),
        }],
        sample_data: true,
        root: None,
        accepted: None,
    }
}
