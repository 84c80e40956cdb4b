//! Time 200 trees drawn of 10,000 candidates in 60 strata of 10 stands, by the tree of places and by
//! looking at every undecided one.
#![allow(
    missing_docs,
    clippy::expect_used,
    reason = "a benchmark has no public items and stops when it cannot run"
)]

use criterion::{Criterion, criterion_group, criterion_main};
use sourcing::sample::{Candidate, pivotal_sample, pivotal_sample_slowly};

/// A lattice of 100 × 100 places 20 m apart; stands are strips, strata parts of them.
fn candidates() -> Vec<Candidate> {
    let one = |at: u32| {
        let (col, row) = (at % 100, at / 100);
        Candidate {
            at: [f64::from(col) * 20.0, f64::from(row) * 20.0],
            chance: 0.02,
            stratum: col / 10 * 6 + row / 17,
            stand: col / 10,
        }
    };
    (0..10_000).map(one).collect()
}

fn sampling(criterion: &mut Criterion) {
    let stratified = candidates();
    let whole: Vec<Candidate> =
        stratified.iter().map(|one| Candidate { stratum: 0, stand: 0, ..*one }).collect();
    let mut group = criterion.benchmark_group("200 of 10,000");
    group.sample_size(10);
    for (name, all) in [("60 strata", &stratified), ("one stratum", &whole)] {
        assert_eq!(pivotal_sample(all, 1).expect("sound").len(), 200);
        group.bench_function(format!("{name}, tree"), |bench| {
            bench.iter(|| pivotal_sample(all, 1));
        });
        group.bench_function(format!("{name}, list"), |bench| {
            bench.iter(|| pivotal_sample_slowly(all, 1));
        });
    }
    group.finish();
}

criterion_group!(benches, sampling);
criterion_main!(benches);
