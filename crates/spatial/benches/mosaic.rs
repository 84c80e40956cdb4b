//! Time to assign lines to zones, by size, with and without every rule; ground and limits are made
//! up from a fixed stream.
//!
//! `-- --once` solves each once, and prints the time and the proven gap.

#![allow(clippy::print_stdout, reason = "a benchmark prints what it measured")]

#[path = "../src/mosaic/tests/made_up.rs"]
mod made_up;

use std::hint::black_box;
use std::time::Instant;

use criterion::{BenchmarkId, Criterion};
use spatial::mosaic::{InFlower, LineLimit, Offer, Programme, Weeks, ZoneOffers, solve};

use made_up::{every_rule, instance};

/// Zones, lines, and the gap that is asked for.
const SIZES: [(usize, usize, f64); 4] =
    [(200, 5, 1e-3), (500, 12, 1e-3), (2_000, 12, 1e-2), (5_000, 20, 1e-2)];

/// Each programme by size and by whether every rule is on.
fn programmes() -> impl Iterator<Item = (String, Programme)> {
    SIZES.into_iter().flat_map(|(zones, lines, gap)| {
        let plain = Programme { gap, ..instance(zones, lines, 0) };
        let rules = every_rule(plain.clone());
        let name = |kind| format!("{zones}x{lines} {kind}");
        [(name("supplies and caps"), plain), (name("every rule"), rules)]
    })
}

fn once() {
    for (name, programme) in programmes() {
        let start = Instant::now();
        match solve(&programme) {
            Ok(answer) => println!(
                "{name}: {:.2} s, gap {:.4} % of {} % asked for",
                start.elapsed().as_secs_f64(),
                100.0 * answer.gap,
                100.0 * programme.gap,
            ),
            Err(error) => println!("{name}: {error}"),
        }
    }
}

fn assignment(criterion: &mut Criterion) {
    let mut group = criterion.benchmark_group("assignment");
    group.sample_size(10);
    for (name, programme) in programmes().take(6) {
        group.bench_with_input(BenchmarkId::from_parameter(name), &programme, |bencher, one| {
            bencher.iter(|| solve(black_box(one)));
        });
    }
    group.finish();
}

fn main() {
    if std::env::args().any(|word| word == "--once") {
        return once();
    }
    let mut criterion = Criterion::default().configure_from_args();
    assignment(&mut criterion);
    criterion.final_summary();
}
