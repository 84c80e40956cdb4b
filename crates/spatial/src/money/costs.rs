//! What the work costs: by zone, stage and year, to the cent.

use std::collections::BTreeMap;

use ledger::Flows;
use stock::Library;

use super::planted::{Block, Planted};
use super::rows::{CostRow, StageRow, ZoneCostRow};
use super::stage::Stage;
use crate::counts::largest_remainder;
use crate::problem::Problem;
use crate::site::{BlankingPlants, Site};

/// Costs in cents by stage and year: one for each planted zone, and one for the property at the end.
///
/// A sum of a stage and year is rounded once; zones get whole cents of it by largest remainder, so that every
/// table adds up to the cent.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Costs {
    cents: BTreeMap<(Stage, usize), Vec<u64>>,
}

/// More than any work costs, cents of one stage and year.
const MOST_CENTS: f64 = 1e15;

/// How the table of costs names what belongs to no zone.
const PROPERTY: &str = "property";

impl Costs {
    /// Reckons them.
    ///
    /// # Errors
    /// When prices are so high that no sum can be held.
    pub(super) fn of(plan: &Planted, site: &Site, library: &Library) -> Result<Self, Problem> {
        let rules = &site.money;
        let places = plan.zones.len() + 1;
        let mut sums: BTreeMap<(Stage, usize), Vec<f64>> = BTreeMap::new();
        let mut add = |stage: Stage, year: usize, place: usize, nzd: f64| {
            sums.entry((stage, year)).or_insert_with(|| vec![0.0; places])[place] += nzd * 100.0;
        };
        for block in &plan.blocks {
            let price = library.find(&block.stock_id).and_then(|(_, stock)| stock.price_nzd);
            let price = price.unwrap_or(0.0);
            let (year, zone, ha) = (block.year, block.zone, block.plan_ha);
            let planting = site.mosaic.planting_nzd;
            add(Stage::Preparation, year, zone, ha * rules.preparation_nzd_per_ha);
            add(Stage::Plants, year, zone, block.order_qty as f64 * price);
            add(Stage::Planting, year, zone, block.seedlings as f64 * planting);
            for later in 0..rules.release_times {
                add(Stage::Release, year + later, zone, ha * rules.release_nzd_per_ha);
            }
            for later in 0..rules.pest_years {
                add(Stage::Pests, year + later, zone, ha * rules.pests_nzd_per_ha_year);
            }
            let (again, bought) = blanked(block, rules.blanking_plants);
            add(Stage::Blanking, year + 1, zone, again * planting + bought * price);
        }
        let fence = rules.fence_m.unwrap_or(0.0) * rules.fencing_nzd_per_m;
        add(Stage::Fencing, 0, places - 1, fence);
        let mut cents = BTreeMap::new();
        for (key, amounts) in sums {
            let sum: f64 = amounts.iter().sum();
            if !(sum.is_finite() && sum < MOST_CENTS) {
                return Err(too_dear(key.0));
            }
            cents.insert(key, largest_remainder(&amounts));
        }
        let mut costs = Self { cents };
        costs.add_overhead(rules.overhead_share);
        costs.cents.retain(|_, cents| cents.iter().any(|cents| *cents > 0));
        Ok(costs)
    }

    /// Adds a share of every year's other costs, place by place.
    fn add_overhead(&mut self, share: f64) {
        let mut sums: BTreeMap<usize, Vec<f64>> = BTreeMap::new();
        for ((_, year), cents) in &self.cents {
            let sum = sums.entry(*year).or_insert_with(|| vec![0.0; cents.len()]);
            sum.iter_mut().zip(cents).for_each(|(sum, cents)| *sum += *cents as f64 * share);
        }
        for (year, amounts) in sums {
            self.cents.insert((Stage::Overhead, year), largest_remainder(&amounts));
        }
    }

    /// Cents of the rows that are meant.
    fn sum(&self, is_meant: impl Fn(Stage, usize, usize) -> bool) -> u64 {
        let rows = self.cents.iter().flat_map(|((stage, year), cents)| {
            cents.iter().enumerate().map(move |(place, cents)| (*stage, *year, place, *cents))
        });
        rows.filter(|(stage, year, place, _)| is_meant(*stage, *year, *place))
            .map(|(.., cents)| cents)
            .sum()
    }

    /// All costs, NZ$.
    pub(super) fn total_nzd(&self) -> f64 {
        nzd(self.sum(|_, _, _| true))
    }

    /// What the plan's own total counts.
    pub(super) fn plants_and_planting_nzd(&self) -> f64 {
        nzd(self.sum(|stage, _, _| matches!(stage, Stage::Plants | Stage::Planting)))
    }

    /// Costs of one stage by year, above 0.
    pub(super) fn flows(&self, stage: Stage) -> Flows {
        let mut flows = Flows::default();
        for ((of, year), cents) in self.cents.range((stage, 0)..=(stage, usize::MAX)) {
            debug_assert_eq!(*of, stage);
            flows.add(*year, nzd(cents.iter().sum()));
        }
        flows
    }

    /// Years with costs, the first too.
    pub(super) fn years(&self) -> usize {
        self.cents.keys().map(|(_, year)| year + 1).max().unwrap_or(0)
    }

    /// Totals of the stages that cost anything.
    pub(super) fn stage_rows(&self) -> Vec<StageRow> {
        let row = |stage: Stage| {
            let cents = self.sum(|of, _, _| of == stage);
            (cents > 0).then(|| StageRow { stage: stage.key(), cost_nzd: nzd(cents) })
        };
        Stage::ALL.into_iter().filter_map(row).collect()
    }

    /// Totals of zones, the property's own last.
    pub(super) fn zone_rows(&self, plan: &Planted) -> Vec<ZoneCostRow> {
        let hectares = |place: usize| -> f64 {
            plan.blocks.iter().filter(|block| block.zone == place).map(|block| block.plan_ha).sum()
        };
        let row = |place: usize| {
            let cents = self.sum(|_, _, of| of == place);
            (cents > 0).then(|| ZoneCostRow {
                zone_id: name_of(plan, place),
                planted_plan_ha: hectares(place),
                cost_nzd: nzd(cents),
            })
        };
        (0..=plan.zones.len()).filter_map(row).collect()
    }

    /// Every cost that is not 0: by zone, stage and year.
    pub(super) fn rows(&self, plan: &Planted) -> Vec<CostRow> {
        let mut rows: Vec<(usize, CostRow)> = Vec::new();
        for ((stage, year), cents) in &self.cents {
            let spent = cents.iter().enumerate().filter(|(_, cents)| **cents > 0);
            rows.extend(spent.map(|(place, cents)| {
                let row = CostRow {
                    zone_id: name_of(plan, place),
                    stage: stage.key(),
                    year: *year,
                    calendar_year: plan.calendar_year(*year),
                    cost_nzd: nzd(*cents),
                };
                (place, row)
            }));
        }
        rows.sort_by_key(|(place, _)| *place);
        rows.into_iter().map(|(_, row)| row).collect()
    }
}

/// Plants that are planted again, and those of them that are bought anew: as many as are expected to die of
/// the plants in the ground. What dies of these is not followed.
fn blanked(block: &Block, plants: BlankingPlants) -> (f64, f64) {
    let again = block.seedlings as f64 * (1.0 - block.survival);
    let over = block.order_qty.saturating_sub(block.seedlings) as f64;
    match plants {
        BlankingPlants::Order => (again, (again - over).max(0.0)),
        BlankingPlants::New => (again, again),
    }
}

fn name_of(plan: &Planted, place: usize) -> String {
    plan.zones.get(place).map_or_else(|| PROPERTY.to_owned(), Clone::clone)
}

/// Cents as NZ$: the nearest number that can be held.
fn nzd(cents: u64) -> f64 {
    cents as f64 / 100.0
}

fn too_dear(stage: Stage) -> Problem {
    Problem::error(format!("cost of {}", stage.key()))
        .found("a sum beyond ten million million NZ$")
        .expected("prices in NZ$")
        .remedy("mend the price in the stock file or the keys of [money] and [mosaic]")
}
