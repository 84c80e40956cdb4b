//! `cargo bench -p spatial --bench fit`: 10 million cells, 12 lines, 8 factors.
//!
//! With `-- --once` it runs a single time and prints wall time, processor time and the peak of memory,
//! for machines that others use too.
#![allow(
    missing_docs,
    clippy::print_stdout,
    clippy::unwrap_used,
    clippy::expect_used,
    reason = "a benchmark has no public items, prints, and stops when it cannot run"
)]

use std::hint::black_box;
use std::time::Instant;

use criterion::{Criterion, Throughput, criterion_group};
use geo::{MultiPolygon, polygon};
use spatial::fit::{FitLayers, fit_area};
use spatial::zones::{CellShares, cell_shares};
use stock::{Factor, FitEdges, Library, Stock, StockKind, Tolerance, Trapezoid};
use terrain::Grid;

const COLS: usize = 3_200;
const ROWS: usize = 3_125;
const LINES: usize = 12;

/// Seven numeric factors, and drainage.
const FACTORS: [Factor; 7] = [
    Factor::ElevationM,
    Factor::SlopeDeg,
    Factor::WetnessIndex,
    Factor::SunRatio,
    Factor::ColdestMonthMinC,
    Factor::ExposureDeg,
    Factor::FrostIndex,
];

struct Work {
    layers: Vec<(Factor, Vec<f32>)>,
    drainage: Vec<u8>,
    area: CellShares,
    library: Library,
}

/// Smooth layers with holes, so that a tenth of the cells lack something, and lines that each take a
/// little more or less.
fn work() -> Work {
    let wave = |at: usize, factor: Factor| {
        let (x, y) = ((at % COLS) as f32, (at / COLS) as f32);
        let turn = factor.index() as f32 * 0.7;
        if at % 971 == factor.index() * 13 {
            f32::NAN
        } else {
            0.5 + 0.5 * ((x * 0.011 + turn).sin() * (y * 0.007 + turn).cos())
        }
    };
    let layer = |factor: Factor| {
        let [least, greatest] = middle(factor).map(|end| end as f32);
        let value = |at: usize| least + (greatest - least) * wave(at, factor);
        (factor, (0..COLS * ROWS).map(value).collect())
    };
    let grid = Grid::new(COLS, ROWS, 0.0, 0.0, 1.0, 1.0).unwrap();
    let (east, south) = (COLS as f64, -(ROWS as f64));
    let all: MultiPolygon<f64> =
        polygon![(x: 0.0, y: 0.0), (x: east, y: 0.0), (x: east, y: south), (x: 0.0, y: south)]
            .into();
    Work {
        layers: FACTORS.map(layer).into(),
        drainage: (0..COLS * ROWS).map(|at| ((at / 640) % 6) as u8).collect(),
        area: cell_shares(&all, &grid),
        library: Library::new((0..LINES).map(line).collect()).unwrap(),
    }
}

/// Where the middle half of hill country lies, roughly.
fn middle(factor: Factor) -> [f64; 2] {
    match factor {
        Factor::ElevationM => [0.0, 600.0],
        Factor::SlopeDeg => [0.0, 50.0],
        Factor::WetnessIndex => [3.0, 15.0],
        Factor::ColdestMonthMinC => [-3.0, 5.0],
        Factor::ExposureDeg => [0.0, 90.0],
        _ => [0.0, 1.0],
    }
}

/// Half of its ranges have one end, half have both.
fn line(at: usize) -> Stock {
    let mut tolerance = Tolerance::unlimited();
    for factor in FACTORS {
        let [least, greatest] = middle(factor);
        let at_share = |share: f64| least + (greatest - least) * (share + at as f64 * 0.01);
        let upper = Some((at_share(0.6), at_share(0.85)));
        let lower = Some((at_share(0.05), at_share(0.3))).filter(|_| factor.index() % 2 == 0);
        tolerance = tolerance.with(factor, Trapezoid::new(lower, upper).unwrap());
    }
    tolerance = tolerance.with_drainage([0.1, 0.4, 0.8, 1.0, 1.0]).unwrap();
    Stock { tolerance, ..Stock::named(&format!("line_{at}"), "Line", StockKind::Cultivar) }
}

fn run(work: &Work) -> f64 {
    let layers = FitLayers {
        numeric: work.layers.iter().map(|(factor, layer)| (*factor, layer.as_slice())).collect(),
        drainage: Some(&work.drainage),
    };
    let fits = fit_area(&work.area, &layers, &|_| 1.0, &work.library, 0.4, &FitEdges::default());
    fits.iter().map(|fit| fit.fit).sum()
}

fn fit(criterion: &mut Criterion) {
    let work = work();
    let mut group = criterion.benchmark_group("fit of 10 million cells");
    group.sample_size(10).throughput(Throughput::Elements((COLS * ROWS) as u64));
    group.bench_function("12 lines, 8 factors", |b| b.iter(|| run(black_box(&work))));
    group.finish();
}

criterion_group!(benches, fit);

/// Processor seconds of this process so far, user's own.
fn user_seconds() -> Option<f64> {
    let stat = std::fs::read_to_string("/proc/self/stat").ok()?;
    // Field 14 after the name in brackets, in hundredths of a second (proc(5)).
    let ticks: f64 = stat.rsplit_once(')')?.1.split_whitespace().nth(11)?.parse().ok()?;
    Some(ticks / 100.0)
}

/// A line of /proc/self/status in MB.
fn memory_mb(key: &str) -> Option<f64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|line| line.starts_with(key))?;
    line.split_whitespace().nth(1)?.parse::<f64>().ok().map(|kb| kb / 1024.0)
}

fn once() {
    let work = work();
    let before = memory_mb("VmRSS").unwrap_or(f64::NAN);
    for _ in 0..3 {
        let (user, wall) = (user_seconds(), Instant::now());
        let sum = run(&work);
        let wall = wall.elapsed().as_secs_f64();
        let user = user_seconds().zip(user).map_or(f64::NAN, |(after, before)| after - before);
        println!("wall {wall:.2} s, user {user:.2} s, mean fit {:.4}", sum / LINES as f64);
    }
    let peak = memory_mb("VmHWM").unwrap_or(f64::NAN);
    println!("memory: {before:.0} MB with the layers, {peak:.0} MB at most");
}

fn main() {
    if std::env::args().any(|argument| argument == "--once") {
        once();
        return;
    }
    benches();
    Criterion::default().configure_from_args().final_summary();
}
