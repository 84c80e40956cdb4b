//! How long the share of ground under crowns takes.
#![allow(missing_docs, reason = "a benchmark")]

use std::hint::black_box;

use cover::{Pattern, covered_share};
use criterion::{Criterion, criterion_group, criterion_main};

fn covered(criterion: &mut Criterion) {
    for pattern in Pattern::ALL {
        criterion.bench_function(pattern.word(), |bench| {
            bench.iter(|| covered_share(pattern, black_box(1.2), black_box(0.11), black_box(0.8)));
        });
    }
}

criterion_group!(benches, covered);
criterion_main!(benches);
