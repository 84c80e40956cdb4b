//! What is summed over the ground of a zone, for one stock.

use std::array;

use stock::{FitEdges, Limit, Strip, StripFit};

use super::{LimitShare, ZoneFit};

/// Sums over cells, each weighted by its open ground.
#[derive(Debug, Clone)]
pub(super) struct Sums {
    fit: f64,
    below: f64,
    /// Ground whose fit is at least the edge of S1, of S2, of S3.
    at_least: [f64; 3],
    /// By [`Limit::index`]: ground limited, and fit lost there; the last is for no limit.
    limits: [(f64, f64); Limit::COUNT + 1],
}

/// Sums are kept in so many lanes, which the machine adds in one step or two, and added up in a fixed
/// order. As every sum goes the same way, ground with more in it is never less by a rounding.
const LANES: usize = 4;

/// Sum of the weights of one block.
pub(super) fn ground_of(weights: &[f64]) -> f64 {
    let mut lanes = [0.0; LANES];
    let (whole, rest) = weights.as_chunks::<LANES>();
    for weights in whole {
        for (lane, weight) in lanes.iter_mut().zip(weights) {
            *lane += weight;
        }
    }
    for (lane, weight) in lanes.iter_mut().zip(rest) {
        *lane += weight;
    }
    lanes.into_iter().sum()
}

impl Sums {
    pub(super) fn new() -> Self {
        let limits = [(0.0, 0.0); Limit::COUNT + 1];
        Self { fit: 0.0, below: 0.0, at_least: [0.0; 3], limits }
    }

    /// Adds the places of a strip, one for each weight; `grounds` are the sums of the weights of its
    /// blocks.
    pub(super) fn add(
        &mut self,
        weights: &[f64],
        grounds: &[f64],
        fit: &StripFit,
        floor: f64,
        edges: &FitEdges,
    ) {
        for (block, (weights, ground)) in weights.chunks(Strip::BLOCK).zip(grounds).enumerate() {
            let from = block * Strip::BLOCK;
            if fit.is_block_limited(from) {
                self.add_values(weights, &fit.values()[from..], floor, edges);
                self.add_limits(weights, from, fit);
            } else {
                self.fit += ground; // all of it fits 1, which no floor or edge exceeds
                for sum in &mut self.at_least {
                    *sum += ground;
                }
            }
        }
    }

    fn add_values(&mut self, weights: &[f64], values: &[f64], floor: f64, edges: &FitEdges) {
        let edges = edges.edges();
        let (mut fit, mut below) = ([0.0; LANES], [0.0; LANES]);
        let mut at_least = [[0.0; LANES]; 3];
        let mut take = |lane: usize, weight: f64, value: f64| {
            fit[lane] += weight * value;
            below[lane] += if value < floor { weight } else { 0.0 };
            for (sum, edge) in at_least.iter_mut().zip(edges) {
                sum[lane] += if value >= edge { weight } else { 0.0 };
            }
        };
        let (whole, rest) = weights.as_chunks::<LANES>();
        let (values, last) = values.as_chunks::<LANES>();
        for (weights, values) in whole.iter().zip(values) {
            for lane in 0..LANES {
                take(lane, weights[lane], values[lane]);
            }
        }
        let last = values.get(whole.len()).map_or(last, |chunk| chunk.as_slice());
        for (lane, (weight, value)) in rest.iter().zip(last).enumerate() {
            take(lane, *weight, *value);
        }
        self.fit += fit.into_iter().sum::<f64>();
        self.below += below.into_iter().sum::<f64>();
        for (sum, lanes) in self.at_least.iter_mut().zip(at_least) {
            *sum += lanes.into_iter().sum::<f64>();
        }
    }

    /// Neighbours are mostly limited by the same factor, so sums are kept at hand while it lasts.
    fn add_limits(&mut self, weights: &[f64], from: usize, fit: &StripFit) {
        let mut index = fit.limit_index(from);
        let (mut ground, mut lost) = (0.0, 0.0);
        for (at, (weight, value)) in (from..).zip(weights.iter().zip(&fit.values()[from..])) {
            let here = fit.limit_index(at);
            if here != index {
                self.add_limit(index, ground, lost);
                (index, ground, lost) = (here, 0.0, 0.0);
            }
            ground += weight;
            lost += weight * (1.0 - value);
        }
        self.add_limit(index, ground, lost);
    }

    fn add_limit(&mut self, index: usize, ground: f64, lost: f64) {
        let sums = &mut self.limits[index];
        sums.0 += ground;
        sums.1 += lost;
    }

    /// Adds what was summed elsewhere.
    pub(super) fn merge(&mut self, other: &Self) {
        self.fit += other.fit;
        self.below += other.below;
        for (mine, theirs) in self.at_least.iter_mut().zip(other.at_least) {
            *mine += theirs;
        }
        for (mine, theirs) in self.limits.iter_mut().zip(other.limits) {
            mine.0 += theirs.0;
            mine.1 += theirs.1;
        }
    }

    /// Shares of the ground that the weights sum to.
    pub(super) fn zone_fit(&self, ground: f64, edges: &FitEdges) -> ZoneFit {
        let share = |part: f64| if ground > 0.0 { part / ground } else { 0.0 };
        let limit = |(index, (limited, lost)): (usize, &(f64, f64))| {
            let limit = Limit::from_index(index).filter(|_| *limited > 0.0)?;
            Some(LimitShare { limit, share: share(*limited), lost: share(*lost) })
        };
        let mut limits: Vec<_> = self.limits.iter().enumerate().filter_map(limit).collect();
        limits.sort_by(|a, b| b.lost.total_cmp(&a.lost).then(a.limit.cmp(&b.limit)));
        let [s1, s2, s3] = self.at_least;
        let from_best = [0.0, s1, s2, s3, ground];
        ZoneFit {
            fit: share(self.fit),
            order: edges.order(share(self.fit)),
            order_shares: array::from_fn(|order| share(from_best[order + 1] - from_best[order])),
            share_below: share(self.below),
            limits,
            not_known: None,
        }
    }
}
