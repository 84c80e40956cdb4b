//! A plan in plain numbers, to be drawn.

use std::collections::BTreeMap;

use chance::{Block, Line, Offer, Risk, Scene, Zone};
use serde::Deserialize;
use stock::{Library, Stock};

use crate::checks::cover::{ZoneRisk, pattern_of};
use crate::offers::{self, by_richness_per_ha, richest, richness};
use crate::pipeline::{Fitted, Property};
use crate::units::AreaBasis;

/// What is asked of a plan's record.
#[derive(Debug, Deserialize)]
pub(super) struct Record {
    zones: Vec<ZoneRecord>,
    blocks: Vec<BlockRecord>,
}

#[derive(Debug, Deserialize)]
struct ZoneRecord {
    zone_id: String,
    elevation_mean_m: f64,
}

#[derive(Debug, Deserialize)]
struct BlockRecord {
    zone_id: String,
    stock_id: String,
    season: Option<i32>,
    plan_area_ha: f64,
    seedlings: u64,
    order_qty: u64,
}

impl Record {
    /// Mean height of all that is planted, metres; `None` where nothing is.
    pub(super) fn mean_height_m(&self) -> Option<f64> {
        self.height_of(|_| true)
    }

    fn height_of(&self, is_meant: impl Fn(&BlockRecord) -> bool) -> Option<f64> {
        let heights: BTreeMap<&str, f64> =
            self.zones.iter().map(|zone| (zone.zone_id.as_str(), zone.elevation_mean_m)).collect();
        let (mut area, mut sum) = (0.0, 0.0);
        for block in self.blocks.iter().filter(|block| is_meant(block)) {
            let Some(height) = heights.get(block.zone_id.as_str()) else { continue };
            area += block.plan_area_ha;
            sum += block.plan_area_ha * height;
        }
        (area > 0.0).then(|| sum / area)
    }

    /// Plants of a line in the ground.
    pub(super) fn seedlings_of(&self, id: &str) -> u64 {
        self.blocks.iter().filter(|block| block.stock_id == id).map(|block| block.seedlings).sum()
    }

    /// Plants of a line ordered.
    pub(super) fn ordered_of(&self, id: &str) -> u64 {
        self.blocks.iter().filter(|block| block.stock_id == id).map(|block| block.order_qty).sum()
    }

    /// The line that holds most of a zone; among equals the first of the stock.
    pub(super) fn line_of(&self, zone: &str, library: &Library) -> Option<usize> {
        let mut areas: BTreeMap<usize, f64> = BTreeMap::new();
        for block in self.blocks.iter().filter(|block| block.zone_id == zone) {
            if let Some((line, _)) = library.find(&block.stock_id) {
                *areas.entry(line).or_default() += block.plan_area_ha;
            }
        }
        areas.into_iter().rev().max_by(|a, b| a.1.total_cmp(&b.1)).map(|(line, _)| line)
    }
}

/// Puts a plan into plain numbers.
pub(super) fn scene_of(
    fitted: &Fitted,
    record: &Record,
    risks: Vec<Option<ZoneRisk>>,
    flying_h: Vec<f64>,
) -> Scene {
    let Property { site, library, zones, .. } = &**fitted;
    let programme = offers::programme(&fitted.terms());
    let first = record.blocks.iter().filter_map(|block| block.season).min();
    let winter = |season: Option<i32>| {
        season.zip(first).map_or(0, |(season, first)| (season - first).max(0) as usize)
    };
    let winters = record.blocks.iter().map(|block| winter(block.season)).max().unwrap_or(0) + 1;
    let mut blocks: BTreeMap<&str, Vec<&BlockRecord>> = BTreeMap::new();
    for block in &record.blocks {
        blocks.entry(block.zone_id.as_str()).or_default().push(block);
    }
    let none = Vec::new();
    let zone = |(at, risk): (usize, Option<ZoneRisk>)| {
        let (zone, offers) = (&zones.zones[at], &programme.zones[at]);
        let demand = &fitted.demands[at];
        let block = |block: &&BlockRecord| {
            let (line, _) = library.find(&block.stock_id)?;
            Some(Block {
                line,
                winter: winter(block.season),
                seedlings: block.seedlings as f64,
                ordered: block.order_qty as f64,
                alive: demand.lines[line].survival(),
                area_ha: block.plan_area_ha,
            })
        };
        let offer = |(line, offer): (usize, &Option<crate::mosaic::Offer>)| {
            let offer = offer.as_ref()?;
            let stock = &library.stocks()[line];
            let fit = fitted.fits[at][line].fit;
            Some(Offer {
                worth_per_ha: offer.worth_per_ha,
                by_richness_per_ha: by_richness_per_ha(stock, fit, demand.gap_share, &site.mosaic),
                order: offer.plants_per_ha * offers.area_ha,
            })
        };
        Zone {
            area_ha: offers.area_ha,
            slope_deg: zone.statistics.slope_mean_deg,
            offers: offers.offers.iter().enumerate().map(offer).collect(),
            blocks: blocks
                .get(zone.id.as_str())
                .unwrap_or(&none)
                .iter()
                .filter_map(block)
                .collect(),
            risk: risk.map(|risk| Risk {
                area_ha: risk.area_ha,
                stays: risk.stays,
                gaps: risk.gaps,
                grown: risk.grown,
                lines: risk.plantings.iter().map(|(line, _)| *line).collect(),
                plantings: risk.plantings.into_iter().map(|(_, planting)| planting).collect(),
            }),
        }
    };
    let cover = &site.cover;
    Scene {
        zones: risks.into_iter().enumerate().map(zone).collect(),
        lines: lines(fitted, record),
        on_ground: site.density.basis == AreaBasis::Ground,
        winters,
        flying_h,
        day_hours: site.season.flight.day_hours,
        crown_radius_m: cover.crown_radius_m.clone(),
        pattern: pattern_of(site),
        target: cover.target,
        by_years: cover.by_years,
        enough: site.chances.covered_share,
    }
}

fn lines(fitted: &Fitted, record: &Record) -> Vec<Line> {
    let stocks = fitted.library.stocks();
    let richest = richest(&fitted.library);
    let line = |stock: &Stock| {
        let height_m = record.height_of(|block| block.stock_id == stock.id);
        Line {
            richness: richness(stock, richest),
            richness_error: richness_error(stock, fitted.site.chances.nectar_spread),
            supply: fitted.seasons.supply(stock).map(|plants| plants as f64),
            bloom: stock.flowering.map(|flowering| {
                let (begins, _) = flowering.window_at(height_m.unwrap_or(f64::NAN));
                (f64::from(begins.get()) - 1.0, flowering.days())
            }),
        }
    };
    stocks.iter().map(line).collect()
}

/// Standard error of the mean of the nectar of a stock, as a share of it; one tree where no number is told.
fn richness_error(stock: &Stock, usual: f64) -> f64 {
    let Some(nectar) = stock.nectar else { return 0.0 };
    let mean = nectar.ratio_mean.mg_per_mg();
    let spread = nectar.ratio_sd.filter(|_| mean > 0.0).map_or(usual, |sd| sd / mean);
    spread / f64::from(nectar.trees.unwrap_or(1).max(1)).sqrt()
}
