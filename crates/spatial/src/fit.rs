//! How well every stock fits every zone, and what limits it.

use std::collections::BTreeMap;

use rayon::prelude::*;
use stock::{Conditions, Factor, FitEdges, FitOrder, Library, Limit, Stock};

use terrain::Raster;

use crate::ground::Ground;
use crate::layout::gap_share_at;
use crate::site::Site;
use crate::zones::{Zone, Zones};

/// The fit of one stock in one zone.
#[derive(Debug, Clone, PartialEq)]
pub struct ZoneFit {
    /// Area-weighted over the ground open to planting, 0 to 1.
    pub fit: f64,
    /// Its FAO suitability order.
    pub order: FitOrder,
    /// Share of that ground where the fit is below the site's floor.
    pub share_below: f64,
    /// What costs most fit over the zone, and the share of the ground that it limits.
    pub limiting: Option<(Limit, f64)>,
    /// The factor that the stock names whose layer leaves most ground open, and the share of the
    /// ground on which it is not known; there it limits nothing.
    pub not_known: Option<(Factor, f64)>,
}

impl ZoneFit {
    /// In a landowner's words, such as `too cold on 62 % of the ground`.
    #[must_use]
    pub fn sentence(&self) -> String {
        let limits = match self.limiting {
            None => "suits all of the ground".to_owned(),
            Some((limit, share)) => {
                format!("{} on {} of the ground", limit.words(), percent(share))
            }
        };
        match self.not_known {
            None => limits,
            Some((factor, share)) => format!(
                "{limits}, but {} is not known on {} of it and was not counted there",
                factor.label(),
                percent(share)
            ),
        }
    }
}

/// A share as a whole percentage that never rounds something to nothing or to all.
#[must_use]
pub fn percent(share: f64) -> String {
    match share * 100.0 {
        none if none <= 0.0 => "0 %".to_owned(),
        little if little < 1.0 => "under 1 %".to_owned(),
        most if most > 99.0 && most < 100.0 => "over 99 %".to_owned(),
        rest => format!("{rest:.0} %"),
    }
}

/// Fits every stock in every zone: `[zone][stock]`.
///
/// Per cell the least factor limits (the limiting-condition method of FAO 1976, A Framework for
/// Land Evaluation); per zone the mean is weighted by the exact area of ground open to planting.
/// A factor that is not known in a cell does not limit there, and the share of such ground is told.
/// Cost: cells × stocks × factors, on all cores.
#[must_use]
pub fn fit(zones: &Zones, ground: &Ground, site: &Site, library: &Library) -> Vec<Vec<ZoneFit>> {
    let edges = FitEdges::new(site.mosaic.fit_orders).unwrap_or_default();
    let of_zone = |zone: &Zone| {
        let places = places(zone, ground, site);
        let open = shares_not_known(&places, ground);
        let one = |stock: &Stock| {
            let fit = fit_one(stock, &places, site.mosaic.fit_floor, &edges);
            ZoneFit { not_known: widest(stock, &open), ..fit }
        };
        library.stocks().iter().map(one).collect()
    };
    zones.zones.par_iter().map(of_zone).collect()
}

/// What is known at each cell of a zone, and how much ground there is open to planting.
fn places(zone: &Zone, ground: &Ground, site: &Site) -> Vec<(Conditions, f64)> {
    let factors = ground.factors();
    let open = zone.cells.iter().map(|cell| {
        let at = cell.at as usize;
        let here = conditions_at(&factors, ground.drainage.as_ref(), at);
        (here, f64::from(cell.share) * gap_share_at(ground, site, at))
    });
    open.filter(|(_, weight)| *weight > 0.0).collect()
}

/// The conditions of a cell, from the layers of the factors and from mapped drainage.
fn conditions_at(
    factors: &[(Factor, &Raster<f32>)],
    drainage: Option<&Raster<u8>>,
    at: usize,
) -> Conditions {
    let drainage = drainage.map_or(0, |drainage| drainage.cells()[at]);
    let here = Conditions::unknown().with_drainage(drainage.checked_sub(1));
    factors
        .iter()
        .fold(here, |here, (factor, layer)| here.with(*factor, f64::from(layer.cells()[at])))
}

/// The factors whose layers leave ground open here, and the share of the ground.
fn shares_not_known(places: &[(Conditions, f64)], ground: &Ground) -> Vec<(Factor, f64)> {
    let all: f64 = places.iter().map(|(_, weight)| weight).sum();
    let numeric = ground.factors().into_iter().map(|(factor, _)| factor);
    let factors = numeric.chain(ground.drainage.as_ref().map(|_| Factor::Drainage));
    let share = |factor: Factor| {
        let is_open = |here: &Conditions| match factor {
            Factor::Drainage => here.drainage().is_none(),
            numeric => here.value(numeric).is_none(),
        };
        let open = places.iter().filter(|(here, _)| is_open(here)).map(|(_, weight)| weight);
        (factor, open.sum::<f64>() / all)
    };
    factors.map(share).filter(|(_, share)| *share > 0.0).collect()
}

/// That of a stock's factors which leaves most ground open, the first among equals.
fn widest(stock: &Stock, open: &[(Factor, f64)]) -> Option<(Factor, f64)> {
    let asked = open.iter().filter(|(factor, _)| stock.tolerance.factors().any(|f| f == *factor));
    asked.copied().reduce(|most, one| if one.1 > most.1 { one } else { most })
}

fn fit_one(stock: &Stock, places: &[(Conditions, f64)], floor: f64, edges: &FitEdges) -> ZoneFit {
    let (mut area, mut sum, mut below) = (0.0, 0.0, 0.0);
    let mut limits: BTreeMap<Limit, (f64, f64)> = BTreeMap::new();
    for (here, weight) in places {
        let fit = stock.fit(here);
        area += weight;
        sum += weight * fit.value;
        below += if fit.value < floor { *weight } else { 0.0 };
        if let Some(limit) = fit.limiting {
            let (lost, limited) = limits.entry(limit).or_default();
            *lost += weight * (1.0 - fit.value);
            *limited += weight;
        }
    }
    let share = |part: f64| if area > 0.0 { part / area } else { 0.0 };
    let worst = limits.iter().max_by(|a, b| a.1.0.total_cmp(&b.1.0).then(b.0.cmp(a.0)));
    ZoneFit {
        fit: share(sum),
        order: edges.order(share(sum)),
        share_below: share(below),
        limiting: worst.map(|(limit, (_, limited))| (*limit, share(*limited))),
        not_known: None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_percentage_never_hides_a_little() {
        assert_eq!(percent(0.0), "0 %");
        assert_eq!(percent(0.004), "under 1 %");
        assert_eq!(percent(0.384), "38 %");
        assert_eq!(percent(0.996), "over 99 %");
        assert_eq!(percent(1.0), "100 %");
    }
}
