//! How well every stock fits every zone, and what limits it.

mod area;
mod sums;
#[cfg(test)]
mod tests;
mod words;

use rayon::prelude::*;
use stock::{Factor, FitEdges, FitOrder, Library, Limit};

pub use area::{FitLayers, fit_area};
pub use words::percent;

use crate::ground::Ground;
use crate::layout::GapShares;
use crate::site::Site;
use crate::zones::{Zone, Zones};

/// The fit of one stock in one zone.
#[derive(Debug, Clone, PartialEq)]
pub struct ZoneFit {
    /// Area-weighted over the ground open to planting, 0 to 1.
    pub fit: f64,
    /// Its FAO suitability order.
    pub order: FitOrder,
    /// Share of that ground by the order of each cell's own fit, in the order of
    /// [`FitOrder::ALL`]; they sum to 1 where there is ground.
    pub order_shares: [f64; FitOrder::ALL.len()],
    /// Share of that ground where the fit is below the site's floor.
    pub share_below: f64,
    /// Everything that limits some of that ground, what costs most fit first.
    pub limits: Vec<LimitShare>,
    /// The factor that the stock names whose layer leaves most ground open, and the share of the
    /// ground on which it is not known; there it limits nothing.
    pub not_known: Option<(Factor, f64)>,
}

/// Ground that one limit holds back.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LimitShare {
    /// The factor and the side.
    pub limit: Limit,
    /// Share of the ground where it is the least factor, 0 to 1.
    pub share: f64,
    /// Fit that it costs over the whole zone; the costs of all limits sum to 1 less the fit.
    pub lost: f64,
}

impl ZoneFit {
    /// What costs most fit over the zone, and the share of the ground that it limits.
    #[must_use]
    pub fn limiting(&self) -> Option<(Limit, f64)> {
        self.limits.first().map(|worst| (worst.limit, worst.share))
    }
}

/// Fits every stock in every zone: `[zone][stock]`.
///
/// Per cell the least factor limits (the limiting-condition method of FAO 1976, A Framework for
/// Land Evaluation); per zone the mean is weighted by the exact area of ground open to planting.
/// A factor that is not known in a cell does not limit there, and the share of such ground is told.
/// Cost: cells × stocks × factors, on all cores, in strips: no layer of fits is ever made.
#[must_use]
pub fn fit(zones: &Zones, ground: &Ground, site: &Site, library: &Library) -> Vec<Vec<ZoneFit>> {
    let edges = FitEdges::new(site.mosaic.fit_orders).unwrap_or_default();
    let layers = FitLayers::of(ground);
    let gaps = GapShares::of(site);
    let open = |at: usize| gaps.at(ground, at);
    let floor = site.mosaic.fit_floor;
    let of_zone = |zone: &Zone| fit_area(&zone.cells, &layers, &open, library, floor, &edges);
    zones.zones.par_iter().map(of_zone).collect()
}
