//! `cargo bench -p terrain`: the kernels on a million cells of rough ground.
#![allow(missing_docs, reason = "a benchmark has no public items of its own")]

use std::hint::black_box;

use criterion::{Criterion, Throughput, criterion_group, criterion_main};
use terrain::{
    Grid, Kernel, Raster, Routing, SlopeMethod, fill_hollows, flow_area_m2, slope_aspect, smooth,
    sun_ratio, wetness_index,
};

const SIDE: usize = 1_000;

/// Ridges and gullies at many scales, the same at every run.
fn rough_ground() -> Raster<f32> {
    let grid = Grid::new(SIDE, SIDE, 0.0, 0.0, 2.0, 2.0).unwrap_or_else(|error| panic!("{error}"));
    Raster::from_fn(grid, |row, col| {
        let (x, y) = (col as f64 * 2.0, row as f64 * 2.0);
        let wave = |octave: i32| {
            let k = 2.0_f64.powi(octave);
            let turn = f64::from(octave) * 1.7;
            (1.0 - ((x * turn.cos() + y * turn.sin()) * k / 260.0 + turn).sin().abs()) * 90.0 / k
        };
        (0..9).map(wave).sum::<f64>() as f32
    })
}

fn kernels(criterion: &mut Criterion) {
    let ground = rough_ground();
    let filled = fill_hollows(&ground);
    let flow = flow_area_m2(&filled, Routing::MULTIPLE);
    let relief = slope_aspect(&ground, SlopeMethod::Horn);
    let (slope, aspect) = (relief.slope_deg, relief.aspect_deg);
    let mut group = criterion.benchmark_group("terrain, 1 million cells");
    group.throughput(Throughput::Elements((SIDE * SIDE) as u64)).sample_size(20);
    group.bench_function("slope and aspect", |b| {
        b.iter(|| slope_aspect(black_box(&ground), SlopeMethod::Horn));
    });
    group.bench_function("smooth to 10 m", |b| {
        b.iter(|| smooth(black_box(&ground), 10.0, Kernel::Gaussian));
    });
    group.bench_function("fill hollows", |b| b.iter(|| fill_hollows(black_box(&ground))));
    group.bench_function("flow, steepest descent", |b| {
        b.iter(|| flow_area_m2(black_box(&filled), Routing::SteepestDescent));
    });
    group.bench_function("flow, multiple", |b| {
        b.iter(|| flow_area_m2(black_box(&filled), Routing::MULTIPLE));
    });
    group.bench_function("wetness", |b| b.iter(|| wetness_index(black_box(&flow), &slope)));
    group.bench_function("sunlight, 4 months", |b| {
        b.iter(|| sun_ratio(black_box(&slope), &aspect, -40.0, &[5, 6, 7, 8]));
    });
    group.finish();
}

criterion_group!(benches, kernels);
criterion_main!(benches);
