//! How evenly a sample lies over what it was drawn from.

use std::fmt;

use rstar::RTree;
use rstar::primitives::GeomWithData;

use super::Candidate;

/// Why a balance cannot be told.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum BalanceError {
    /// Nothing was drawn.
    NoSample,
    /// A position beyond the candidates.
    NoCandidate {
        /// What was found.
        position: usize,
    },
}

impl fmt::Display for BalanceError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NoSample => write!(f, "nothing was drawn"),
            Self::NoCandidate { position } => write!(f, "there is no candidate {position}"),
        }
    }
}

impl std::error::Error for BalanceError {}

/// Mean over drawn units of (Σ chances of the candidates nearest to it − 1)²: 0 where every drawn unit
/// stands for just one unit's worth of candidates, larger where the sample leaves gaps and lumps. A
/// candidate as near to several is shared among them.
///
/// Source: Stevens & Olsen 2004, Spatially balanced sampling of natural resources, Journal of the
/// American Statistical Association 99:262–278 (Voronoi polygons of sampled points). Cost: O(n log n).
///
/// # Errors
/// When nothing was drawn, or a position is none of a candidate.
pub fn spatial_balance(candidates: &[Candidate], drawn: &[usize]) -> Result<f64, BalanceError> {
    let entry = |(number, at): (usize, &usize)| match candidates.get(*at) {
        Some(one) => Ok(GeomWithData::new(one.at, number)),
        None => Err(BalanceError::NoCandidate { position: *at }),
    };
    let entries = drawn.iter().enumerate().map(entry).collect::<Result<Vec<_>, _>>()?;
    if entries.is_empty() {
        return Err(BalanceError::NoSample);
    }
    let tree = RTree::bulk_load(entries);
    let mut sums = vec![0.0; drawn.len()];
    for one in candidates {
        let near = tree.nearest_neighbors(&one.at);
        for owner in &near {
            sums[owner.data] += one.chance / near.len() as f64;
        }
    }
    let off: f64 = sums.iter().map(|sum: &f64| (sum - 1.0).powi(2)).sum();
    Ok(off / drawn.len() as f64)
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;
    use rand::{RngExt, SeedableRng};
    use rand_pcg::Pcg64Mcg;

    use super::super::pivotal_sample;
    use super::*;

    fn candidate(x: f64, y: f64, chance: f64) -> Candidate {
        Candidate { at: [x, y], chance, stratum: 0, stand: 0 }
    }

    /// By hand: of five in a line with chances of 0.4, the ends drawn, the middle one is shared: 1 each.
    /// With two at one end drawn, one has 0.4 and the other 1.6: (0.36 + 0.36) / 2.
    #[test]
    fn five_in_a_line() {
        let line: Vec<Candidate> = (0..5).map(|x| candidate(f64::from(x), 0.0, 0.4)).collect();
        assert!(spatial_balance(&line, &[0, 4]).unwrap() < 1e-30);
        assert!((spatial_balance(&line, &[0, 1]).unwrap() - 0.36).abs() < 1e-12);
        assert_eq!(spatial_balance(&line, &[]), Err(BalanceError::NoSample));
        assert_eq!(spatial_balance(&line, &[9]), Err(BalanceError::NoCandidate { position: 9 }));
    }

    /// On ragged ground the pivotal sample lies more evenly than a simple random one, in 95 of 100
    /// pairs at least: 200 pairs, fixed seeds.
    #[test]
    fn a_pivotal_sample_is_more_even_than_a_random_one() {
        let mut chance = Pcg64Mcg::seed_from_u64(5);
        let place =
            |_| candidate(chance.random::<f64>() * 900.0, chance.random::<f64>() * 400.0, 0.08);
        let all: Vec<Candidate> = (0..500).map(place).collect();
        let mut more_even = 0;
        for seed in 0..200 {
            let pivotal = pivotal_sample(&all, seed).unwrap();
            assert_eq!(pivotal.len(), 40);
            let mut order: Vec<usize> = (0..all.len()).collect();
            let mut chance = Pcg64Mcg::seed_from_u64(seed);
            for at in 0..40 {
                order.swap(at, chance.random_range(at..all.len()));
            }
            let random = spatial_balance(&all, &order[..40]).unwrap();
            more_even += i32::from(spatial_balance(&all, &pivotal).unwrap() < random);
        }
        assert!(more_even >= 190, "{more_even} of 200");
    }

    proptest! {
        /// Against looking at every drawn unit for each candidate.
        #[test]
        fn the_search_finds_what_looking_everywhere_finds(
            places in prop::collection::vec((0_u8..12, 0_u8..12), 1..60),
            drawn in 1_usize..12,
        ) {
            let all: Vec<Candidate> =
                places.iter().map(|(x, y)| candidate(f64::from(*x), f64::from(*y), 0.25)).collect();
            let drawn: Vec<usize> = (0..drawn.min(all.len())).collect();
            let far = |a: usize, b: usize| {
                (all[a].at[0] - all[b].at[0]).powi(2) + (all[a].at[1] - all[b].at[1]).powi(2)
            };
            let mut sums = vec![0.0; drawn.len()];
            for at in 0..all.len() {
                let least = drawn.iter().map(|one| far(at, *one)).fold(f64::INFINITY, f64::min);
                let near: Vec<usize> = drawn.iter().copied().filter(|one| far(at, *one) <= least).collect();
                for one in &near {
                    sums[*one] += 0.25 / near.len() as f64;
                }
            }
            let slow: f64 = sums.iter().map(|sum: &f64| (sum - 1.0).powi(2)).sum::<f64>() / drawn.len() as f64;
            prop_assert!((spatial_balance(&all, &drawn).unwrap() - slow).abs() < 1e-9);
        }
    }
}
