//! Time a million plants on ten million cells of rough ground, in blocks side by side: `--once` for
//! that, else a tenth of it again and again.
#![allow(
    missing_docs,
    clippy::print_stderr,
    clippy::expect_used,
    reason = "a benchmark has no public items, prints, and stops when it cannot run"
)]

use std::time::Instant;

use criterion::{Criterion, Throughput, criterion_group};
use rayon::prelude::*;
use setout::{Face, Manner, Outline, Setting, SettingOut, set_out};
use terrain::{Grid, Raster};

/// Blocks to a side of the square ground.
const BLOCKS: usize = 8;

fn height(x: f64, y: f64) -> f32 {
    let spurs = 40.0 * (x / 170.0).sin() * (y / 230.0).cos();
    (0.3 * y + spurs + 3.0 * (x / 19.0).sin() + 2.0 * (y / 13.0).cos()) as f32
}

/// Square blocks that fill about so many cells of 1 m, each with its plants: one on 10 m².
fn faces(cells: f64) -> Vec<(Face, usize)> {
    let side = (cells.sqrt() / BLOCKS as f64).round();
    let of_block = |at: usize| {
        let (west, south) = ((at % BLOCKS) as f64 * side, (at / BLOCKS) as f64 * side);
        let lattice = side as usize + 4;
        let grid =
            Grid::new(lattice, lattice, west - 2.0, south + side + 2.0, 1.0, 1.0).expect("sound");
        let heights = Raster::from_fn(grid, |row, col| {
            let (x, y) = grid.centre(row, col);
            height(x, y)
        });
        let plants = Raster::filled(grid, 0.1_f32);
        let ring = vec![
            [west, south],
            [west + side, south],
            [west + side, south + side],
            [west, south + side],
        ];
        let face = Face::new(&heights, &plants, Outline::new(&[ring]), 3.0).expect("one grid");
        (face, (side * side / 10.0) as usize)
    };
    (0..BLOCKS * BLOCKS).into_par_iter().map(of_block).collect()
}

fn all(faces: &[(Face, usize)], manner: Manner) -> Vec<SettingOut> {
    let one = |(at, (face, plants)): (usize, &(Face, usize))| {
        let setting =
            Setting { manner, plants: *plants, spacing_m: 3.16, least_share: 0.6, seed: at as u64 };
        set_out(face, &setting)
    };
    faces.par_iter().enumerate().map(one).collect()
}

const MANNERS: [(&str, Manner); 4] = [
    ("contour rows", Manner::ContourRows { straight_below_deg: 5.0 }),
    ("squares", Manner::Squares),
    ("triangles", Manner::Triangles),
    ("scattered", Manner::Scattered),
];

/// Every manner once.
fn once() {
    let faces = faces(1e7);
    let plants: usize = faces.iter().map(|(_, plants)| plants).sum();
    for (name, manner) in MANNERS {
        let start = Instant::now();
        let out = all(&faces, manner);
        let took = start.elapsed().as_secs_f64();
        let without: usize = out.iter().map(|one| one.without_place).sum();
        eprintln!("{name}: {plants} plants in {took:.2} s, {without} without a place");
    }
}

fn again_and_again(criterion: &mut Criterion) {
    let faces = faces(1e6);
    let plants: usize = faces.iter().map(|(_, plants)| plants).sum();
    let mut group = criterion.benchmark_group("setout");
    group.sample_size(10).throughput(Throughput::Elements(plants as u64));
    for (name, manner) in MANNERS {
        group.bench_function(name, |b| b.iter(|| all(&faces, manner)));
    }
    group.finish();
}

criterion_group!(benches, again_and_again);

fn main() {
    if std::env::args().any(|argument| argument == "--once") {
        once();
    } else {
        benches();
        Criterion::default().configure_from_args().final_summary();
    }
}
