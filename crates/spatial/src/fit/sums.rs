//! What is summed over the ground of a zone, for one stock.

use stock::{FitEdges, FitOrder, Limit, StripFit};

use super::{LimitShare, ZoneFit};

/// Sums over cells, each weighted by its open ground.
#[derive(Debug, Clone)]
pub(super) struct Sums {
    fit: f64,
    /// By [`FitOrder`].
    orders: [f64; FitOrder::ALL.len()],
    below: f64,
    /// By [`Limit::index`]: ground limited, and fit lost there; the last is for no limit.
    limits: [(f64, f64); Limit::COUNT + 1],
}

impl Sums {
    pub(super) fn new() -> Self {
        let limits = [(0.0, 0.0); Limit::COUNT + 1];
        Self { fit: 0.0, orders: [0.0; 4], below: 0.0, limits }
    }

    /// Adds the places of a strip, one for each weight.
    pub(super) fn add(&mut self, weights: &[f64], fit: &StripFit, floor: f64, edges: &FitEdges) {
        let [s1, s2, s3] = edges.edges();
        for (at, (weight, value)) in weights.iter().zip(fit.values()).enumerate() {
            self.fit += weight * value;
            self.below += if *value < floor { *weight } else { 0.0 };
            // Edges fall, so the order is the number of them that the value stays below.
            let order =
                usize::from(*value < s1) + usize::from(*value < s2) + usize::from(*value < s3);
            self.orders[order] += weight;
            let (limited, lost) = &mut self.limits[fit.limit_index(at)];
            *limited += weight;
            *lost += weight * (1.0 - value);
        }
    }

    /// Adds what was summed elsewhere.
    pub(super) fn merge(&mut self, other: &Self) {
        self.fit += other.fit;
        self.below += other.below;
        for (mine, theirs) in self.orders.iter_mut().zip(other.orders) {
            *mine += theirs;
        }
        for (mine, theirs) in self.limits.iter_mut().zip(other.limits) {
            mine.0 += theirs.0;
            mine.1 += theirs.1;
        }
    }

    /// Shares of the ground that the weights sum to.
    pub(super) fn zone_fit(&self, area: f64, edges: &FitEdges) -> ZoneFit {
        let share = |part: f64| if area > 0.0 { part / area } else { 0.0 };
        let limit = |(index, (limited, lost)): (usize, &(f64, f64))| {
            let limit = Limit::from_index(index).filter(|_| *limited > 0.0)?;
            Some(LimitShare { limit, share: share(*limited), lost: share(*lost) })
        };
        let mut limits: Vec<_> = self.limits.iter().enumerate().filter_map(limit).collect();
        limits.sort_by(|a, b| b.lost.total_cmp(&a.lost).then(a.limit.cmp(&b.limit)));
        ZoneFit {
            fit: share(self.fit),
            order: edges.order(share(self.fit)),
            order_shares: self.orders.map(share),
            share_below: share(self.below),
            limits,
            not_known: None,
        }
    }
}
