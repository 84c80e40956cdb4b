//! Whole plants held against every rule that orders must keep.

use stock::Library;

use super::blocks::{BlockCount, CENT, LAST_DIGIT, ordered, spent, worked};
use crate::mosaic::Limit;
use crate::offers::Seasons;
use crate::site::{LabourRules, MosaicRules};

/// A rule that whole plants do not keep, though shares did.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BrokenRule {
    /// Which.
    pub limit: Limit,
    /// What is ordered, spent or worked, in plants, New Zealand dollars or person-days.
    pub found: f64,
    /// What may be at most; of a smallest lot, at least.
    pub asked: f64,
}

/// Every supply, smallest lot and budget that blocks do not keep, in the order of lines and seasons.
/// There is none unless lots, supplies and budgets leave whole plants no room.
///
/// Cost: blocks × lines × seasons.
#[must_use]
pub fn broken_rules(
    blocks: &[BlockCount],
    library: &Library,
    seasons: &Seasons,
    (rules, labour): (&MosaicRules, &LabourRules),
) -> Vec<BrokenRule> {
    let mut broken = Vec::new();
    let mut most = |limit, found: f64, asked: Option<f64>| {
        let asked = asked.filter(|asked| found > *asked);
        broken.extend(asked.map(|asked| BrokenRule { limit, found, asked }));
    };
    for (line, stock) in library.stocks().iter().enumerate() {
        let all = ordered(blocks, |block| block.stock == line);
        most(Limit::Supply { line }, all, seasons.supply(stock).map(|plants| plants as f64));
        for season in 0..seasons.count {
            let own = ordered(blocks, |block| (block.stock, block.season) == (line, season));
            let supply = seasons.year(season).and_then(|year| stock.supply_in(year));
            most(Limit::SeasonSupply { line, season }, own, supply.map(|plants| plants as f64));
        }
    }
    let with_cent = |budget: Option<f64>| budget.map(|budget| budget + CENT);
    for season in 0..seasons.count {
        let in_season = spent(blocks, |block| block.season == season);
        most(Limit::SeasonBudget { season }, in_season, with_cent(rules.season_budget_nzd));
    }
    most(Limit::Budget, spent(blocks, |_| true), with_cent(rules.budget_nzd));
    for season in 0..seasons.count {
        let in_season = worked(blocks, |block| block.season == season);
        let days = labour.days_a_winter().map(|days| days + LAST_DIGIT);
        most(Limit::SeasonDays { season }, in_season, days);
    }
    for (line, stock) in library.stocks().iter().enumerate() {
        let asked = f64::from(stock.min_lot.unwrap_or(0));
        for season in 0..seasons.count {
            let found = ordered(blocks, |block| (block.stock, block.season) == (line, season));
            if found > 0.0 && found < asked {
                broken.push(BrokenRule { limit: Limit::Lot { line, season }, found, asked });
            }
        }
    }
    broken
}

#[cfg(test)]
mod tests {
    use stock::{Stock, StockKind, Supply};

    use super::*;

    /// Worked by hand: 30 and 12 plants at a dollar, in two winters.
    #[test]
    fn each_rule_is_told_with_what_was_found() {
        let block = |season, order_qty| BlockCount {
            zone: 0,
            stock: 0,
            season,
            share: 0.5,
            seedlings: order_qty,
            order_qty,
            person_days: 0.0,
            cost_nzd: order_qty as f64,
        };
        let blocks = [block(0, 30), block(1, 12)];
        let seasons = Seasons { first: Some(2027), count: 2 };
        let broken = |first: u64, second: u64, min_lot: u32, budget: f64, each: f64| {
            let line = Stock {
                supply: Supply::Seasons([(2027, first), (2028, second)].into()),
                min_lot: Some(min_lot).filter(|lot| *lot > 0),
                ..Stock::named("line", "Line", StockKind::Cultivar)
            };
            let library = Library::new(vec![line]).unwrap();
            let rules = MosaicRules {
                budget_nzd: Some(budget),
                season_budget_nzd: Some(each),
                ..MosaicRules::usual()
            };
            broken_rules(&blocks, &library, &seasons, (&rules, &LabourRules::usual()))
        };
        assert_eq!(broken(30, 12, 12, 42.0, 30.0), []);
        let rule = |limit, found, asked| BrokenRule { limit, found, asked };
        let (line, season) = (0, 0);
        assert_eq!(
            broken(29, 13, 0, 42.0, 30.0),
            [rule(Limit::SeasonSupply { line, season }, 30.0, 29.0)]
        );
        assert_eq!(
            broken(30, 11, 0, 42.0, 30.0),
            [
                rule(Limit::Supply { line }, 42.0, 41.0),
                rule(Limit::SeasonSupply { line, season: 1 }, 12.0, 11.0)
            ]
        );
        assert_eq!(
            broken(30, 12, 13, 42.0, 30.0),
            [rule(Limit::Lot { line, season: 1 }, 12.0, 13.0)]
        );
        assert_eq!(broken(30, 12, 0, 40.0, 30.0), [rule(Limit::Budget, 42.0, 40.0 + CENT)]);
        assert_eq!(
            broken(30, 12, 0, 42.0, 20.0),
            [rule(Limit::SeasonBudget { season }, 30.0, 20.0 + CENT)]
        );
    }
}
