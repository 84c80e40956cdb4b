//! What each stock offers each zone: the programme that the mosaic solves.

use stock::{Library, StockKind};

use crate::fit::ZoneFit;
use crate::layout::ZoneDemand;
use crate::mosaic::{LineLimit, Offer, Programme, ZoneOffers};
use crate::site::Site;
use crate::units::PlanHectares;
use crate::zones::Zones;

/// Sets the programme up: a stock is offered where its fit reaches the site's floor, and is worth
/// its fit times the open share of the ground; a seed line's worth is weighted by
/// `mosaic.seed_line_weight`, so that the best cultivar goes where it fits and local seed where it
/// must be.
#[must_use]
pub fn programme(
    zones: &Zones,
    fits: &[Vec<ZoneFit>],
    demands: &[ZoneDemand],
    site: &Site,
    library: &Library,
) -> Programme {
    let weight = |kind| match kind {
        StockKind::Cultivar => 1.0,
        StockKind::SeedLine => site.mosaic.seed_line_weight,
    };
    let offers = |at: usize| {
        let (zone, demand) = (&zones.zones[at], &demands[at]);
        let area_ha = PlanHectares::from_m2(zone.plan_m2).0;
        let one = |(fit, stock): (&ZoneFit, &stock::Stock)| {
            let offered = demand.plants > 0.0 && fit.fit >= site.mosaic.fit_floor && fit.fit > 0.0;
            offered.then(|| Offer {
                worth_per_ha: fit.fit * weight(stock.kind) * demand.gap_share,
                plants_per_ha: demand.order / area_ha,
                ..Offer::default()
            })
        };
        let offers = fits[at].iter().zip(library.stocks()).map(one).collect();
        ZoneOffers { area_ha, offers, ..ZoneOffers::default() }
    };
    let limit = |stock: &stock::Stock| LineLimit {
        supply: stock.supply_total().map(|plants| plants as f64),
        ..LineLimit::default()
    };
    let lines = library.stocks().iter().map(limit).collect();
    Programme {
        min_share: site.mosaic.min_share,
        line_cap: site.mosaic.line_cap,
        gap: site.mosaic.gap,
        time_limit_s: site.mosaic.time_limit_s,
        ..Programme::new((0..zones.zones.len()).map(offers).collect(), lines)
    }
}
