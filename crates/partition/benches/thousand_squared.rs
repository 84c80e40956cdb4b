//! Tracing, noding and parting of a 1000 × 1000 label raster with some 300 regions; cutting along lines.

use criterion::{Criterion, criterion_group, criterion_main};
use partition::{Lattice, Layer, Polygon, cell_fractions, partition, units};
use std::hint::black_box;

const SIDE: u32 = 1000;

fn lattice(side: u32) -> Lattice {
    Lattice {
        cols: side,
        rows: side,
        west: 1_800_000.0,
        north: 5_600_000.0,
        cell_width: 2.0,
        cell_height: 2.0,
    }
}

/// Labels of the nearest of 300 scattered seeds, with wavy borders.
fn labels(side: u32) -> Vec<u32> {
    let mut state = 1_u64;
    let mut random = || {
        state =
            state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (state >> 33) as f64 / f64::from(1_u32 << 31)
    };
    let seeds: Vec<_> = (0..300).map(|_| [random() * 1000.0, random() * 1000.0]).collect();
    let label = |i: u32| {
        let scale = 1000.0 / f64::from(side);
        let (x, y) = (f64::from(i % side) * scale, f64::from(i / side) * scale);
        let (x, y) =
            (x + 9.0 * (y / 17.0).sin() + 3.0 * (y / 4.0).cos(), y + 9.0 * (x / 13.0).sin());
        let distance = |s: &[f64; 2]| (s[0] - x).powi(2) + (s[1] - y).powi(2);
        let nearest = (0..300).min_by(|&a, &b| distance(&seeds[a]).total_cmp(&distance(&seeds[b])));
        nearest.unwrap_or_default() as u32
    };
    (0..side * side).map(label).collect()
}

/// A round property of 2000 points and a thousand round keep-clear patches of 32.
fn layers() -> Vec<Layer> {
    let ring = |x: f64, y: f64, radius: f64, points: u32| {
        let corner = |i| {
            let bearing = f64::from(i) / f64::from(points) * std::f64::consts::TAU;
            [1_800_000.0 + x + radius * bearing.cos(), 5_600_000.0 - y + radius * bearing.sin()]
        };
        Polygon { shell: (0..points).map(corner).collect(), holes: vec![] }
    };
    let patch =
        |i: u32| ring(f64::from(i % 32) * 61.3 + 30.0, f64::from(i / 32) * 61.7 + 30.0, 19.0, 32);
    let property = Layer { polygons: vec![ring(1000.0, 1000.0, 900.0, 2000)] };
    vec![property, Layer { polygons: (0..1000).map(patch).collect() }]
}

fn thousand_squared(c: &mut Criterion) {
    let (lattice, labels, layers) = (lattice(SIDE), labels(SIDE), layers());
    let mut group = c.benchmark_group("thousand_squared");
    group.sample_size(10);
    group.bench_function("raster_alone", |b| {
        b.iter(|| {
            partition(black_box(&labels), &lattice, 2.0, &[], &[], |p| p.label.map(u64::from), None)
        });
    });
    group.bench_function("raster_unstraightened", |b| {
        b.iter(|| {
            partition(black_box(&labels), &lattice, 0.0, &[], &[], |p| p.label.map(u64::from), None)
        });
    });
    let clipped = || {
        partition(
            black_box(&labels),
            &lattice,
            2.0,
            &layers,
            &[],
            |place| {
                let planted = place.label.map_or(1000, u64::from);
                let over = place.layers;
                over.contains(0).then_some(if over.contains(1) { 2000 } else { planted })
            },
            None,
        )
    };
    group.bench_function("with_34_000_surveyed_segments", |b| b.iter(clipped));
    let pieces = clipped().map(|parted| parted.pieces).unwrap_or_default();
    group.bench_function("fractions_of_all_pieces", |b| {
        b.iter(|| {
            pieces.iter().map(|p| cell_fractions(&p.polygons, &lattice).len()).sum::<usize>()
        });
    });
    group.finish();
}

/// The same picture at finer and finer cells: time should grow with the cells.
fn growth(c: &mut Criterion) {
    let mut group = c.benchmark_group("growth");
    group.sample_size(10);
    for side in [1000, 3000] {
        let (lattice, labels) = (lattice(side), labels(side));
        group.bench_function(format!("{side}_squared"), |b| {
            b.iter(|| {
                partition(
                    black_box(&labels),
                    &lattice,
                    2.0,
                    &[],
                    &[],
                    |p| p.label.map(u64::from),
                    None,
                )
            });
        });
    }
    group.finish();
}

/// A square of 2 km cut by lines that cross at will: time should grow with the crossings.
fn cutting(c: &mut Criterion) {
    let shell = vec![[0.0, 0.0], [2000.0, 0.0], [2000.0, 2000.0], [0.0, 2000.0]];
    let boundary = [Polygon { shell, holes: vec![] }];
    let mut group = c.benchmark_group("cutting");
    group.sample_size(10);
    for count in [100_u32, 400] {
        let line = |i: u32| {
            let (a, b) = (f64::from(i * 7919 % 2000), f64::from(i * 104_729 % 2000));
            if i.is_multiple_of(2) {
                vec![[a, -1.0], [b, 2001.0]]
            } else {
                vec![[-1.0, a], [1000.0, b], [1990.0, a]]
            }
        };
        let lines: Vec<_> = (0..count).map(line).collect();
        group.bench_function(format!("{count}_lines"), |b| {
            b.iter(|| units(&boundary, black_box(&lines), &[], 0.0));
        });
    }
    group.finish();
}

criterion_group!(benches, thousand_squared, growth, cutting);
criterion_main!(benches);
