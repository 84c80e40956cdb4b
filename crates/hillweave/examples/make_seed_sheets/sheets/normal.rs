//! Normal deviates without logarithms: the same on every machine.

use rand::RngExt;
use rand_pcg::Pcg64Mcg;

/// One: twelve uniform ones less 6, of a standard deviation of 1.
pub(crate) fn normal(chance: &mut Pcg64Mcg) -> f64 {
    (0..12).map(|_| chance.random::<f64>()).sum::<f64>() - 6.0
}

/// Several, moved and scaled to a mean of 0 and a standard deviation (with n − 1) of 1.
pub(crate) fn normals(count: usize, chance: &mut Pcg64Mcg) -> Vec<f64> {
    let drawn: Vec<f64> = (0..count).map(|_| normal(chance)).collect();
    let mean = drawn.iter().sum::<f64>() / count as f64;
    let squares: f64 = drawn.iter().map(|one| (one - mean) * (one - mean)).sum();
    let deviation = (squares / (count as f64 - 1.0)).sqrt();
    drawn.iter().map(|one| (one - mean) / deviation).collect()
}

/// So many of the numbers from 0 to below `of`, in a random order.
pub(crate) fn some(count: usize, of: usize, chance: &mut Pcg64Mcg) -> Vec<usize> {
    let mut all: Vec<usize> = (0..of).collect();
    for at in 0..count.min(of) {
        let other = chance.random_range(at..of);
        all.swap(at, other);
    }
    all.truncate(count);
    all
}
