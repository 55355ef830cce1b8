//! A review put together by hand, so that reports can be looked at without judging anything.

use standwell::assembly::Assembly;
use standwell::findings::{Dimension, Evidence, Finding, Measure, Severity, SourceNote};
use standwell::report::FileUsed;
use standwell::review::{Review, StageSummary};
use standwell::sequence::{Sequence, Stage};
use std::path::Path;

pub fn finding(code: &str, severity: Severity, from: usize, last: usize) -> Finding {
    Finding {
        code: code.to_owned(),
        hazard: "some-hazard".to_owned(),
        severity,
        unknown: false,
        headline: format!("headline of {code}"),
        subjects: vec!["main.post.B1".to_owned()],
        others: Vec::new(),
        from_step: format!("step.{from}"),
        from_stage: from,
        cured_by: (last < 2).then(|| format!("step.{}", last + 1)),
        last_stage: last,
        evidence: Evidence {
            measures: vec![Measure {
                what: "least push".to_owned(),
                measured: 45.0,
                limit: Some(222.4),
                at_least: true,
                dimension: Dimension::Force,
            }],
            path: vec!["main.post.B1".to_owned(), "main.ledger.A1-B1".to_owned()],
            motion: None,
            notes: vec!["a sentence with the numbers in it".to_owned()],
        },
        cures: vec!["connect main.brace.A1-B1.a".to_owned()],
        remedies: Vec::new(),
        sources: vec![SourceNote {
            title: "Some document".to_owned(),
            locator: "clause 9".to_owned(),
            seen: "memory".to_owned(),
        }],
        sample_data: true,
        root: None,
        accepted: None,
    }
}

fn stage(index: usize) -> Stage {
    Stage {
        index,
        step: format!("step.{index}"),
        title: format!("Step number {index}"),
        members: Vec::new().into(),
        joints: Vec::new().into(),
        head_locked: Vec::new().into(),
        nailed: Vec::new().into(),
        loads: Vec::new(),
        placing: Default::default(),
        people: Vec::new(),
        touched: Vec::new(),
        released: Vec::new(),
        removed: Vec::new(),
        hands_needed: 1,
        crew: 4,
        removed_under: Vec::new(),
        loaded_unlocked: Vec::new(),
        strip: standwell::sequence::StripState::default(),
        level_steps: 0..0,
        written_at: 0..0,
    }
}

/// Three stages with these findings.
pub fn review(findings: Vec<Finding>) -> Review {
    let text = r#"(
        format: 1, title: "A job by hand", equipment: ["sample"], criteria: "us",
        members: [(name: "post", role: post, part: "post-10",
            from: At("0 m", "0 m", "0 m"), to: At("0 m", "0 m", "9 ft"))],
    )"#;
    let loaded = standwell::scene::read(text, Path::new("by-hand.ron")).unwrap();
    let stages: Vec<Stage> = (0..3).map(stage).collect();
    let summaries = stages
        .iter()
        .map(|stage| {
            let here = |f: &Finding| (f.from_stage..=f.last_stage).contains(&stage.index);
            StageSummary {
                worst: findings.iter().filter(|f| here(f)).map(|f| f.severity).max(),
                unknown: findings.iter().any(|f| here(f) && f.unknown),
                reserve: Some(0.2),
                reserve_of: "push".to_owned(),
                reserve_at_least: stage.index == 2,
                findings: (0..findings.len()).filter(|&i| here(&findings[i])).collect(),
                ..StageSummary::default()
            }
        })
        .collect();
    Review {
        assembly: Assembly::new(loaded.scene, loaded.library, Vec::new(), Vec::new()),
        pack: loaded.pack,
        sequence: Sequence { stages, finished_only: false },
        stages: Vec::new(),
        summaries,
        findings,
        changes: Vec::new(),
    }
}

pub fn files() -> Vec<FileUsed> {
    vec![FileUsed { path: "by-hand.ron".to_owned(), sha256: "00".repeat(32) }]
}
