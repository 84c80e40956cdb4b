//! Blocks: the share of a zone that a stock takes, and its whole plants.

use std::collections::BTreeMap;

use stock::{Library, Stock};

use super::{largest_remainder, order_quantity};
use crate::layout::ZoneDemand;
use crate::mosaic::Given;
use crate::offers::Seasons;
use crate::site::{LabourRules, MosaicRules};

/// Shares below this are dust of the solver's arithmetic.
const DUST: f64 = 1e-9;
/// How far a lot may fall short beside rounding, relative: what a solver's tolerance takes away.
const SHORT: f64 = 2e-6;
/// Cents do not break a budget.
pub(super) const CENT: f64 = 0.01;
/// Nor does the last digit of a sum of person-days break a winter, or make a day of a crew.
pub(crate) const LAST_DIGIT: f64 = 1e-6;

/// Plants that some blocks order.
pub(crate) fn ordered(blocks: &[BlockCount], is_meant: impl Fn(&BlockCount) -> bool) -> f64 {
    blocks.iter().filter(|block| is_meant(block)).map(|block| block.order_qty as f64).sum()
}

/// What some blocks cost, New Zealand dollars.
pub(crate) fn spent(blocks: &[BlockCount], is_meant: impl Fn(&BlockCount) -> bool) -> f64 {
    blocks.iter().filter(|block| is_meant(block)).fold(0.0, |sum, block| sum + block.cost_nzd)
}

/// Days that one person plants some blocks.
pub(crate) fn worked(blocks: &[BlockCount], is_meant: impl Fn(&BlockCount) -> bool) -> f64 {
    blocks.iter().filter(|block| is_meant(block)).fold(0.0, |sum, block| sum + block.person_days)
}

/// What plants and planting cost, New Zealand dollars; a plant without a price costs nothing.
pub(super) fn cost_nzd(seedlings: u64, ordered: u64, stock: &Stock, rules: &MosaicRules) -> f64 {
    ordered as f64 * stock.price_nzd.unwrap_or(0.0) + seedlings as f64 * rules.planting_nzd
}

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
    /// Days that one person plants it.
    pub person_days: f64,
    /// What its plants and planting cost, New Zealand dollars; a plant without a price costs nothing.
    pub cost_nzd: f64,
}

/// Whole plants for every block: largest remainder over the whole plan, so that blocks add up to
/// every total above them. Rounding is then kept from breaking a rule, a plant at a time, from or to
/// the largest block: no line orders more than its supply, in a season and in all, nor less than its
/// smallest lot, nothing is spent beyond a budget, and no winter plants longer than it may. Where
/// whole plants cannot keep all of these, supplies are kept first, then lots: [`super::broken_rules`]
/// tells what is not.
///
/// `given` is by zone.
#[must_use]
pub fn count_blocks(
    given: &[Vec<Given>],
    demands: &[ZoneDemand],
    library: &Library,
    seasons: &Seasons,
    (rules, labour): (&MosaicRules, &LabourRules),
) -> Vec<BlockCount> {
    let taken = given.iter().enumerate().flat_map(|(zone, parts)| {
        parts.iter().filter(|part| part.share > DUST).map(move |part| (zone, *part))
    });
    let taken: Vec<(usize, Given)> = taken.collect();
    let amounts: Vec<f64> = taken
        .iter()
        .map(|(zone, part)| demands[*zone].lines[part.line].plants * part.share)
        .collect();
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
        tally.hold_days(season, labour.days_a_winter());
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
        let (zone, part) = &self.taken[at];
        self.demands[*zone].lines[part.line].survival()
    }

    fn order(&self, at: usize) -> u64 {
        order_quantity(self.seedlings[at], self.survival(at))
    }

    fn cost(&self, at: usize) -> f64 {
        let stock = &self.library.stocks()[self.taken[at].1.line];
        cost_nzd(self.seedlings[at], self.order(at), stock, self.rules)
    }

    fn person_days(&self, at: usize) -> f64 {
        let (zone, part) = &self.taken[at];
        self.demands[*zone].lines[part.line].days_of(self.seedlings[at])
    }

    fn ordered(&self, blocks: &[usize]) -> u64 {
        blocks.iter().map(|at| self.order(*at)).sum()
    }

    /// The block with most plants, the first among equals.
    fn largest(&self, blocks: &[usize]) -> Option<usize> {
        blocks.iter().copied().max_by_key(|at| (self.seedlings[*at], usize::MAX - at))
    }

    /// Plants ordered by line and season.
    fn lots(&self) -> BTreeMap<(usize, usize), u64> {
        let mut lots = BTreeMap::new();
        for (at, (_, part)) in self.taken.iter().enumerate() {
            *lots.entry((part.line, part.season)).or_default() += self.order(at);
        }
        lots
    }

    /// Takes a plant out of the largest of some blocks whose order stays at its smallest lot. Where no
    /// such block is left and `any` may give, it is the largest of all. False: no block could give.
    fn take_one(
        &mut self,
        blocks: &[usize],
        lots: &mut BTreeMap<(usize, usize), u64>,
        any: bool,
    ) -> bool {
        let key = |at: usize| (self.taken[at].1.line, self.taken[at].1.season);
        let without =
            |at: usize| order_quantity(self.seedlings[at].saturating_sub(1), self.survival(at));
        let able: Vec<usize> =
            blocks.iter().copied().filter(|at| without(*at) < self.order(*at)).collect();
        let keeps_lot = |at: &usize| {
            let ordered = lots.get(&key(*at)).copied().unwrap_or(0);
            let left = (ordered + without(*at)).saturating_sub(self.order(*at));
            let lot = self.library.stocks()[key(*at).0].min_lot.unwrap_or(0);
            ordered < u64::from(lot) || left >= u64::from(lot)
        };
        let keeping: Vec<usize> = able.iter().copied().filter(keeps_lot).collect();
        let largest = self.largest(&keeping).or_else(|| self.largest(&able).filter(|_| any));
        let Some(at) = largest else { return false };
        let (key, fewer) = (key(at), self.order(at) - without(at));
        self.seedlings[at] -= 1;
        if let Some(ordered) = lots.get_mut(&key) {
            *ordered -= fewer;
        }
        true
    }

    /// Takes out what is ordered beyond a supply.
    fn hold_supply(&mut self, is_meant: impl Fn(&Given) -> bool, supply: Option<u64>) {
        let Some(supply) = supply else { return };
        let (blocks, mut lots) = (self.meant(is_meant), self.lots());
        while self.ordered(&blocks) > supply && self.take_one(&blocks, &mut lots, true) {}
    }

    /// Adds what an order lacks of its smallest lot, where rounding alone took it away: less than the
    /// order for one plant in each block.
    fn hold_lot(&mut self, line: usize, season: usize, lot: f64) {
        let blocks = self.meant(|part| part.line == line && part.season == season);
        let by_rounding: f64 = blocks.iter().map(|at| 1.0 / self.survival(*at)).sum();
        let lacks = lot - self.ordered(&blocks) as f64;
        if lacks > by_rounding + lot * SHORT {
            return;
        }
        while (self.ordered(&blocks) as f64) < lot {
            let Some(at) = self.largest(&blocks) else { return };
            self.seedlings[at] += 1;
        }
    }

    /// Takes out what is spent beyond a budget, from orders that stay at their smallest lot.
    fn hold_budget(&mut self, is_meant: impl Fn(&Given) -> bool, budget: Option<f64>) {
        self.hold(is_meant, budget.map(|budget| budget + CENT), Self::cost);
    }

    /// Takes out what takes longer to plant than a winter has person-days, in the same way.
    fn hold_days(&mut self, season: usize, most: Option<f64>) {
        let most = most.map(|most| most + LAST_DIGIT);
        self.hold(|part| part.season == season, most, Self::person_days);
    }

    /// Takes plants out of blocks until what they take of a limit is within it, or no order can give.
    fn hold(
        &mut self,
        is_meant: impl Fn(&Given) -> bool,
        most: Option<f64>,
        takes: fn(&Self, usize) -> f64,
    ) {
        let Some(most) = most else { return };
        let blocks: Vec<usize> =
            self.meant(is_meant).into_iter().filter(|at| takes(self, *at) > 0.0).collect();
        let mut lots = self.lots();
        let taken = |tally: &Self| blocks.iter().map(|at| takes(tally, *at)).sum::<f64>();
        while taken(self) > most && self.take_one(&blocks, &mut lots, false) {}
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
                person_days: self.person_days(at),
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
    use crate::counts::broken_rules;
    use crate::mosaic::Limit;
    use crate::offers::fixture::demand_of;

    /// Ten blocks of each line: one line's lose 0.4 of a plant each to rounding, the other's gain it.
    #[test]
    fn an_order_that_rounding_took_below_its_lot_gets_its_plants_back() {
        let demand = |at: usize| {
            let plants = if at < 10 { 10.4 } else { 10.6 };
            demand_of(2, plants, plants)
        };
        let demands: Vec<ZoneDemand> = (0..20).map(demand).collect();
        let given = |at: usize| vec![Given { line: at / 10, season: 0, share: 1.0 }];
        let given: Vec<Vec<Given>> = (0..20).map(given).collect();
        let ordered = |lot: Option<u32>| -> u64 {
            let line =
                |id: &str, min_lot| Stock { min_lot, ..Stock::named(id, id, StockKind::Cultivar) };
            let library = Library::new(vec![line("one", lot), line("two", None)]).unwrap();
            let seasons = Seasons { first: None, count: 1 };
            let blocks = count_blocks(
                &given,
                &demands,
                &library,
                &seasons,
                (&MosaicRules::usual(), &LabourRules::usual()),
            );
            blocks.iter().filter(|block| block.stock == 0).map(|block| block.order_qty).sum()
        };
        assert_eq!(ordered(None), 100, "by rounding alone");
        assert_eq!(ordered(Some(104)), 104);
        assert_eq!(ordered(Some(200)), 100, "what rounding did not take is not given");
    }

    /// Ten blocks in each of two winters: by rounding the second has four plants more than its supply, the first four
    /// fewer. Each winter is held to its own.
    #[test]
    fn a_winter_is_held_to_its_own_supply() {
        let given = |at: usize| vec![Given { line: 0, season: at / 10, share: 1.0 }];
        let given: Vec<Vec<Given>> = (0..20).map(given).collect();
        let demand = |at: usize| {
            let plants = if at < 10 { 10.4 } else { 10.6 };
            demand_of(1, plants, plants)
        };
        let demands: Vec<ZoneDemand> = (0..20).map(demand).collect();
        let ordered = |supply: Supply| {
            let line = Stock { supply, ..Stock::named("one", "one", StockKind::Cultivar) };
            let blocks = count_blocks(
                &given,
                &demands,
                &Library::new(vec![line]).unwrap(),
                &Seasons { first: Some(2030), count: 2 },
                (&MosaicRules::usual(), &LabourRules::usual()),
            );
            [0, 1].map(|winter| -> u64 {
                let of_winter = blocks.iter().filter(|block| block.season == winter);
                of_winter.map(|block| block.order_qty).sum()
            })
        };
        assert_eq!(ordered(Supply::Unlimited), [100, 110], "by rounding alone");
        let by_winter = Supply::Seasons([(2030, 104), (2031, 106)].into());
        assert_eq!(ordered(by_winter), [100, 106]);
    }

    /// 5,000 plants at 250 a day take 20 days, and 5,000 dollars at one each: what there is to the last digit is enough,
    /// and of a day or a dollar less every plant is taken out that it would have set or bought.
    #[test]
    fn a_limit_that_is_just_reached_takes_nothing_out() {
        let planted = |days: u32, budget_nzd: f64| {
            let line =
                Stock { price_nzd: Some(1.0), ..Stock::named("one", "one", StockKind::Cultivar) };
            let blocks = count_blocks(
                &[vec![Given { line: 0, season: 0, share: 1.0 }]],
                &[demand_of(1, 5_000.0, 5_000.0)],
                &Library::new(vec![line]).unwrap(),
                &Seasons { first: None, count: 1 },
                (
                    &MosaicRules { budget_nzd: Some(budget_nzd), ..MosaicRules::usual() },
                    &LabourRules { people: Some(1), days: Some(days), ..LabourRules::usual() },
                ),
            );
            blocks[0].seedlings
        };
        assert_eq!(planted(20, 5_000.0), 5_000);
        assert_eq!(planted(19, 5_000.0), 4_750);
        assert_eq!(planted(20, 4_999.0), 4_999);
    }

    proptest! {
        /// Shares that keep every rule to the last bit, before plants are whole. Supplies are always kept;
        /// where a lot leaves whole plants no room, that is told, and nothing else is.
        #[test]
        fn rounding_breaks_no_rule(
            parts in prop::collection::vec((0.0..400.0_f64, 0.2..1.0_f64, 0.01..1.0_f64, 0_usize..2), 1..30),
            lots: bool,
            money: bool,
        ) {
            let demand = |&(plants, survival, ..): &(f64, f64, f64, usize)| {
                demand_of(1, plants, plants / survival)
            };
            let demands: Vec<ZoneDemand> = parts.iter().map(demand).collect();
            let given: Vec<Vec<Given>> = parts
                .iter()
                .map(|&(_, _, share, season)| vec![Given { line: 0, season, share }])
                .collect();
            let exact = |season: usize| -> f64 {
                let own = parts.iter().zip(&demands).filter(|(part, _)| part.3 == season);
                own.map(|(part, demand)| demand.lines[0].order * part.2).sum()
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
            // As many days as the longer winter takes to the last bit.
            let longest = |season: usize| -> f64 {
                let own = parts.iter().zip(&demands).filter(|(part, _)| part.3 == season);
                own.map(|(part, demand)| demand.lines[0].person_days * part.2).sum()
            };
            let days = longest(0).max(longest(1)).ceil().max(1.0);
            let labour = LabourRules { people: Some(1), days: Some(days as u32), ..LabourRules::usual() };
            let rules = MosaicRules {
                budget_nzd: money.then_some(budget),
                ..MosaicRules::usual()
            };
            let blocks = count_blocks(&given, &demands, &library, &seasons, (&rules, &labour));
            let told = broken_rules(&blocks, &library, &seasons, (&rules, &labour));
            let is_told = |limit: Limit| told.iter().any(|broken| broken.limit == limit);
            prop_assert!(lots || told.is_empty(), "{told:?}");
            for (season, supply) in [first.ceil(), second.ceil()].into_iter().enumerate() {
                let own = blocks.iter().filter(|block| block.season == season);
                let ordered: u64 = own.map(|block| block.order_qty).sum();
                prop_assert!(ordered as f64 <= supply, "{ordered} of {supply}");
                let lot = line.min_lot.unwrap_or(0);
                let is_whole = ordered == 0 || ordered >= u64::from(lot);
                prop_assert_eq!(!is_whole, is_told(Limit::Lot { line: 0, season }), "{} of {}", ordered, lot);
            }
            for season in 0..2 {
                let worked = worked(&blocks, |block| block.season == season);
                let is_within = worked <= days + LAST_DIGIT;
                prop_assert_eq!(!is_within, is_told(Limit::SeasonDays { season }), "{} of {}", worked, days);
            }
            let spent: f64 = blocks.iter().map(|block| block.cost_nzd).sum();
            let ordered: u64 = blocks.iter().map(|block| block.order_qty).sum();
            prop_assert!((spent - ordered as f64 * price).abs() < 1e-6);
            let is_within = !money || spent <= budget + CENT;
            prop_assert_eq!(!is_within, is_told(Limit::Budget), "{} of {}", spent, budget);
            for (block, part) in blocks.iter().zip(&parts) {
                let plants = part.0 * part.2;
                let apart = (block.seedlings as f64 - plants).abs();
                let most: f64 = parts.iter().map(|part| 2.0 / part.1 + 1.0).sum();
                prop_assert!(apart <= most + 2.0, "{block:?} of {plants}");
            }
        }
    }
}
