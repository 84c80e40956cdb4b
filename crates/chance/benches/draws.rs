//! A thousand draws of a plan of 500 zones and 12 lines.
#![allow(missing_docs, clippy::unwrap_used, reason = "a benchmark")]

use chance::{Block, Line, Offer, Risk, Scene, Spreads, Zone, draws};
use cover::{AgeCurve, Pattern, Planting};
use criterion::{Criterion, criterion_group, criterion_main};

fn scene() -> Scene {
    let share = |number: usize| (number * 7919 % 1000) as f64 / 1000.0;
    let zone = |at: usize| {
        let line = at % 12;
        let block = |line: usize, winter: usize| Block {
            line,
            winter,
            seedlings: 1_500.0 + 500.0 * share(at),
            ordered: 2_000.0,
            alive: 0.6 + 0.3 * share(at + 1),
            area_ha: 0.8,
        };
        let blocks = vec![block(line, at % 3), block((line + 5) % 12, at % 3)];
        let planting = |block: &Block| Planting {
            year: block.winter as f64,
            planted_per_ha: block.seedlings / block.area_ha / 2.0,
            alive: block.alive,
        };
        Zone {
            area_ha: 1.6,
            slope_deg: 15.0 + 25.0 * share(at),
            offers: (0..12)
                .map(|line| {
                    Some(Offer {
                        worth_per_ha: share(at * 12 + line),
                        by_richness_per_ha: 0.3,
                        order: 2_500.0,
                    })
                })
                .collect(),
            risk: Some(Risk {
                area_ha: 1.0,
                stays: 0.1,
                gaps: 0.9,
                grown: 1.0,
                plantings: blocks.iter().map(planting).collect(),
                lines: blocks.iter().map(|block| block.line).collect(),
            }),
            blocks,
        }
    };
    let line = |at: usize| Line {
        richness: share(at),
        richness_error: 0.1,
        supply: at.is_multiple_of(2).then_some(60_000.0),
        bloom: Some((320.0 + 4.0 * at as f64, 40)),
    };
    Scene {
        zones: (0..500).map(zone).collect(),
        lines: (0..12).map(line).collect(),
        on_ground: true,
        winters: 3,
        flying_h: vec![5.0; 365],
        day_hours: 3.0,
        crown_radius_m: AgeCurve::new(&[(0.0, 0.1), (6.0, 0.95), (10.0, 1.4), (20.0, 1.9)])
            .unwrap(),
        pattern: Pattern::Square,
        target: 0.7,
        by_years: 10,
        enough: 0.9,
    }
}

fn thousand(criterion: &mut Criterion) {
    let scene = scene();
    let spreads = Spreads {
        survival_year: 0.25,
        survival_line: 0.1,
        survival_zone: 0.25,
        slope_deg: 1.0,
        slope_zone_deg: 1.0,
        area: 0.01,
        short_chance: 0.1,
        short_least: 0.3,
        winter_chance: 0.05,
        bloom_days: 10.0,
        bloom_line_days: 4.0,
        growth: 0.15,
        worth: 0.05,
    };
    let mut group = criterion.benchmark_group("draws");
    group.sample_size(10);
    group.bench_function("1000 of 500 zones", |bench| {
        bench.iter(|| draws(&scene, &spreads, 1, 1_000));
    });
    group.finish();
}

criterion_group!(benches, thousand);
criterion_main!(benches);
