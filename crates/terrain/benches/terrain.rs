//! Time a million cells of rough ground, beside a plain pass over the same memory.

use criterion::measurement::WallTime;
use criterion::{BenchmarkGroup, Criterion, Throughput, criterion_group, criterion_main};
use rayon::prelude::*;
use terrain::{
    BreachLimits, ExposureSettings, Raster, Routing, SKY_DIRECTIONS, SlopeMethod, SunSettings,
    breach_hollows, exposure_deg, fill_hollows, fill_hollows_sloping, flow_area_m2, horizon_deg,
    shaded_sun_ratio, sky_view_share, slope_aspect,
};

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
    let limits = BreachLimits { longest_m: 100.0, deepest_m: 5.0 };
    group.bench_function("breaching", |b| b.iter(|| breach_hollows(&ground, &limits)));
    group.bench_function("filling with a slope", |b| b.iter(|| fill_hollows_sloping(&ground)));
    group.bench_function("flow, steepest descent", |b| {
        b.iter(|| flow_area_m2(&filled, Routing::SteepestDescent));
    });
    group.bench_function("flow, multiple", |b| {
        b.iter(|| flow_area_m2(&filled, Routing::MULTIPLE_FLOW));
    });
    horizons(&mut group, &ground);
    group.bench_function("flow, steepest facet", |b| {
        b.iter(|| flow_area_m2(&filled, Routing::DInfinity));
    });
    group.finish();
}

/// One sweep, eight, sixteen, and a winter month's suns (some twenty).
fn horizons(group: &mut BenchmarkGroup<'_, WallTime>, ground: &Raster<f32>) {
    for azimuth_deg in [0.0, 90.0, 45.0, 22.5, 112.5] {
        group.bench_function(format!("horizon, azimuth {azimuth_deg}, 1 km"), |b| {
            b.iter(|| horizon_deg(ground, azimuth_deg, 1000.0));
        });
    }
    group.bench_function("horizon, azimuth 22.5, 100 m", |b| {
        b.iter(|| horizon_deg(ground, 22.5, 100.0));
    });
    group.bench_function("exposure, 8 directions", |b| {
        b.iter(|| exposure_deg(ground, &ExposureSettings::default()));
    });
    group.bench_function("sky view, 16 directions", |b| {
        b.iter(|| sky_view_share(ground, 1000.0, SKY_DIRECTIONS));
    });
    let faces = slope_aspect(ground, SlopeMethod::Horn);
    let june = SunSettings { months: vec![6], ..SunSettings::new(-40.0) };
    group.bench_function("sunlight with shade, one month", |b| {
        b.iter(|| shaded_sun_ratio(ground, &faces.slope_deg, &faces.aspect_deg, &june));
    });
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
