//! Time a million cells of rough ground, beside a plain pass over the same memory.

use criterion::{Criterion, Throughput, criterion_group, criterion_main};
use rayon::prelude::*;
use terrain::{Raster, Routing, SlopeMethod, fill_hollows, flow_area_m2, slope_aspect};

mod fractal;

fn kernels(criterion: &mut Criterion) {
    let side = std::env::var("TERRAIN_BENCH_SIDE").ok().and_then(|side| side.parse().ok());
    let side = side.unwrap_or(1000);
    let ground = fractal::hills(side, side);
    let filled = fill_hollows(&ground);
    let mut group = criterion.benchmark_group("terrain");
    group.sample_size(10).throughput(Throughput::Elements(ground.grid().len() as u64));
    group.bench_function("plain pass, two results", |b| b.iter(|| plain_pass(&ground)));
    group.bench_function("slope and aspect", |b| {
        b.iter(|| slope_aspect(&ground, SlopeMethod::Horn));
    });
    group.bench_function("filling", |b| b.iter(|| fill_hollows(&ground)));
    group.bench_function("flow, steepest descent", |b| {
        b.iter(|| flow_area_m2(&filled, Routing::SteepestDescent));
    });
    group.bench_function("flow, multiple", |b| {
        b.iter(|| flow_area_m2(&filled, Routing::MULTIPLE_FLOW));
    });
    group.bench_function("flow, steepest facet", |b| {
        b.iter(|| flow_area_m2(&filled, Routing::Infinity));
    });
    group.finish();
}

/// Reads the ground once and writes two new rasters, as slope and aspect must.
fn plain_pass(ground: &Raster<f32>) -> (Raster<f32>, Raster<f32>) {
    let grid = *ground.grid();
    let (mut a, mut b) = (Raster::filled(grid, 0.0_f32), Raster::filled(grid, 0.0_f32));
    a.cells_mut()
        .par_chunks_mut(grid.cols())
        .zip(b.cells_mut().par_chunks_mut(grid.cols()))
        .zip(ground.cells().par_chunks(grid.cols()))
        .for_each(|((a, b), from)| {
            for ((a, b), from) in a.iter_mut().zip(b).zip(from) {
                *a = from + 1.0;
                *b = from * 2.0;
            }
        });
    (a, b)
}

criterion_group!(benches, kernels);
criterion_main!(benches);
