//! What a plan plants where, one line in one zone at a time.

use std::collections::BTreeMap;

use geo::{Centroid, MultiPolygon};
use serde::Deserialize;
use stock::Flowering;

use super::Land;
use crate::pipeline::Property;
use crate::problem::Problem;
use crate::units::PlanHectares;

/// What is asked of a plan's record.
#[derive(Debug, Deserialize)]
pub(super) struct PlanRecord {
    reach: String,
    zones: Vec<ZoneRecord>,
    blocks: Vec<BlockRecord>,
}

#[derive(Debug, Deserialize)]
struct ZoneRecord {
    zone_id: String,
    elevation_min_m: f64,
    elevation_mean_m: f64,
    elevation_max_m: f64,
    plan_area_ha: f64,
}

#[derive(Debug, Deserialize)]
struct BlockRecord {
    zone_id: String,
    stock_id: String,
    plan_area_ha: f64,
    seedlings: u64,
    order_qty: u64,
}

/// All that is planted of one line in one zone, winters together.
#[derive(Debug, Clone)]
pub(super) struct Block {
    /// Position of the line in the library.
    pub(super) line: usize,
    pub(super) stock_id: String,
    pub(super) stock_name: String,
    /// Position of the zone among those planted.
    pub(super) zone: usize,
    pub(super) flowering: Option<Flowering>,
    pub(super) plan_ha: PlanHectares,
    pub(super) seedlings: u64,
    pub(super) order_qty: u64,
    /// What its plants cost; `None`: the line has no price.
    pub(super) plants_nzd: Option<f64>,
}

/// A zone in which something is planted.
#[derive(Debug, Clone)]
pub(super) struct SownZone {
    pub(super) id: String,
    /// Lowest, mean and highest elevation, metres.
    pub(super) elevation_m: [f64; 3],
    /// Share of it that is planted.
    pub(super) sown_share: f64,
    pub(super) geometry: MultiPolygon<f64>,
}

/// What is planted.
#[derive(Debug, Clone)]
pub(super) struct Sown {
    pub(super) zones: Vec<SownZone>,
    /// By line, then by zone.
    pub(super) blocks: Vec<Block>,
}

impl Sown {
    /// Mean elevation of the planted ground, metres.
    pub(super) fn elevation_m(&self) -> f64 {
        let all: f64 = self.blocks.iter().map(|block| block.plan_ha.0).sum();
        let height = |block: &Block| self.zones[block.zone].elevation_m[1] * block.plan_ha.0;
        self.blocks.iter().map(height).sum::<f64>() / all
    }

    /// Middle of the planted ground, easting and northing: the mean of its zones' own, by area.
    pub(super) fn middle(&self) -> [f64; 2] {
        let mut sums = [0.0; 3];
        for block in &self.blocks {
            if let Some(at) = self.zones[block.zone].geometry.centroid() {
                for (sum, value) in sums.iter_mut().zip([at.x(), at.y(), 1.0]) {
                    *sum += value * block.plan_ha.0;
                }
            }
        }
        [sums[0] / sums[2], sums[1] / sums[2]]
    }
}

/// Largest difference of a zone's area from that of the plan at which it is the same zone.
const SAME_AREA: f64 = 1e-6;

/// Joins the plan's blocks to zones and stock.
///
/// # Errors
/// When the plan plants nothing, or its zones or lines are not those of the site as it is now.
pub(super) fn sown(land: &Land) -> Result<Sown, Vec<Problem>> {
    let (plan, Property { library, zones, site, .. }) = (&land.plan, &**land);
    let fault = |item: String| {
        let problem = Problem::error(item);
        problem.file(land.plan_file.clone().unwrap_or_else(|| site.file.clone()))
    };
    let again = "make the plan again with `hillweave plan`, or leave the folder out";
    if plan.reach != "orders" || plan.blocks.is_empty() {
        let found = if plan.reach == "zones" { "a plan of zones alone" } else { "nothing planted" };
        let problem = fault("plan".to_owned()).found(found).expected("a plan with blocks");
        return Err(problem.remedy(again).into());
    }
    let mut problems = Vec::new();
    let mut all: BTreeMap<(usize, usize), Block> = BTreeMap::new();
    let records: BTreeMap<&str, (usize, &ZoneRecord)> = plan
        .zones
        .iter()
        .enumerate()
        .map(|(at, zone)| (zone.zone_id.as_str(), (at, zone)))
        .collect();
    for block in &plan.blocks {
        let line = library.find(&block.stock_id);
        let zone = records.get(block.zone_id.as_str());
        let (Some((line, stock)), Some((zone, _))) = (line, zone) else {
            let what = if line.is_none() { &block.stock_id } else { &block.zone_id };
            let problem = fault(format!("block of {} in {}", block.stock_id, block.zone_id));
            let problem = problem.found(format!("`{what}`, which the site does not have"));
            problems.push(problem.expected("lines and zones of the site as it is").remedy(again));
            continue;
        };
        let entry = all.entry((line, *zone)).or_insert_with(|| Block {
            line,
            stock_id: stock.id.clone(),
            stock_name: stock.name.clone(),
            zone: *zone,
            flowering: stock.flowering,
            plan_ha: PlanHectares(0.0),
            seedlings: 0,
            order_qty: 0,
            plants_nzd: stock.price_nzd.map(|_| 0.0),
        });
        entry.plan_ha += PlanHectares(block.plan_area_ha);
        entry.seedlings += block.seedlings;
        entry.order_qty += block.order_qty;
        let cost = stock.price_nzd.map(|price| price * block.order_qty as f64);
        entry.plants_nzd = entry.plants_nzd.zip(cost).map(|(sum, more)| sum + more);
    }
    let mut blocks: Vec<Block> = all.into_values().collect();
    // Zones in which something is planted, in the order of the plan.
    let mut used: Vec<usize> = blocks.iter().map(|block| block.zone).collect();
    used.sort_unstable();
    used.dedup();
    let mut sown = Vec::new();
    for at in &used {
        let record = &plan.zones[*at];
        let zone = zones.zones.iter().find(|zone| zone.id == record.zone_id);
        let is_same = |zone: &&crate::zones::Zone| {
            let own = PlanHectares::from_m2(zone.plan_m2).0;
            (own - record.plan_area_ha).abs() <= SAME_AREA * own
        };
        let Some(zone) = zone.filter(is_same) else {
            let problem = fault(format!("zone {}", record.zone_id));
            let problem = problem.found("a zone that the site does not draw as it is now");
            problems.push(problem.expected("the zones of the plan").remedy(again));
            continue;
        };
        let planted = blocks.iter().filter(|block| block.zone == *at);
        let planted_ha: f64 = planted.map(|block| block.plan_ha.0).sum();
        sown.push(SownZone {
            id: zone.id.clone(),
            elevation_m: [record.elevation_min_m, record.elevation_mean_m, record.elevation_max_m],
            sown_share: planted_ha / record.plan_area_ha,
            geometry: zone.geometry.clone(),
        });
    }
    if !problems.is_empty() {
        return Err(problems);
    }
    for block in &mut blocks {
        block.zone = used.binary_search(&block.zone).unwrap_or_default();
    }
    Ok(Sown { zones: sown, blocks })
}
