//! Blocks: the share of a zone that a stock takes, and its whole plants.

use stock::Library;

use super::{largest_remainder, order_quantity, trim_to_supply};
use crate::layout::ZoneDemand;
use crate::mosaic::Given;
use crate::offers::Seasons;
use crate::site::MosaicRules;

/// Shares below this are dust of the solver's arithmetic.
const DUST: f64 = 1e-9;
/// How far a lot may fall short beside rounding, relative: what a solver's tolerance takes away.
const SHORT: f64 = 2e-6;
/// Cents do not break a budget.
const CENT: f64 = 0.01;

/// One zone × one stock × one season with its counts.
#[derive(Debug, Clone, PartialEq)]
pub struct BlockCount {
    /// Position of the zone.
    pub zone: usize,
    /// Position of the stock.
    pub stock: usize,
    /// Planting season, counted from 0.
    pub season: usize,
    /// Share of the zone, above 0 to 1.
    pub share: f64,
    /// Plants in the ground.
    pub seedlings: u64,
    /// Plants to order.
    pub order_qty: u64,
    /// What its plants and planting cost, New Zealand dollars; a plant without a price costs nothing.
    pub cost_nzd: f64,
}

/// Whole plants for every block: largest remainder over the whole plan, so that blocks add up to
/// every total above them. Rounding is then kept from breaking a rule, a plant at a time, from or to
/// the largest block: no line orders more than its supply, in a season and in all, nor less than its
/// smallest lot, and nothing is spent beyond a budget.
///
/// `given` is by zone.
#[must_use]
pub fn count_blocks(
    given: &[Vec<Given>],
    demands: &[ZoneDemand],
    library: &Library,
    seasons: &Seasons,
    rules: &MosaicRules,
) -> Vec<BlockCount> {
    let taken = given.iter().enumerate().flat_map(|(zone, parts)| {
        parts.iter().filter(|part| part.share > DUST).map(move |part| (zone, *part))
    });
    let taken: Vec<(usize, Given)> = taken.collect();
    let amounts: Vec<f64> =
        taken.iter().map(|(zone, part)| demands[*zone].plants * part.share).collect();
    let seedlings = largest_remainder(&amounts);
    let mut tally = Tally { taken, seedlings, demands, library, rules };
    for (line, stock) in library.stocks().iter().enumerate() {
        for season in 0..seasons.count {
            let supply = seasons.year(season).and_then(|year| stock.supply_in(year));
            tally.hold_lot(line, season, f64::from(stock.min_lot.unwrap_or(0)));
            tally.hold_supply(|part| part.line == line && part.season == season, supply);
        }
        tally.hold_supply(|part| part.line == line, seasons.supply(stock));
    }
    for season in 0..seasons.count {
        tally.hold_budget(|part| part.season == season, rules.season_budget_nzd);
    }
    tally.hold_budget(|_| true, rules.budget_nzd);
    tally.blocks()
}

/// Whole plants in the making.
struct Tally<'a> {
    taken: Vec<(usize, Given)>,
    seedlings: Vec<u64>,
    demands: &'a [ZoneDemand],
    library: &'a Library,
    rules: &'a MosaicRules,
}

impl Tally<'_> {
    /// Blocks that are meant.
    fn meant(&self, is_meant: impl Fn(&Given) -> bool) -> Vec<usize> {
        (0..self.taken.len()).filter(|at| is_meant(&self.taken[*at].1)).collect()
    }

    fn survival(&self, at: usize) -> f64 {
        self.demands[self.taken[at].0].survival()
    }

    fn order(&self, at: usize) -> u64 {
        order_quantity(self.seedlings[at], self.survival(at))
    }

    fn cost(&self, at: usize) -> f64 {
        let price = self.library.stocks()[self.taken[at].1.line].price_nzd.unwrap_or(0.0);
        self.order(at) as f64 * price + self.seedlings[at] as f64 * self.rules.planting_nzd
    }

    fn ordered(&self, blocks: &[usize]) -> u64 {
        blocks.iter().map(|at| self.order(*at)).sum()
    }

    /// The block with most plants, the first among equals.
    fn largest(&self, blocks: &[usize]) -> Option<usize> {
        blocks.iter().copied().max_by_key(|at| (self.seedlings[*at], usize::MAX - at))
    }

    /// Takes out what is ordered beyond a supply.
    fn hold_supply(&mut self, is_meant: impl Fn(&Given) -> bool, supply: Option<u64>) {
        let Some(supply) = supply else { return };
        let at = self.meant(is_meant);
        let mut blocks: Vec<(u64, f64)> =
            at.iter().map(|at| (self.seedlings[*at], self.survival(*at))).collect();
        trim_to_supply(&mut blocks, supply);
        for (at, (plants, _)) in at.into_iter().zip(blocks) {
            self.seedlings[at] = plants;
        }
    }

    /// Adds what an order lacks of its smallest lot, where rounding alone took it away.
    fn hold_lot(&mut self, line: usize, season: usize, lot: f64) {
        let blocks = self.meant(|part| part.line == line && part.season == season);
        let by_rounding = 2.0 * blocks.len() as f64 + lot * SHORT;
        let lacks = lot - self.ordered(&blocks) as f64;
        if lacks > by_rounding {
            return;
        }
        while (self.ordered(&blocks) as f64) < lot {
            let Some(at) = self.largest(&blocks) else { return };
            self.seedlings[at] += 1;
        }
    }

    /// Takes out what is spent beyond a budget, from orders that stay above their smallest lot.
    fn hold_budget(&mut self, is_meant: impl Fn(&Given) -> bool, budget: Option<f64>) {
        let Some(budget) = budget else { return };
        let blocks = self.meant(is_meant);
        while blocks.iter().map(|at| self.cost(*at)).sum::<f64>() > budget + CENT {
            let spare = |at: &&usize| self.seedlings[**at] > 0 && self.cost(**at) > 0.0;
            let can_give = |at: &&usize| {
                let Given { line, season, .. } = self.taken[**at].1;
                let own = self.meant(|part| part.line == line && part.season == season);
                let lot = u64::from(self.library.stocks()[line].min_lot.unwrap_or(0));
                lot == 0 || self.ordered(&own) >= lot + 2
            };
            let able: Vec<usize> = blocks.iter().filter(spare).filter(can_give).copied().collect();
            let Some(at) = self.largest(&able) else { return };
            self.seedlings[at] -= 1;
        }
    }

    fn blocks(self) -> Vec<BlockCount> {
        let block = |at: usize| {
            let (zone, part) = self.taken[at];
            BlockCount {
                zone,
                stock: part.line,
                season: part.season,
                share: part.share,
                seedlings: self.seedlings[at],
                order_qty: self.order(at),
                cost_nzd: self.cost(at),
            }
        };
        (0..self.taken.len()).map(block).collect()
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;
    use stock::{Stock, StockKind, Supply};

    use super::*;
    use crate::units::StemsPerHectare;

    /// Ten blocks of each line: one line's lose 0.4 of a plant each to rounding, the other's gain it.
    #[test]
    fn an_order_that_rounding_took_below_its_lot_gets_its_plants_back() {
        let demand = |at: usize| {
            let plants = if at < 10 { 10.4 } else { 10.6 };
            let density = StemsPerHectare(1_000.0);
            ZoneDemand { plants, order: plants, gap_share: 1.0, density }
        };
        let demands: Vec<ZoneDemand> = (0..20).map(demand).collect();
        let given = |at: usize| vec![Given { line: at / 10, season: 0, share: 1.0 }];
        let given: Vec<Vec<Given>> = (0..20).map(given).collect();
        let ordered = |lot: Option<u32>| -> u64 {
            let line =
                |id: &str, min_lot| Stock { min_lot, ..Stock::named(id, id, StockKind::Cultivar) };
            let library = Library::new(vec![line("one", lot), line("two", None)]).unwrap();
            let seasons = Seasons { first: None, count: 1 };
            let blocks = count_blocks(&given, &demands, &library, &seasons, &MosaicRules::usual());
            blocks.iter().filter(|block| block.stock == 0).map(|block| block.order_qty).sum()
        };
        assert_eq!(ordered(None), 100, "by rounding alone");
        assert_eq!(ordered(Some(104)), 104);
        assert_eq!(ordered(Some(200)), 100, "what rounding did not take is not given");
    }

    proptest! {
        /// Shares that keep every rule to the last bit, before plants are whole.
        #[test]
        fn rounding_breaks_no_rule(
            parts in prop::collection::vec((0.0..400.0_f64, 0.5..1.0_f64, 0.01..1.0_f64, 0_usize..2), 1..30),
            lots: bool,
            money: bool,
        ) {
            let demand = |&(plants, survival, ..): &(f64, f64, f64, usize)| ZoneDemand {
                plants,
                order: plants / survival,
                gap_share: 1.0,
                density: StemsPerHectare(1_000.0),
            };
            let demands: Vec<ZoneDemand> = parts.iter().map(demand).collect();
            let given: Vec<Vec<Given>> = parts
                .iter()
                .map(|&(_, _, share, season)| vec![Given { line: 0, season, share }])
                .collect();
            let exact = |season: usize| -> f64 {
                let own = parts.iter().zip(&demands).filter(|(part, _)| part.3 == season);
                own.map(|(part, demand)| demand.order * part.2).sum()
            };
            let (first, second) = (exact(0), exact(1));
            let lot = Some(first.floor() as u32).filter(|lot| lots && *lot > 0);
            let supply = Supply::Seasons([(2027, first.ceil() as u64), (2028, second.ceil() as u64)].into());
            let price = 1.3;
            let line = Stock {
                supply,
                min_lot: lot.filter(|_| f64::from(lot.unwrap_or(0)) <= second || second == 0.0),
                price_nzd: Some(price),
                ..Stock::named("line", "Line", StockKind::Cultivar)
            };
            let library = Library::new(vec![line.clone()]).unwrap();
            let seasons = Seasons { first: Some(2027), count: 2 };
            let budget = (first + second) * price;
            let rules = MosaicRules {
                budget_nzd: money.then_some(budget),
                ..MosaicRules::usual()
            };
            let blocks = count_blocks(&given, &demands, &library, &seasons, &rules);
            for (season, supply) in [first.ceil(), second.ceil()].into_iter().enumerate() {
                let own = blocks.iter().filter(|block| block.season == season);
                let ordered: u64 = own.map(|block| block.order_qty).sum();
                prop_assert!(ordered as f64 <= supply, "{ordered} of {supply}");
                let lot = line.min_lot.unwrap_or(0);
                let is_whole = ordered == 0 || ordered >= u64::from(lot);
                prop_assert!(is_whole || money, "{ordered} of a lot of {lot}");
            }
            let spent: f64 = blocks.iter().map(|block| block.cost_nzd).sum();
            let ordered: u64 = blocks.iter().map(|block| block.order_qty).sum();
            prop_assert!((spent - ordered as f64 * price).abs() < 1e-6);
            if money && !lots {
                prop_assert!(spent <= budget + 0.02, "{spent} of {budget}");
            }
            for (block, part) in blocks.iter().zip(&parts) {
                let plants = part.0 * part.2;
                let apart = (block.seedlings as f64 - plants).abs();
                prop_assert!(apart <= 2.0 * parts.len() as f64 + 2.0, "{block:?} of {plants}");
            }
        }
    }
}
