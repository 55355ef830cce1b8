//! Numbers of slabs' strength, evidence and levels that cannot be.

use super::Check;
use crate::scene::model::{Action, EvidenceBy, LevelAction, SequenceItem};

pub(super) fn check(check: &mut Check<'_>) {
    let scene = check.scene;
    for (i, slab) in scene.slabs.iter().enumerate() {
        let Some(strength) = &slab.strength else { continue };
        let path = format!("slabs[{i}].strength");
        check.positive(&format!("{path}.specified"), strength.specified.si());
        for (field, share) in [("strip", strength.strip), ("clear", strength.clear)] {
            if !(share > 0.0 && share <= 1.0) {
                check.at(
                    &format!("{path}.{field}"),
                    "a share of the specified strength, above 0 and at most 1",
                );
            }
        }
        if strength.clear < strength.strip {
            check.at(
                &format!("{path}.clear"),
                "posts come away at no less strength than the forms before them",
            );
        }
        if strength.source.trim().is_empty() {
            check.at(&format!("{path}.source"), "say which drawing or clause asks for it");
        }
        let rises = strength.curve.windows(2).all(|w| w[0].0 < w[1].0 && w[0].1 <= w[1].1);
        if !rises || strength.curve.iter().any(|p| !(p.0.si() > 0.0 && p.1.si() > 0.0)) {
            check.at(
                &format!("{path}.curve"),
                "the mix's strengths rise with the temperature–time factor, from above zero",
            );
        }
        if let Some(datum) = strength.datum
            && !(-20.0..=10.0).contains(&datum.0)
        {
            check.at(&format!("{path}.datum"), "no datum temperature: 0 °C and −10 °C are in use");
        }
    }
    for (i, item) in scene.sequence.iter().enumerate() {
        let SequenceItem::Step(step) = item else { continue };
        for (j, action) in step.actions.iter().enumerate() {
            let Action::Evidence(evidence) = action else { continue };
            let path = format!("sequence[{i}].do[{j}].by");
            match &evidence.by {
                EvidenceBy::Test { strength, report } => {
                    check.positive(&format!("{path}.strength"), strength.si());
                    if report.trim().is_empty() {
                        check.at(&format!("{path}.report"), "name the report of the test");
                    }
                }
                EvidenceBy::Maturity { longest_gap, .. } => {
                    if let Some(gap) = longest_gap {
                        check.positive(&format!("{path}.longest_gap"), gap.si());
                    }
                }
                EvidenceBy::Specification { condition, signed, .. } => {
                    if condition.trim().is_empty() || signed.trim().is_empty() {
                        check.at(
                            &path,
                            "say the drawings' condition, and who signed that it is fulfilled",
                        );
                    }
                }
                EvidenceBy::Age { warm, span, .. } => {
                    check.not_negative(&format!("{path}.warm"), warm.si());
                    check.positive(&format!("{path}.span"), span.si());
                }
            }
        }
    }
    levels(check);
}

fn levels(check: &mut Check<'_>) {
    let Some(levels) = &check.scene.levels else { return };
    if levels.slabs.is_empty() {
        check.at("levels.slabs", "no slab is named");
    }
    check.positive("levels.height", levels.height.si());
    check.positive("levels.each", levels.each.si());
    check.not_negative("levels.forms", levels.forms.si());
    check.not_negative("levels.live", levels.live.si());
    check.positive("levels.props_over_slab", levels.props_over_slab);
    if let Some(library) = check.library {
        let names = library.posts.keys().map(String::as_str);
        check.known("levels.post", "post part", &levels.post, names);
    }
    for (i, slab) in levels.slabs.iter().enumerate() {
        let path = format!("levels.slabs[{i}]");
        if slab.name.is_empty() || levels.slabs[..i].iter().any(|s| s.name == slab.name) {
            check.at(&format!("{path}.name"), "each slab has a name of its own");
        }
        check.positive(&format!("{path}.weight"), slab.weight.si());
        check.positive(&format!("{path}.specified"), slab.specified.si());
        if slab.designed_for < slab.weight {
            check.at(
                &format!("{path}.designed_for"),
                "its own weight is part of what it was designed for",
            );
        }
        if let Some(fault) = slab.gain.fault() {
            check.at(&format!("{path}.gain"), fault);
        }
        if let Some(b) = &slab.bending {
            for (field, value) in [
                ("depth", b.depth.si()),
                ("bar", b.bar.si()),
                ("apart", b.apart.si()),
                ("fy", b.fy.si()),
                ("coefficient", b.coefficient),
                ("span", b.span.si()),
                ("load_factor", b.load_factor),
            ] {
                check.positive(&format!("{path}.bending.{field}"), value);
            }
        }
        if let Some(p) = &slab.punching {
            for (field, value) in [
                ("depth", p.depth.si()),
                ("column", p.column.0.si().min(p.column.1.si())),
                ("carries", p.carries.si()),
                ("load_factor", p.load_factor),
            ] {
                check.positive(&format!("{path}.punching.{field}"), value);
            }
            check.not_negative(&format!("{path}.punching.steel_ratio"), p.steel_ratio);
        }
    }
    let names: Vec<&str> = levels.slabs.iter().map(|s| s.name.as_str()).collect();
    for (i, step) in levels.steps.iter().enumerate() {
        let path = format!("levels.steps[{i}]");
        if !step.day.is_finite() || i > 0 && step.day < levels.steps[i - 1].day {
            check.at(&format!("{path}.day"), "days go on from step to step");
        }
        let name = match &step.action {
            LevelAction::Cast(n)
            | LevelAction::Strip(n)
            | LevelAction::Reshore(n)
            | LevelAction::TakeProps(n) => n,
            LevelAction::Leave { slab, .. }
            | LevelAction::Put { slab, .. }
            | LevelAction::TakeOff { slab, .. } => slab,
        };
        check.known(&format!("{path}.do"), "slab of the levels", name, names.iter().copied());
    }
}
