//! Times what a person waits for: reading a job and judging all its stages.

use criterion::{Criterion, criterion_group, criterion_main};
use std::hint::black_box;
use std::path::Path;

const GRID: &str = include_str!("grid-12x8.ron");
const DEMO: &str = include_str!("../scenes/faulty-floor.ron");

fn read(criterion: &mut Criterion) {
    let path = Path::new("grid-12x8.ron");
    if let Err(problems) = standwell::scene::read(GRID, path) {
        panic!("the job to time has problems:\n{problems}");
    }
    criterion.bench_function("read grid 12x8", |bencher| {
        bencher.iter(|| standwell::scene::read(black_box(GRID), path).is_ok());
    });
}

fn load_and_judge(criterion: &mut Criterion) {
    for (name, text) in [("grid 12x8", GRID), ("demo", DEMO)] {
        let review = || {
            let loaded = standwell::scene::read(black_box(text), Path::new("timed.ron"))?;
            standwell::review::judge(loaded, &|_, _| true)
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

criterion_group! {
    name = sequence;
    config = Criterion::default().sample_size(10);
    targets = read, load_and_judge
}
criterion_main!(sequence);
