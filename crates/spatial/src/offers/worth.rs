//! What a hectare of a line counts for, and what it costs.

use stock::{Library, Stock, StockKind};

use super::Terms;
use crate::layout::LineDemand;
use crate::site::{Aim, MosaicRules};

/// What worth is measured against.
pub(super) struct Scale<'a> {
    rules: &'a MosaicRules,
    /// Highest mean ratio of DHA to sugars in the library; 0 where none is known.
    richest: f64,
    /// Cost of the dearest hectare of the property; 0 where nothing costs anything.
    dearest: f64,
}

impl<'a> Scale<'a> {
    pub(super) fn of(terms: &Terms<'a>) -> Self {
        let rules = &terms.site.mosaic;
        let richest = richest(terms.library);
        let mut scale = Self { rules, richest, dearest: 0.0 };
        let zones = terms.zones.zones.iter().zip(terms.demands);
        let hectares = zones.flat_map(|(zone, demand)| {
            let area_ha = crate::units::PlanHectares::from_m2(zone.plan_m2).0;
            terms
                .library
                .stocks()
                .iter()
                .zip(&demand.lines)
                .map(move |(stock, own)| (stock, own, area_ha))
        });
        scale.dearest = hectares
            .map(|(stock, own, area_ha)| scale.cost_per_ha(stock, own, area_ha))
            .fold(0.0, f64::max);
        scale
    }

    /// Worth of one map hectare: what the site's weights make of fit, nectar, area and cost, over
    /// the part that is open to planting; never less than nothing.
    ///
    /// A seed line's fit counts `mosaic.seed_line_weight` times, so that the best cultivar goes
    /// where it fits and local seed where it must be.
    pub(super) fn worth_per_ha(
        &self,
        stock: &Stock,
        fit: f64,
        (gap_share, demand): (f64, &LineDemand),
        area_ha: f64,
    ) -> f64 {
        let Aim { fit: by_fit, nectar, area, cost } = self.rules.aim;
        let richness = richness(stock, self.richest);
        let good = fit * kind_weight(stock, self.rules) * (by_fit + nectar * richness) * gap_share;
        let planted = area * gap_share;
        let paid = if self.dearest > 0.0 {
            cost * self.cost_per_ha(stock, demand, area_ha) / self.dearest
        } else {
            0.0
        };
        (good + planted - paid).max(0.0)
    }

    /// What plants and planting of one map hectare cost, New Zealand dollars; a plant without a
    /// price costs nothing.
    pub(super) fn cost_per_ha(&self, stock: &Stock, demand: &LineDemand, area_ha: f64) -> f64 {
        let bought = demand.order * stock.price_nzd.unwrap_or(0.0);
        (bought + demand.plants * self.rules.planting_nzd) / area_ha
    }
}

/// How much of the worth of a map hectare one unit of richness makes, where a stock fits so well.
pub(crate) fn by_richness_per_ha(
    stock: &Stock,
    fit: f64,
    gap_share: f64,
    rules: &MosaicRules,
) -> f64 {
    fit * kind_weight(stock, rules) * rules.aim.nectar * gap_share
}

/// What the fit of a stock counts beside that of a cultivar.
fn kind_weight(stock: &Stock, rules: &MosaicRules) -> f64 {
    match stock.kind {
        StockKind::Cultivar => 1.0,
        StockKind::SeedLine => rules.seed_line_weight,
    }
}

/// Nectar of a stock beside that of the richest; 0 where it is not known.
pub(crate) fn richness(stock: &Stock, richest: f64) -> f64 {
    if richest > 0.0 { ratio(stock) / richest } else { 0.0 }
}

/// Highest mean ratio of DHA to sugars in a library; 0 where none is known.
pub(crate) fn richest(library: &Library) -> f64 {
    library.stocks().iter().map(ratio).fold(0.0, f64::max)
}

/// Mean ratio of DHA to sugars in the nectar of a stock; 0 where it is not known.
fn ratio(stock: &Stock) -> f64 {
    stock.nectar.map_or(0.0, |nectar| nectar.ratio_mean.mg_per_mg())
}
