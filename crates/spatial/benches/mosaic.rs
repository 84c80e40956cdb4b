//! Time to assign lines to zones, by size; ground and limits are made up from a fixed stream.

use std::hint::black_box;

use criterion::{BenchmarkId, Criterion, criterion_group, criterion_main};
use spatial::mosaic::{LineLimit, Offer, Programme, ZoneOffers, solve};

/// Numbers from 0 to 1 that look random and are always the same (golden-ratio sequence).
fn stream() -> impl FnMut() -> f64 {
    let mut at = 0.0_f64;
    move || {
        at = (at + 0.618_033_988_749_895).fract();
        (at * 7_919.0).fract()
    }
}

fn programme(zones: usize, lines: usize) -> Programme {
    let mut next = stream();
    let zones: Vec<_> = (0..zones)
        .map(|_| ZoneOffers {
            area_ha: 0.5 + 7.5 * next(),
            offers: (0..lines)
                .map(|_| {
                    let (worth_per_ha, plants_per_ha) = (next(), 1_000.0 + 1_000.0 * next());
                    (next() > 0.15).then_some(Offer {
                        worth_per_ha,
                        plants_per_ha,
                        ..Offer::default()
                    })
                })
                .collect(),
            ..ZoneOffers::default()
        })
        .collect();
    let area: f64 = zones.iter().map(|zone| zone.area_ha).sum();
    let even = area / lines as f64 * 1_500.0;
    let lines = (0..lines)
        .map(|_| LineLimit { supply: Some(even * (0.6 + next())), ..LineLimit::default() })
        .collect();
    Programme {
        min_share: 0.3,
        line_cap: 0.3,
        gap: 1e-3,
        time_limit_s: 60.0,
        ..Programme::new(zones, lines)
    }
}

fn assignment(criterion: &mut Criterion) {
    let mut group = criterion.benchmark_group("assignment");
    group.sample_size(10);
    for (zones, lines) in [(50, 5), (200, 5), (500, 12), (2_000, 12)] {
        let programme = programme(zones, lines);
        let size = BenchmarkId::from_parameter(format!("{zones}x{lines}"));
        group.bench_with_input(size, &programme, |bencher, programme| {
            bencher.iter(|| solve(black_box(programme)));
        });
    }
    group.finish();
}

criterion_group!(benches, assignment);
criterion_main!(benches);
