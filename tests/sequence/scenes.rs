//! The shipped scenes.

use standwell::{assembly, equilibrium, loads, mechanics, scene, sequence};
use std::path::Path;

#[test]
fn explore() {
    let only = std::env::var("SCENE").unwrap_or_default();
    let mut files: Vec<_> =
        std::fs::read_dir("scenes").unwrap().map(|e| e.unwrap().path()).collect();
    files.sort();
    for file in files.iter().filter(|f| f.to_string_lossy().contains(&only)) {
        println!("== {}", file.display());
        one(file);
    }
}

fn one(file: &Path) {
    let loaded = match scene::load(file) {
        Ok(loaded) => loaded,
        Err(e) => return println!("{e}"),
    };
    let assembly = match assembly::build(&loaded.scene, &loaded.library, &loaded.source) {
        Ok(a) => a,
        Err(e) => return println!("{e}"),
    };
    for p in &assembly.problems {
        println!("layout: {}", p.what);
    }
    for p in &assembly.near_misses {
        println!("near: {} {} {:?}", assembly.name(p.a), assembly.name(p.b), p.kind);
    }
    let sequence = match sequence::run(&assembly, &loaded.source) {
        Ok(s) => s,
        Err(e) => return println!("{e}"),
    };
    println!(
        "{} members, {} joints, {} stages",
        assembly.members.len(),
        assembly.joints.len(),
        sequence.stages.len()
    );
    let mut judge = mechanics::stage::Judge::new(&assembly, &loaded.pack);
    let start = std::time::Instant::now();
    for stage in &sequence.stages {
        let l = loads::take_down(&assembly, &loaded.pack, stage);
        let m = judge.stage(stage, &l);
        let e = equilibrium::judge_stage(&assembly, &loaded.pack, stage, &l);
        let mut says = Vec::new();
        if stage.hands_needed > stage.crew {
            says.push(format!("hands {} > {}", stage.hands_needed, stage.crew));
        }
        for x in &m.mechanisms {
            let names: Vec<_> = x
                .members
                .iter()
                .map(|&i| assembly.name(i))
                .filter(|n| n.contains(".post."))
                .collect();
            says.push(format!("mechanism {names:?}"));
        }
        if m.mechanisms_certain != mechanics::Verdict::Met {
            says.push(format!("certain {:?}", m.mechanisms_certain));
        }
        if m.critical != mechanics::Verdict::Met {
            says.push(format!("critical {:?} {:?}", m.critical, m.lowest_factor));
        }
        if m.push != mechanics::Verdict::Met {
            let p = m.least_push.as_ref().map(|p| (assembly.name(p.post), p.force));
            says.push(format!(
                "push {:?} {p:?} of {} failing {}",
                m.push,
                m.required_push,
                m.failing_pushes.len()
            ));
        }
        for (f, w) in m.lifting_feet.iter().take(2) {
            says.push(format!("lifts {} {w}", assembly.name(*f)));
        }
        for t in e.tipping.iter().filter(|t| t.factor < t.required) {
            says.push(format!(
                "tips {} factor {:.2} one {:.2} empty {:.2} hold_down {:.0} held_by {:.0}",
                assembly.name(t.member),
                t.factor,
                t.factor_one_worker,
                t.factor_empty,
                t.hold_down,
                t.held_by
            ));
        }
        for (f, w) in &e.unknown {
            says.push(format!("unknown {} {w}", assembly.name(*f)));
        }
        for l in &l.no_path {
            says.push(format!("no path {}", assembly.name(*l)));
        }
        if !stage.removed_under.is_empty() || !stage.loaded_unlocked.is_empty() {
            says.push("removed/unlocked".to_owned());
        }
        if !says.is_empty() {
            println!("{}: {}", stage.step, says.join("; "));
        }
    }
    println!("judged in {:?}", start.elapsed());
}
