//! `cargo bench -p spatial --bench seed`: a hundred thousand rows of a lab sheet: read, joined and ranked, beside the reading alone.

#![allow(missing_docs, clippy::unwrap_used, reason = "a benchmark: its setting up must not fail")]

use std::fmt::Write;
use std::path::Path;

use criterion::{Criterion, criterion_group, criterion_main};
use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64;
use spatial::seed::rank::evaluate;
use spatial::seed::{Joined, join, read_field, read_lab};
use spatial::site::SeedRules;

const TREES: usize = 20_000;
const SAMPLES: usize = 5;

/// Both sheets as text: trees of 40 stands, each sampled five times in three seasons.
fn sheets() -> (String, String) {
    let mut random = Pcg64::seed_from_u64(1);
    let mut normal =
        |deviation: f64| (0..12).map(|_| random.random_range(-0.5..0.5)).sum::<f64>() * deviation;
    let mut lab = "tree_id,date,dha (mg/kg),sugar (brix)\n".to_owned();
    let mut field =
        "tree_id,easting_m,northing_m,vigour,seed_capsules,disease,permission\n".to_owned();
    for tree in 0..TREES {
        let (row, col) = (tree / 200, tree % 200);
        let (east, north) = (1_800_000.0 + 15.0 * col as f64, 5_600_000.0 + 15.0 * row as f64);
        let own = normal(1_500.0);
        let vigour = (3.5 + normal(0.9)).round().clamp(1.0, 5.0);
        let capsules = (1_500.0 + normal(500.0)).max(50.0).round();
        let _ = writeln!(field, "T{tree:05},{east},{north},{vigour},{capsules},1,yes");
        for sample in 0..SAMPLES {
            let at_80 = (5_000.0 + own + normal(1_000.0)).max(300.0);
            let brix = (20.0 + normal(3.0)).max(5.0);
            let _ = writeln!(
                lab,
                "T{tree:05},{}-12-{},{:.2},{brix:.2}",
                2026 + sample % 3,
                20 + sample / 3,
                at_80 * brix / 80.0
            );
        }
    }
    (lab, field)
}

fn read(lab: &Path, field: &Path) -> Joined {
    let (lab, field) = (read_lab(lab).unwrap(), read_field(field).unwrap());
    join(&lab, &field).unwrap()
}

fn benches(criterion: &mut Criterion) {
    let room = tempfile::tempdir().unwrap();
    let (lab, field) = (room.path().join("lab.csv"), room.path().join("field.csv"));
    let (lab_text, field_text) = sheets();
    std::fs::write(&lab, lab_text).unwrap();
    std::fs::write(&field, field_text).unwrap();
    let stands: Vec<Option<usize>> = (0..TREES).map(|tree| Some(tree % 200 / 5)).collect();
    let rules = SeedRules::usual();
    let mut group = criterion.benchmark_group("lab sheet of 100,000 rows");
    group.sample_size(10);
    group.bench_function("read and joined", |bencher| bencher.iter(|| read(&lab, &field)));
    group.bench_function("read, joined and ranked", |bencher| {
        bencher.iter(|| evaluate(&read(&lab, &field).trees, &stands, &rules, None).unwrap());
    });
    group.finish();
}

criterion_group! {
    name = seed;
    config = Criterion::default();
    targets = benches
}
criterion_main!(seed);
