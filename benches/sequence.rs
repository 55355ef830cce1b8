//! Times what a person waits for: reading a job, judging all its stages, judging one again.
//!
//! `cargo bench --no-default-features --profile dev --bench sequence`

mod floor;

use criterion::{BenchmarkId, Criterion, criterion_group, criterion_main};
use floor::Floor;
use standwell::assembly::Role;
use standwell::mechanics::frame::ElementForm;
use standwell::mechanics::mechanisms;
use standwell::mechanics::model::Model;
use standwell::mechanics::stage::{Judge, cases, idealise};
use standwell::sequence::{JointState, MemberState};
use standwell::{loads, review, scene};
use std::hint::black_box;
use std::path::Path;

const GRID: &str = include_str!("grid-12x8.ron");
const DEMO: &str = include_str!("../scenes/faulty-floor.ron");

fn read(criterion: &mut Criterion) {
    let path = Path::new("grid-12x8.ron");
    if let Err(problems) = scene::read(GRID, path) {
        panic!("the job to time has problems:\n{problems}");
    }
    criterion.bench_function("read grid 12x8", |bencher| {
        bencher.iter(|| scene::read(black_box(GRID), path).is_ok());
    });
}

fn load_and_judge(criterion: &mut Criterion) {
    for (name, text) in [("grid 12x8", GRID), ("demo", DEMO)] {
        let review = || {
            let loaded = scene::read(black_box(text), Path::new("timed.ron"))?;
            review::judge(loaded, &|_, _| true)
        };
        match review() {
            Ok(review) => assert!(review.stages.len() > 100, "{name}: the whole job is timed"),
            Err(problems) => panic!("{name} has problems:\n{problems}"),
        }
        criterion.bench_function(&format!("load and judge {name}"), |bencher| {
            bencher.iter(|| review().is_ok());
        });
    }
}

/// The last stage as one sparse frame, nothing kept and nothing condensed: a linear solution, the
/// proof at the required factor, the lowest factor. The element is exact, so four to a post (as a
/// braced one has: foot, coupler, step of the tube, coupler, head) give what any number would.
fn one_stage(criterion: &mut Criterion) {
    let mut group = criterion.benchmark_group("one_stage");
    for bays in [10, 20, 40] {
        let floor = Floor::new((bays, bays));
        let Some(stage) = floor.sequence.stages.last() else { continue };
        let taken = loads::take_down(&floor.assembly, &floor.pack, stage);
        let frame = idealise::idealise(&floor.assembly, stage);
        let weight = cases::weight(&floor.assembly, &taken, &frame);
        let pins = mechanisms::find(&frame.frame).map(|m| m.all_pins()).unwrap_or_default();
        let model = Model::new(&frame.frame, ElementForm::Exact, &pins);
        let linear = || model.as_ref().ok()?.factor().ok()?.solve(&weight).ok();
        let Some(solution) = linear() else { panic!("the floor to time has no solution") };
        let required = floor.pack.critical_factor.value;
        let name = format!("{bays}x{bays}");
        group.bench_function(BenchmarkId::new("linear", &name), |b| b.iter(linear));
        group.bench_function(BenchmarkId::new("proof", &name), |b| {
            b.iter(|| model.as_ref().ok()?.inertia(&solution.axial, required).ok());
        });
        group.bench_function(BenchmarkId::new("lowest factor", &name), |b| {
            b.iter(|| model.as_ref().ok()?.lowest(&solution.axial, 1).ok());
        });
    }
    group.finish();
}

/// A brace taken out in mid-floor of the stage that was judged last: loads, mechanics and all else
/// of the stage on the screen.
fn one_edit(criterion: &mut Criterion) {
    let mut group = criterion.benchmark_group("one_edit");
    for bays in [12, 20, 40] {
        let floor = Floor::new((bays, bays));
        let Some(stage) = floor.sequence.stages.last() else { continue };
        let braces: Vec<_> =
            floor.assembly.members.iter().filter(|m| m.role == Role::Brace).map(|m| m.id).collect();
        let brace = braces[braces.len() / 2];
        let mut without = stage.clone();
        without.members[brace.index()] = MemberState::Absent;
        for joint in floor.assembly.joints_of(brace) {
            without.joints[joint.index()] = JointState::Open;
        }
        let mut judge = Judge::new(&floor.assembly, &floor.pack);
        let mut turn = false;
        group.bench_function(format!("{bays}x{bays}"), |b| {
            b.iter(|| {
                // Out, and in again, so that every time something has changed.
                turn = !turn;
                let stage = if turn { &without } else { stage };
                let taken = loads::take_down(&floor.assembly, &floor.pack, stage);
                judge.stage(stage, &taken)
            });
        });
        group.bench_function(format!("{bays}x{bays}, nothing kept"), |b| {
            b.iter(|| review::judge_one(&floor.assembly, &floor.pack, &without));
        });
    }
    group.finish();
}

criterion_group! {
    name = sequence;
    config = Criterion::default().sample_size(10);
    targets = read, load_and_judge, one_stage, one_edit
}
criterion_main!(sequence);
