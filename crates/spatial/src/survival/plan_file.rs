//! What was planted, from the `plan.json` of an earlier run.

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

use serde::{Deserialize, Serialize};

use crate::plan::{plan_file, read_plan};
use crate::problem::Problem;

/// What a plan puts into the ground, as far as a survey asks.
#[derive(Debug, Clone, PartialEq)]
pub struct PlantedPlan {
    /// The file it was read from.
    pub file: PathBuf,
    /// Name of the property.
    pub site: String,
    /// Names of all zones, in the order of the plan.
    pub zones: Vec<String>,
    /// What is planted, zone by zone and line by line, in the order of the plan.
    pub planted: Vec<ZoneLine>,
    /// Winters that were taken in, in order; empty where the plan names none.
    pub seasons: Vec<i32>,
    /// Cautions of the plan.
    pub cautions: Vec<PlanCaution>,
}

/// One line in one zone; the winters of the plan together.
#[derive(Debug, Clone, PartialEq)]
pub struct ZoneLine {
    /// Its zone.
    pub zone_id: String,
    /// Its stock.
    pub stock_id: String,
    /// Name of the stock.
    pub stock_name: String,
    /// Plants that go into the ground.
    pub seedlings: u64,
    /// Plants ordered, losses included.
    pub order_qty: u64,
    /// Mean slope of the zone, degrees; `None` where it is not known.
    pub slope_deg: Option<f64>,
}

/// Something people on the ground must know.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct PlanCaution {
    /// What it is about.
    pub about: String,
    /// Zones concerned.
    pub zones: Vec<String>,
    /// What to do.
    pub text: String,
}

impl PlantedPlan {
    /// What is planted of a line in a zone; `None`: nothing.
    #[must_use]
    pub fn find(&self, zone_id: &str, stock_id: &str) -> Option<&ZoneLine> {
        self.planted.iter().find(|line| line.zone_id == zone_id && line.stock_id == stock_id)
    }

    /// Ids of the lines that are planted, each once, in order.
    #[must_use]
    pub fn stock_ids(&self) -> BTreeSet<&str> {
        self.planted.iter().map(|line| line.stock_id.as_str()).collect()
    }
}

#[derive(Deserialize)]
struct Told {
    site: String,
    zones: Vec<ToldZone>,
    blocks: Vec<ToldBlock>,
    orders: Vec<ToldOrder>,
    #[serde(default)]
    cautions: Vec<PlanCaution>,
}

#[derive(Deserialize)]
struct ToldZone {
    zone_id: String,
    slope_mean_deg: Option<f64>,
}

#[derive(Deserialize)]
struct ToldBlock {
    zone_id: String,
    stock_id: String,
    season: Option<i32>,
    seedlings: u64,
    order_qty: u64,
}

#[derive(Deserialize)]
struct ToldOrder {
    stock_id: String,
    name: String,
}

/// Reads the plan of a folder; with `season`, what is planted in that winter alone.
///
/// # Errors
/// When there is no plan, it is of another version or shape, or nothing is planted in it.
pub fn read_planted(folder: &Path, season: Option<i32>) -> Result<PlantedPlan, Problem> {
    let file = plan_file(folder);
    let told: Told = read_plan(folder)?;
    let years: BTreeSet<i32> = told.blocks.iter().filter_map(|block| block.season).collect();
    let blocks: Vec<&ToldBlock> =
        told.blocks.iter().filter(|block| season.is_none() || block.season == season).collect();
    if blocks.is_empty() {
        return Err(nothing_planted(&file, season, &years));
    }
    let planted = told.planted(&blocks);
    let seasons: BTreeSet<i32> = blocks.iter().filter_map(|block| block.season).collect();
    Ok(PlantedPlan {
        site: told.site,
        zones: told.zones.into_iter().map(|zone| zone.zone_id).collect(),
        planted,
        seasons: seasons.into_iter().collect(),
        cautions: told.cautions,
        file,
    })
}

impl Told {
    /// Blocks of one zone and line put together, in the order of the plan.
    fn planted(&self, blocks: &[&ToldBlock]) -> Vec<ZoneLine> {
        let names: BTreeMap<&str, &str> =
            self.orders.iter().map(|order| (&*order.stock_id, &*order.name)).collect();
        let slopes: BTreeMap<&str, Option<f64>> =
            self.zones.iter().map(|zone| (&*zone.zone_id, zone.slope_mean_deg)).collect();
        let mut places = BTreeMap::new();
        let mut planted: Vec<ZoneLine> = Vec::new();
        for block in blocks {
            let (zone, stock) = (&*block.zone_id, &*block.stock_id);
            let place = *places.entry((zone, stock)).or_insert_with(|| {
                planted.push(ZoneLine {
                    zone_id: zone.to_owned(),
                    stock_id: stock.to_owned(),
                    stock_name: names.get(stock).copied().unwrap_or(stock).to_owned(),
                    seedlings: 0,
                    order_qty: 0,
                    slope_deg: slopes.get(zone).copied().flatten(),
                });
                planted.len() - 1
            });
            let line = &mut planted[place];
            line.seedlings = line.seedlings.saturating_add(block.seedlings);
            line.order_qty = line.order_qty.saturating_add(block.order_qty);
        }
        planted
    }
}

fn nothing_planted(file: &Path, season: Option<i32>, years: &BTreeSet<i32>) -> Problem {
    let Some(season) = season else {
        return Problem::error("blocks")
            .file(file)
            .found("a plan in which nothing is planted")
            .expected("blocks")
            .remedy("make the plan without `--only zones`");
    };
    let years: Vec<String> = years.iter().map(ToString::to_string).collect();
    let expected =
        if years.is_empty() { "no winter: the plan names none".into() } else { years.join(" or ") };
    Problem::error("--season")
        .file(file)
        .found(season.to_string())
        .expected(expected)
        .remedy("name a winter of the plan, or leave the option out")
}

#[cfg(test)]
mod tests {
    use super::super::fixture;
    use super::*;
    use crate::write::PLAN_JSON;

    #[test]
    fn blocks_of_one_zone_and_line_are_taken_together() {
        let room = fixture::room();
        let plan = read_planted(room.path(), None).unwrap();
        let told: Vec<_> = plan
            .planted
            .iter()
            .map(|line| (line.zone_id.as_str(), line.stock_id.as_str(), line.seedlings))
            .collect();
        assert_eq!(told, [("Z001", "amber", 1_000), ("Z001", "tops", 400), ("Z002", "amber", 600)]);
        assert_eq!(plan.seasons, [2027, 2028]);
        assert_eq!(plan.find("Z001", "tops").unwrap().stock_name, "Kestrel tops");
        assert_eq!(plan.stock_ids().into_iter().collect::<Vec<_>>(), ["amber", "tops"]);
        assert_eq!(read_planted(&room.path().join(PLAN_JSON), None).unwrap(), plan);
    }

    #[test]
    fn one_winter_is_what_is_planted_in_it() {
        let room = fixture::room();
        let plan = read_planted(room.path(), Some(2028)).unwrap();
        assert_eq!(plan.seasons, [2028]);
        assert_eq!(plan.find("Z001", "amber").unwrap().seedlings, 300);
        assert_eq!(plan.find("Z002", "amber"), None);
        let refused = read_planted(room.path(), Some(2031)).unwrap_err();
        assert_eq!(
            (refused.item.as_str(), refused.expected.as_str()),
            ("--season", "2027 or 2028")
        );
    }

    #[test]
    fn what_is_no_plan_is_refused_with_a_remedy() {
        for (from, to, item) in [
            ("hillweave.plan/1", "hillweave.plan/9", "schema"),
            ("\"zone_id\"", "\"zone\"", "plan"),
            ("{", "", "plan"),
            ("1000", "-1000", "plan"),
        ] {
            let room = fixture::room();
            let file = room.path().join(PLAN_JSON);
            let text = fixture::PLAN.replace("700", "1000").replacen(from, to, 1);
            std::fs::write(&file, text).unwrap();
            let refused = read_planted(room.path(), None).unwrap_err();
            assert_eq!(refused.item, item, "{to}: {refused}");
            assert!(!refused.remedy.is_empty() && !refused.expected.is_empty(), "{refused}");
        }
        let room = fixture::room();
        let zones = fixture::PLAN.split("\"blocks\"").next().unwrap();
        let only_zones = format!("{zones}\"blocks\": [], \"orders\": []}}");
        std::fs::write(room.path().join(PLAN_JSON), only_zones).unwrap();
        let refused = read_planted(room.path(), None).unwrap_err();
        assert!(refused.remedy.contains("--only zones"), "{refused}");
        let lost = read_planted(&room.path().join("lost"), None).unwrap_err();
        assert!(lost.remedy.contains("hillweave plan"), "{lost}");
    }
}
