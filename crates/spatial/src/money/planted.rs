//! What the money hangs on in a plan.

use std::collections::BTreeMap;
use std::path::Path;

use serde::Deserialize;
use stock::Library;

use super::costs::Costs;
use crate::plan::{WHY_NOTHING, plan_file};
use crate::problem::Problem;
use crate::site::Site;

/// A plan, as far as money asks.
#[derive(Debug, Deserialize)]
#[serde(from = "Record")]
pub(super) struct Planted {
    pub(super) site: String,
    pub(super) blocks: Vec<Block>,
    /// Cost of plants and planting, as the plan tells it.
    pub(super) told_cost_nzd: f64,
    /// Zones that are planted, in order.
    pub(super) zones: Vec<String>,
    /// Year of the first winter; `None`: the plan names none.
    pub(super) first_year: Option<i32>,
}

/// One line in one zone and winter.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Block {
    /// Place of its zone among those that are planted.
    pub(super) zone: usize,
    pub(super) stock_id: String,
    /// Years after the first winter.
    pub(super) year: usize,
    pub(super) plan_ha: f64,
    pub(super) seedlings: u64,
    pub(super) order_qty: u64,
    /// Share expected to live, 0 to 1.
    pub(super) survival: f64,
}

#[derive(Deserialize)]
struct Record {
    site: String,
    blocks: Vec<RecordBlock>,
    line_orders: Vec<RecordOrder>,
    totals: RecordTotals,
}

#[derive(Deserialize)]
struct RecordBlock {
    zone_id: String,
    stock_id: String,
    season: Option<i32>,
    plan_area_ha: f64,
    seedlings: u64,
    order_qty: u64,
}

#[derive(Deserialize)]
struct RecordOrder {
    stock_id: String,
    season: Option<i32>,
    survival: f64,
}

#[derive(Deserialize)]
struct RecordTotals {
    cost_nzd: f64,
}

impl From<Record> for Planted {
    fn from(record: Record) -> Self {
        let survival: BTreeMap<(&str, Option<i32>), f64> = record
            .line_orders
            .iter()
            .map(|order| ((order.stock_id.as_str(), order.season), order.survival))
            .collect();
        let mut zones: Vec<String> =
            record.blocks.iter().map(|block| block.zone_id.clone()).collect();
        zones.sort();
        zones.dedup();
        let first_year = record.blocks.iter().filter_map(|block| block.season).min();
        let block = |one: &RecordBlock| Block {
            zone: zones.binary_search(&one.zone_id).unwrap_or_default(),
            stock_id: one.stock_id.clone(),
            year: one
                .season
                .zip(first_year)
                .map_or(0, |(year, first)| year.abs_diff(first) as usize),
            plan_ha: one.plan_area_ha,
            seedlings: one.seedlings,
            order_qty: one.order_qty,
            survival: survival
                .get(&(one.stock_id.as_str(), one.season))
                .map_or(1.0, |share| share.clamp(0.0, 1.0)),
        };
        let blocks = record.blocks.iter().map(block).collect();
        Self { site: record.site, blocks, told_cost_nzd: record.totals.cost_nzd, zones, first_year }
    }
}

/// Most years between the first and the last winter of a plan.
const MOST_YEARS: usize = 100;

impl Planted {
    /// Planted hectares of map.
    pub(super) fn planted_ha(&self) -> f64 {
        self.blocks.iter().map(|block| block.plan_ha).sum()
    }

    /// Year of the calendar; `None`: the plan names none.
    pub(super) fn calendar_year(&self, year: usize) -> Option<i32> {
        Some(self.first_year?.saturating_add(i32::try_from(year).ok()?))
    }

    /// Hectares planted in each winter.
    pub(super) fn ground(&self) -> BTreeMap<usize, f64> {
        let mut ground = BTreeMap::new();
        for block in &self.blocks {
            *ground.entry(block.year).or_default() += block.plan_ha;
        }
        ground
    }

    /// Refuses a plan that plants nothing, or that has lines the stock file does not.
    pub(super) fn check(&self, folder: Option<&Path>, library: &Library) -> Result<(), Problem> {
        let problem = |item: &str| {
            let problem = Problem::error(item);
            folder.map_or(problem.clone(), |folder| problem.file(plan_file(folder)))
        };
        let sound = |block: &Block| block.plan_ha.is_finite() && block.plan_ha >= 0.0;
        if !self.blocks.iter().all(sound) || self.planted_ha() <= 0.0 {
            return Err(problem("blocks")
                .found("nothing that is planted")
                .expected("a plan with blocks")
                .remedy(WHY_NOTHING));
        }
        if self.blocks.iter().any(|block| block.year > MOST_YEARS) {
            return Err(problem("season")
                .found(format!("winters more than {MOST_YEARS} years apart"))
                .expected("winters of one plan")
                .remedy("make the plan again with `hillweave plan`"));
        }
        match self.blocks.iter().find(|block| library.find(&block.stock_id).is_none()) {
            Some(block) => Err(problem("stock_id")
                .found(format!("`{}`", block.stock_id))
                .expected("a line of the stock file")
                .remedy("make the plan again: the stock file has changed since")),
            None => Ok(()),
        }
    }

    /// What is worth a look.
    pub(super) fn warnings(&self, costs: &Costs, site: &Site, library: &Library) -> Vec<Problem> {
        let mut warnings = Vec::new();
        let mut bare: Vec<&str> = self
            .blocks
            .iter()
            .filter_map(|block| library.find(&block.stock_id))
            .filter(|(_, stock)| stock.price_nzd.is_none())
            .map(|(_, stock)| stock.name.as_str())
            .collect();
        bare.sort_unstable();
        bare.dedup();
        if !bare.is_empty() {
            warnings.push(
                Problem::warning("price_nzd")
                    .file(&site.stock)
                    .found(format!("no price for {}", bare.join(", ")))
                    .expected("what one plant costs")
                    .remedy("ask the nursery; until then these plants count as nothing"),
            );
        }
        if site.mosaic.planting_nzd <= 0.0 {
            warnings.push(
                Problem::warning("mosaic.planting_nzd")
                    .file(&site.file)
                    .found("no cost of planting")
                    .expected("what it costs to put one plant into the ground")
                    .remedy("set it; until then planting and blanking count as nothing but plants"),
            );
        }
        let now = costs.plants_and_planting_nzd();
        if (now - self.told_cost_nzd).abs() > 0.01 * (1.0 + self.zones.len() as f64) {
            warnings.push(
                Problem::warning("totals.cost_nzd")
                    .found(format!(
                        "{:.2} in the plan, {now:.2} by the prices of today",
                        self.told_cost_nzd
                    ))
                    .expected("the same prices")
                    .remedy("make the plan again: prices may change what is planted where"),
            );
        }
        warnings
    }
}
