//! What a plan sets where.

use std::collections::BTreeMap;

use serde::Deserialize;
use stock::Library;

use super::kinds::{Footing, Part};
use crate::layout::expected_survival;
use crate::problem::Problem;
use crate::site::Site;
use crate::units::{AreaBasis, M2_PER_HA};
use crate::zones::Zones;

/// Years in which anybody plants.
const YEARS: std::ops::RangeInclusive<i32> = 1..=9_999;

/// What is asked of a plan's record.
#[derive(Debug, Deserialize)]
pub(crate) struct Told {
    pub(super) zones: Vec<ZoneTold>,
    pub(super) blocks: Vec<BlockTold>,
    pub(super) fits: Vec<FitTold>,
}

/// How well a line fits a zone.
#[derive(Debug, Deserialize)]
pub(in crate::checks) struct FitTold {
    zone_id: String,
    stock_id: String,
    fit: f64,
}

/// A zone of it.
#[derive(Debug, Deserialize)]
pub(in crate::checks) struct ZoneTold {
    zone_id: String,
    plan_area_ha: f64,
    pub(super) left_reason: String,
}

/// A block of it.
#[derive(Debug, Deserialize)]
pub(in crate::checks) struct BlockTold {
    zone_id: String,
    stock_id: String,
    season: Option<i32>,
    share: f64,
    seedlings: u64,
}

/// Plants of one line and winter in one zone.
#[derive(Debug, Clone)]
pub(in crate::checks) struct Block {
    /// Position of the line in the stock.
    pub(in crate::checks) line: usize,
    /// Years after the first planting winter.
    pub(super) years: f64,
    /// Share of the zone.
    pub(in crate::checks) share: f64,
    /// Plants that it sets over those that the density rules give.
    pub(super) scale: f64,
    /// Plants that the plan sets.
    pub(in crate::checks) plants: u64,
}

#[cfg(test)]
impl Block {
    /// One that needs no scaling.
    pub(super) fn made_up(line: usize, years: f64, share: f64, scale: f64) -> Self {
        Self { line, years, share, scale, plants: 0 }
    }

    /// One of the first winter, of which only plants are asked.
    pub(in crate::checks) fn of_plants(line: usize, share: f64, plants: u64) -> Self {
        Self { plants, ..Self::made_up(line, 0.0, share, 1.0) }
    }
}

/// The blocks of every zone, and the first planting winter where the plan names one.
#[derive(Debug, Default)]
pub(in crate::checks) struct Planted {
    /// By zone.
    pub(in crate::checks) blocks: Vec<Vec<Block>>,
    /// Why each zone leaves ground, by zone.
    pub(super) left: Vec<String>,
    /// The line for what is planted beyond the plan, by zone: its largest, else the one that fits best;
    /// none where none fits well enough.
    pub(super) line: Vec<Option<usize>>,
    /// Year of the first planting winter.
    pub(super) first: Option<i32>,
}

impl Planted {
    /// From a plan's record, zone by zone.
    ///
    /// # Errors
    /// When its zones are not those of the ground, or a line is not in the stock.
    pub(in crate::checks) fn of(
        told: &Told,
        zones: &Zones,
        library: &Library,
        fit_floor: f64,
    ) -> Result<Self, Problem> {
        same_zones(told, zones)?;
        if let Some(odd) =
            told.blocks.iter().filter_map(|one| one.season).find(|one| !YEARS.contains(one))
        {
            return Err(Problem::error("blocks.season")
                .found(odd.to_string())
                .expected(format!("a year from {} to {}", YEARS.start(), YEARS.end()))
                .remedy(
                    "make the plan again with `hillweave plan`, and change nothing in it by hand",
                ));
        }
        let first = told.blocks.iter().filter_map(|block| block.season).min();
        let place: BTreeMap<&str, usize> =
            zones.zones.iter().enumerate().map(|(at, zone)| (zone.id.as_str(), at)).collect();
        let mut planted = Self {
            blocks: vec![Vec::new(); zones.zones.len()],
            left: told.zones.iter().map(|zone| zone.left_reason.clone()).collect(),
            line: Vec::new(),
            first,
        };
        for block in &told.blocks {
            let zone =
                *place.get(block.zone_id.as_str()).ok_or_else(|| other_ground(&block.zone_id))?;
            let (line, _) = library.find(&block.stock_id).ok_or_else(|| {
                Problem::error("blocks.stock_id")
                    .found(format!("`{}`, which is not in the stock file", block.stock_id))
                    .expected("the stock that the plan was made with")
                    .remedy("put the line back, or make the plan again with `hillweave plan`")
            })?;
            let years = f64::from(block.season.or(first).unwrap_or(0) - first.unwrap_or(0));
            let (share, plants) = (block.share, block.seedlings);
            planted.blocks[zone].push(Block { line, years, share, scale: 1.0, plants });
        }
        let best = best_fits(told, &place, library, fit_floor);
        let largest = planted
            .blocks
            .iter()
            .map(|blocks| blocks.iter().max_by_key(|block| block.plants).map(|block| block.line));
        planted.line = largest.zip(best).map(|(largest, best)| largest.or(best)).collect();
        Ok(planted)
    }

    /// Makes blocks set exactly as many plants as the plan says, over the density rules of each kind of
    /// ground: a density fixed by hand, rounding and places that were too near to others all count.
    pub(super) fn scale(
        &mut self,
        parts: &[Part],
        footing: &Footing<'_>,
        site: &Site,
        library: &Library,
    ) {
        let mut rules = vec![Vec::new(); self.blocks.len()];
        for (zone, blocks) in self.blocks.iter().enumerate() {
            rules[zone] = vec![0.0_f64; blocks.len()];
        }
        for part in parts.iter().filter(|part| part.owner < self.blocks.len()) {
            for (at, block) in self.blocks[part.owner].iter().enumerate() {
                let plants = open_per_ha(part, block.line, footing, site, library)
                    * gap_share(part, footing)
                    * block.share
                    * part.plan_m2
                    / M2_PER_HA;
                rules[part.owner][at] += plants;
            }
        }
        for (blocks, rules) in self.blocks.iter_mut().zip(rules) {
            for (block, by_rule) in blocks.iter_mut().zip(rules) {
                block.scale = if by_rule > 0.0 { block.plants as f64 / by_rule } else { 0.0 };
            }
        }
    }
}

/// Plants on a map hectare of open ground under a line, by the density rules.
pub(super) fn open_per_ha(
    part: &Part,
    line: usize,
    footing: &Footing<'_>,
    site: &Site,
    library: &Library,
) -> f64 {
    let cover = footing.class(part.kind).map(|class| class.name.as_str());
    let id = &library.stocks()[line].id;
    let (density, _) = site.density.on(cover, part.kind.group.letter(), id);
    match site.density.basis {
        AreaBasis::Plan => density.0,
        AreaBasis::Ground => density.0 * part.ground_m2 / part.plan_m2,
    }
}

/// Share of a part's ground that is open to planting.
pub(super) fn gap_share(part: &Part, footing: &Footing<'_>) -> f64 {
    footing.class(part.kind).map_or(1.0, |class| class.gap_share)
}

/// Share of plants of a line that lives on a part.
pub(super) fn alive(
    part: &Part,
    line: usize,
    footing: &Footing<'_>,
    site: &Site,
    library: &Library,
) -> f64 {
    let stock = &library.stocks()[line];
    expected_survival(footing.class(part.kind), part.kind.is_steep, stock, site)
}

/// The line that fits each zone best, by zone; none where the best is below the floor.
fn best_fits(
    told: &Told,
    place: &BTreeMap<&str, usize>,
    library: &Library,
    fit_floor: f64,
) -> Vec<Option<usize>> {
    let mut best: Vec<Option<(f64, usize)>> = vec![None; place.len()];
    for row in told.fits.iter().filter(|row| row.fit >= fit_floor && row.fit > 0.0) {
        let (Some(zone), Some((line, _))) =
            (place.get(row.zone_id.as_str()), library.find(&row.stock_id))
        else {
            continue;
        };
        if best[*zone].is_none_or(|(fit, _)| row.fit > fit) {
            best[*zone] = Some((row.fit, line));
        }
    }
    best.into_iter().map(|best| best.map(|(_, line)| line)).collect()
}

/// Zones of the plan must be those of the ground, or its blocks stand elsewhere.
fn same_zones(told: &Told, zones: &Zones) -> Result<(), Problem> {
    /// Hectares that a zone's area may differ by, from writing it in decimals.
    const NEAR_HA: f64 = 1e-4;
    if told.zones.len() != zones.zones.len() {
        return Err(other_ground(&format!("{} zones", told.zones.len())));
    }
    for (told, zone) in told.zones.iter().zip(&zones.zones) {
        let is_same = told.zone_id == zone.id
            && (told.plan_area_ha - zone.plan_m2 / M2_PER_HA).abs() <= NEAR_HA;
        if !is_same {
            return Err(other_ground(&told.zone_id));
        }
    }
    Ok(())
}

fn other_ground(found: &str) -> Problem {
    Problem::error("zones")
        .found(format!("{found}, other than what the site's layers and rules give now"))
        .expected("a plan of this site as it is")
        .remedy("make the plan again with `hillweave plan`")
}
