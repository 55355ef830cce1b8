//! Times what a person waits for: reading a job and judging all its stages.

use criterion::{Criterion, criterion_group, criterion_main};
use std::hint::black_box;
use std::path::Path;

const GRID: &str = include_str!("grid-12x8.ron");

fn read(criterion: &mut Criterion) {
    let path = Path::new("grid-12x8.ron");
    if let Err(problems) = standwell::scene::read(GRID, path) {
        panic!("the job to time has problems:\n{problems}");
    }
    criterion.bench_function("read", |bencher| {
        bencher.iter(|| standwell::scene::read(black_box(GRID), path).is_ok());
    });
}

criterion_group! {
    name = sequence;
    config = Criterion::default().sample_size(10);
    targets = read
}
criterion_main!(sequence);
