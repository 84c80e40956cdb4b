//! What a step did to the plan.

use std::collections::{BTreeMap, BTreeSet};

use geo::{CoordsIter, MultiPolygon};
use serde::Serialize;
use spatial::plan::Plan;

use crate::plan_now::PlanNow;

/// What a step did.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub(crate) struct Told {
    /// The step in words.
    pub(crate) words: String,
    /// Figures that a person watches, before and after.
    pub(crate) figures: Vec<Figure>,
    /// Zones on which something else stands, or that are drawn otherwise.
    pub(crate) zones_changed: Vec<String>,
    /// Whether a plan could be made.
    pub(crate) planned: bool,
}

/// A figure before and after.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub(crate) struct Figure {
    /// Its name.
    pub(crate) name: &'static str,
    /// Its unit.
    pub(crate) unit: &'static str,
    /// Before the step.
    pub(crate) before: f64,
    /// After it.
    pub(crate) after: f64,
}

impl Told {
    /// A step after which no plan could be made.
    pub(crate) fn nothing(words: String) -> Self {
        Self { words, figures: Vec::new(), zones_changed: Vec::new(), planned: false }
    }
}

/// What a step did.
pub(crate) fn differences(words: String, before: &PlanNow, after: &PlanNow) -> Told {
    let (a, b) = (&before.plan, &after.plan);
    let figure =
        |name, unit, of: &dyn Fn(&Plan) -> f64| Figure { name, unit, before: of(a), after: of(b) };
    // Planters that nobody has put a price on are in no figure.
    let cost = if after.fitted.site.mosaic.planting_nzd > 0.0 {
        "cost of plants and planting"
    } else {
        "cost of plants alone"
    };
    Told {
        words,
        figures: vec![
            figure("plants into the ground", "plants", &|plan| plan.totals.seedlings as f64),
            figure("plants to order", "plants", &|plan| plan.totals.order_qty as f64),
            figure(cost, "NZ$", &|plan| plan.totals.cost_nzd),
            Figure {
                name: "plants without a price",
                unit: "plants",
                before: without_a_price(before),
                after: without_a_price(after),
            },
            figure("planted", "ha of map", &|plan| plan.totals.planted_plan_ha.0),
            figure("no line stands on", "ha of map", &|plan| plan.totals.left_plan_ha.0),
            figure("mean fit of what is planted", "0 to 1", &Plan::mean_fit),
            figure("days of one person", "days", &|plan| plan.totals.person_days),
        ],
        zones_changed: changed(a, b),
        planned: true,
    }
}

/// Plants to order of lines that nobody has put a price on: no cost counts them.
fn without_a_price(now: &PlanNow) -> f64 {
    let stocks = now.fitted.library.stocks();
    let has_price =
        |id: &str| stocks.iter().any(|stock| stock.id == id && stock.price_nzd.is_some());
    let orders = now.plan.orders.iter().filter(|order| !has_price(&order.stock_id));
    orders.map(|order| order.order_qty as f64).sum()
}

/// A zone by its ground and what stands on it, whatever its name.
struct On<'p> {
    shape: &'p MultiPolygon<f64>,
    blocks: BTreeSet<(&'p str, Option<i32>, u64, u64)>,
}

impl On<'_> {
    /// Where its border begins and how long it is: zones of one plan seldom share it.
    fn key(&self) -> (Option<[u64; 2]>, usize) {
        let first = self.shape.coords_iter().next();
        (first.map(|at| [at.x.to_bits(), at.y.to_bits()]), self.shape.coords_count())
    }
}

fn on_zones(plan: &Plan) -> BTreeMap<&str, On<'_>> {
    let mut zones: BTreeMap<&str, On<'_>> = plan
        .zones
        .iter()
        .map(|zone| (&*zone.zone_id, On { shape: &zone.geometry, blocks: BTreeSet::new() }))
        .collect();
    for block in &plan.blocks {
        if let Some(on) = zones.get_mut(&*block.zone_id) {
            on.blocks.insert((
                &block.stock_id,
                block.season,
                block.share.to_bits(),
                block.density_sph.to_bits(),
            ));
        }
    }
    zones
}

fn changed(a: &Plan, b: &Plan) -> Vec<String> {
    let mut before: BTreeMap<_, Vec<On<'_>>> = BTreeMap::new();
    for on in on_zones(a).into_values() {
        before.entry(on.key()).or_default().push(on);
    }
    let is_new = |(_, on): &(&str, On<'_>)| {
        let same = |was: &On<'_>| was.shape == on.shape && was.blocks == on.blocks;
        !before.get(&on.key()).is_some_and(|all| all.iter().any(same))
    };
    on_zones(b).into_iter().filter(is_new).map(|(id, _)| id.to_owned()).collect()
}
