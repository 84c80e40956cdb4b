//! What each stock offers each zone, and within which limits: the programme that the mosaic solves.

#[cfg(test)]
pub(crate) mod fixture;
mod seasons;
mod sourcing;
#[cfg(test)]
mod tests;
mod unknown;
mod weeks;
mod worth;

use stock::{Library, Stock};

pub use self::seasons::Seasons;
pub use self::sourcing::Sourcing;
pub use self::unknown::{no_such_line, no_winter, unknown};
pub(crate) use self::worth::{by_richness_per_ha, richest, richness};

use crate::fit::ZoneFit;
use crate::layout::ZoneDemand;
use crate::mosaic::{InFlower, LineLimit, Offer, Programme, ZoneOffers};
use crate::overrides::Overrides;
use crate::site::Site;
use crate::units::PlanHectares;
use crate::zones::Zones;

/// Everything that offers are made from.
#[derive(Debug, Clone, Copy)]
pub struct Terms<'a> {
    /// The zones.
    pub zones: &'a Zones,
    /// Fit, `[zone][stock]`.
    pub fits: &'a [Vec<ZoneFit>],
    /// What each zone asks for, before densities are set by hand.
    pub demands: &'a [ZoneDemand],
    /// The site.
    pub site: &'a Site,
    /// Its stock.
    pub library: &'a Library,
    /// When planting can be done.
    pub seasons: Seasons,
    /// What home seed may go where.
    pub sourcing: &'a Sourcing,
    /// Choices made by hand.
    pub overrides: &'a Overrides,
}

/// Sets the programme up: a stock is offered where its fit reaches the site's floor, it counts for
/// more than it costs, and nothing bars it. A choice by hand that fixes a line offers that line alone, whatever its fit, and the
/// zone must then be planted.
#[must_use]
pub fn programme(terms: &Terms) -> Programme {
    let rules = &terms.site.mosaic;
    let scale = worth::Scale::of(terms);
    let demands = terms.overrides.demands(terms.demands);
    let zones = demands.iter().enumerate();
    let zones = zones.map(|(zone, demand)| zone_offers(terms, &scale, zone, demand)).collect();
    let lines = terms.library.stocks().iter().map(|stock| line_limit(terms, stock)).collect();
    let flowering = rules.weeks_in_flower;
    Programme {
        seasons: terms.seasons.count,
        wait: rules.wait_loss,
        budget: rules.budget_nzd,
        season_budget: rules.season_budget_nzd,
        season_days: terms.site.labour.days_a_winter(),
        flowering: flowering.map(|weeks| InFlower { weeks, least_ha: rules.flower_least.0 }),
        min_share: rules.min_share,
        line_cap: rules.line_cap,
        gap: rules.gap,
        time_limit_s: rules.time_limit_s,
        ..Programme::new(zones, lines)
    }
}

fn zone_offers(terms: &Terms, scale: &worth::Scale, at: usize, demand: &ZoneDemand) -> ZoneOffers {
    let zone = &terms.zones.zones[at];
    let area_ha = PlanHectares::from_m2(zone.plan_m2).0;
    let fixed = terms.overrides.of_zone(at).find_map(|one| one.line);
    let forbidden = |line: usize| terms.overrides.of_zone(at).any(|one| one.forbid.contains(&line));
    let offers = terms.library.stocks().iter().enumerate().map(|(line, stock)| {
        let fit = terms.fits[at][line].fit;
        let by_rule = fit >= terms.site.mosaic.fit_floor
            && fit > 0.0
            && !forbidden(line)
            && terms.sourcing.bar(at, line).is_none();
        let own = &demand.lines[line];
        let worth_per_ha = scale.worth_per_ha(stock, fit, (demand.gap_share, own), area_ha);
        let by_rule = by_rule && worth_per_ha > 0.0;
        let offered = own.plants > 0.0 && fixed.map_or(by_rule, |fixed| fixed == line);
        offered.then(|| Offer {
            worth_per_ha,
            plants_per_ha: own.order / area_ha,
            cost_per_ha: scale.cost_per_ha(stock, own, area_ha),
            days_per_ha: own.person_days / area_ha,
            weeks: weeks::in_flower(stock, zone.statistics.elevation_m[1]),
        })
    });
    ZoneOffers {
        area_ha,
        open_share: demand.gap_share,
        offers: offers.collect(),
        left_worth_per_ha: terms.site.mosaic.regenerate_worth * demand.gap_share,
        must_plant: fixed.is_some_and(|line| demand.lines[line].plants > 0.0),
    }
}

fn line_limit(terms: &Terms, stock: &Stock) -> LineLimit {
    LineLimit {
        supply: terms.seasons.supply(stock).map(|plants| plants as f64),
        by_season: terms.seasons.by_season(stock),
        min_lot: f64::from(stock.min_lot.unwrap_or(0)),
    }
}
