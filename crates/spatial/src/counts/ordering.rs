//! What each line is ordered in each winter: so many that the planted number lives with the chance
//! asked for, spares, the smallest lot, whole trays, in deliveries.

use stock::Library;
use tally::{Binomial, OrderRules, RoundedOrder, plants_for};

use super::blocks::cost_nzd;
use super::{BlockCount, largest_remainder, ordered, spent};
use crate::layout::ZoneDemand;
use crate::offers::Seasons;
use crate::site::{MosaicRules, OrderingRules};

/// The order of one line for one winter.
#[derive(Debug, Clone, PartialEq)]
pub struct LineOrder {
    /// Position of the stock.
    pub stock: usize,
    /// Planting season, counted from 0.
    pub season: usize,
    /// Plants in the ground, of which as many are to live.
    pub seedlings: u64,
    /// Share expected to live, over all its ground.
    pub survival: f64,
    /// What is needed, and what each rule adds, were there plants and money enough.
    pub asked: RoundedOrder,
    /// Plants to order.
    pub plants: u64,
    /// Why they are fewer than asked; `None`: they are not.
    pub held_by: Option<Holding>,
    /// Chance that as many live as are planted, if each lives or dies by itself.
    pub chance: f64,
    /// Plants of each delivery, the largest first.
    pub deliveries: Vec<u64>,
}

/// What holds an order back.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Holding {
    /// The line's supply, of the winter or in all.
    Supply,
    /// A budget, of the winter or in all.
    Budget,
}

/// Orders every line of every winter and shares each order out over its blocks by what they lose, so
/// that blocks add up to it; what blocks cost follows.
///
/// What is needed is the fewest plants of which the planted number lives with `confidence`, and never
/// fewer than planted ÷ survival. Ground of unlike survival is pooled: by Hoeffding 1956 (On the
/// distribution of the number of successes in independent trials) the pooled chance of meeting a number
/// below the mean is the lower one, so that the order errs upwards. Confidence, spares and trays take
/// what supplies and budgets leave; `blocks` come with what they take at the least.
///
/// Cost: lines × winters × the halvings of [`plants_for`].
pub fn order_lines(
    blocks: &mut [BlockCount],
    demands: &[ZoneDemand],
    library: &Library,
    seasons: &Seasons,
    (mosaic, rules): (&MosaicRules, &OrderingRules),
) -> Vec<LineOrder> {
    let mut orders = Vec::new();
    for season in 0..seasons.count {
        for line in 0..library.stocks().len() {
            let desk = Desk { demands, library, seasons, mosaic, rules, line, season };
            orders.extend(desk.order(blocks));
        }
    }
    orders
}

/// Where one line is ordered for one winter.
struct Desk<'a> {
    demands: &'a [ZoneDemand],
    library: &'a Library,
    seasons: &'a Seasons,
    mosaic: &'a MosaicRules,
    rules: &'a OrderingRules,
    line: usize,
    season: usize,
}

impl Desk<'_> {
    fn is_own(&self, block: &BlockCount) -> bool {
        (block.stock, block.season) == (self.line, self.season)
    }

    fn order(&self, blocks: &mut [BlockCount]) -> Option<LineOrder> {
        let own = || blocks.iter().filter(|block| self.is_own(block));
        let seedlings: u64 = own().map(|block| block.seedlings).sum();
        if seedlings == 0 {
            return None;
        }
        let alone = |block: &BlockCount| {
            block.seedlings as f64 / self.demands[block.zone].lines[self.line].survival()
        };
        let least: u64 = own().map(|block| block.order_qty).sum();
        let survival = seedlings as f64 / own().map(alone).sum::<f64>();
        let needed = plants_for(seedlings, survival, self.rules.confidence).unwrap_or(0).max(least);
        let (spare, tray) = (self.rules.spare, self.rules.tray);
        let lot = u64::from(self.library.stocks()[self.line].min_lot.unwrap_or(0));
        let asked = OrderRules { spare, lot, tray }.rounded(needed);
        let (plants, held_by) = self.held(asked, least, blocks);
        self.share_out(blocks, plants, alone);
        Some(LineOrder {
            stock: self.line,
            season: self.season,
            seedlings,
            survival,
            asked,
            plants,
            held_by,
            chance: Binomial::new(plants, survival).map_or(0.0, |all| all.at_least(seedlings)),
            deliveries: self.deliveries(plants),
        })
    }

    /// How many of the plants asked for can be had, `least` at any rate: whole trays where that many
    /// are still enough, else single plants.
    fn held(
        &self,
        asked: RoundedOrder,
        least: u64,
        blocks: &[BlockCount],
    ) -> (u64, Option<Holding>) {
        let by_supply = self.left_of_supply(blocks).saturating_add(least);
        let by_budget = self.left_of_budgets(blocks).saturating_add(least);
        let most = by_supply.min(by_budget);
        if asked.plants() <= most {
            return (asked.plants(), None);
        }
        let by = if by_supply <= by_budget { Holding::Supply } else { Holding::Budget };
        let trays = most - most % self.rules.tray;
        (if trays >= asked.needed { trays } else { most }, Some(by))
    }

    /// Plants of the line that nothing takes yet.
    fn left_of_supply(&self, blocks: &[BlockCount]) -> u64 {
        let stock = &self.library.stocks()[self.line];
        let left = |supply: Option<u64>, taken: f64| {
            supply.map_or(u64::MAX, |supply| supply.saturating_sub(taken as u64))
        };
        let year = self.seasons.year(self.season);
        let of_winter = year.and_then(|year| stock.supply_in(year));
        let in_all = ordered(blocks, |block| block.stock == self.line);
        left(self.seasons.supply(stock), in_all)
            .min(left(of_winter, ordered(blocks, |block| self.is_own(block))))
    }

    /// Plants of the line that budgets still pay for.
    fn left_of_budgets(&self, blocks: &[BlockCount]) -> u64 {
        let price = self.library.stocks()[self.line].price_nzd.unwrap_or(0.0);
        if price <= 0.0 {
            return u64::MAX;
        }
        let left = |budget: Option<f64>, spent: f64| {
            budget.map_or(u64::MAX, |budget| ((budget - spent).max(0.0) / price).floor() as u64)
        };
        let of_winter = spent(blocks, |block| block.season == self.season);
        left(self.mosaic.budget_nzd, spent(blocks, |_| true))
            .min(left(self.mosaic.season_budget_nzd, of_winter))
    }

    /// Gives each block its part of the order.
    fn share_out(
        &self,
        blocks: &mut [BlockCount],
        plants: u64,
        alone: impl Fn(&BlockCount) -> f64,
    ) {
        let own: Vec<usize> = (0..blocks.len()).filter(|at| self.is_own(&blocks[*at])).collect();
        let whole: f64 = own.iter().map(|at| alone(&blocks[*at])).sum();
        let parts: Vec<f64> =
            own.iter().map(|at| plants as f64 * (alone(&blocks[*at]) / whole)).collect();
        let stock = &self.library.stocks()[self.line];
        for (at, part) in own.into_iter().zip(largest_remainder(&parts)) {
            let block = &mut blocks[at];
            block.order_qty = part;
            block.cost_nzd = cost_nzd(block.seedlings, part, stock, self.mosaic);
        }
    }

    /// As few deliveries as hold the order, as even as whole trays allow.
    fn deliveries(&self, plants: u64) -> Vec<u64> {
        let tray = self.rules.tray.get();
        let trays = plants.div_ceil(tray);
        // A delivery brings a tray at least.
        let most = self.rules.delivery_most.map_or(trays, |most| (most / tray).max(1));
        let number = trays.div_ceil(most.max(1));
        let mut left = plants;
        let delivery = |at: u64| {
            let own = trays / number + u64::from(at < trays % number);
            let own = (own * tray).min(left);
            left -= own;
            own
        };
        (0..number).map(delivery).collect()
    }
}

#[cfg(test)]
mod tests;
