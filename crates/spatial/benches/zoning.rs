//! `cargo bench -p spatial --bench zoning`: zones of the sample property, from its ground.
#![allow(
    missing_docs,
    clippy::print_stderr,
    reason = "a benchmark has no public items, and prints"
)]

use std::hint::black_box;
use std::path::Path;

use criterion::{Criterion, criterion_group, criterion_main};
use spatial::fit::fit;
use spatial::ground::ground;
use spatial::pipeline::{Sound, load, tolerated};
use spatial::problem::Problem;
use spatial::read::read;
use spatial::zones::zones;

fn stages(criterion: &mut Criterion) {
    if let Err(problems) = measure(criterion) {
        for problem in problems {
            eprintln!("{problem}");
        }
    }
}

fn measure(criterion: &mut Criterion) -> Result<(), Vec<Problem>> {
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../sample-layers/site.toml");
    let Sound { site, library, .. } = load(&file)?;
    let ready = read(&site)?;
    let stack = ground(&ready, &site, &tolerated(&library))?;
    let factors = tolerated(&library);
    let drawn = zones(&ready, &stack, &site)?;
    let mut group = criterion.benchmark_group("sample property, 300 ha at 2 m");
    group.sample_size(10);
    group.bench_function("ground", |b| b.iter(|| ground(black_box(&ready), &site, &factors)));
    group.bench_function("zones", |b| b.iter(|| zones(black_box(&ready), &stack, &site)));
    group.bench_function("fit", |b| b.iter(|| fit(black_box(&drawn), &stack, &site, &library)));
    group.finish();
    Ok(())
}

criterion_group!(benches, stages);
criterion_main!(benches);
