//! What a plan says: its rows and figures.

use std::collections::BTreeMap;
use std::path::PathBuf;

use geo::MultiPolygon;
use serde::Serialize;
use stock::Side;

use super::cards::CardRow;
use crate::layout::{Plant, Plot};
use crate::problem::Problem;
use crate::site::{DefaultTaken, Purpose};
use crate::units::{AreaBasis, GroundHectares, PlanHectares};

/// How far a plan goes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Reach {
    /// Zones, stands and keep-clear ground; the stock file is not read.
    Zones,
    /// Everything.
    Orders,
}

/// A planting plan for one property.
#[derive(Debug, Clone, Serialize)]
pub struct Plan {
    /// `hillweave.plan/1`.
    pub schema: &'static str,
    /// Version of the program.
    pub version: &'static str,
    /// Name of the property.
    pub site: String,
    /// Coordinate system of the geometry, as `EPSG:code` or WKT.
    pub crs: String,
    /// How far it goes: `zones` alone, or all the way to `orders`.
    pub reach: Reach,
    /// Seed of every random draw.
    pub seed: u64,
    /// What was read.
    pub inputs: Vec<InputRecord>,
    /// Every default used.
    pub defaults: Vec<DefaultTaken>,
    /// How the ground was classed.
    pub ground: GroundReport,
    /// Whole-plan figures.
    pub totals: Totals,
    /// People who plant, as `labour.people` says; `None`: not known.
    pub crew_people: Option<u32>,
    /// Planting zones.
    pub zones: Vec<ZoneRow>,
    /// Blocks: one zone and one stock.
    pub blocks: Vec<BlockRow>,
    /// What the crew is told of each block; in `cards.csv` too.
    pub cards: Vec<CardRow>,
    /// Ground not planted because of a setback or its cover.
    pub keep_clear: Vec<KeepClearRow>,
    /// Existing native stands, kept.
    pub stands: Vec<StandRow>,
    /// Fit of every stock in every zone.
    pub fits: Vec<FitRow>,
    /// The fits at which suitability orders begin.
    pub fit_edges: FitEdgesRow,
    /// What is asked of the nursery, by stock.
    pub orders: Vec<OrderRow>,
    /// The same by line, winter and delivery.
    pub line_orders: Vec<LineOrderRow>,
    /// What is planted in each winter of the plan.
    pub seasons: Vec<SeasonRow>,
    /// How the assignment was solved.
    pub solution: SolutionReport,
    /// How far merging moved ground between classes.
    pub merging: MergeReport,
    /// Cautions for people on the ground.
    pub cautions: Vec<Caution>,
    /// Everything worth a look.
    pub warnings: Vec<Problem>,
    /// Where each plant stands; empty where plants are counted alone. In tables of its own.
    #[serde(skip)]
    pub plants: Vec<Plant>,
    /// Where survivors will be counted. In tables of its own.
    #[serde(skip)]
    pub plots: Vec<Plot>,
}

impl Plan {
    /// Mean fit of what is planted, by map area, 0 to 1; 0 where nothing is.
    #[must_use]
    pub fn mean_fit(&self) -> f64 {
        let (sum, area) = self.blocks.iter().fold((0.0, 0.0), |(sum, area), block| {
            (sum + block.fit * block.plan_area_ha.0, area + block.plan_area_ha.0)
        });
        if area > 0.0 { sum / area } else { 0.0 }
    }
}

/// How the ground was classed, where the site leaves it to the ground.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct GroundReport {
    /// `edges` or `quantiles`.
    pub wetness_by: &'static str,
    /// Wetness index at which ground becomes moist, then wet, in force; `null` where nothing asks
    /// for the index.
    pub wetness_edges: Option<[f64; 2]>,
    /// Layers that were derived beside slope, because zones or stock ask for them.
    pub further_layers: Vec<&'static str>,
}

/// One input and its checksum.
#[derive(Debug, Clone, Serialize)]
pub struct InputRecord {
    /// What it is for: `elevation`, `cover`, `site`, …
    pub role: String,
    /// File name relative to the site folder.
    pub file: PathBuf,
    /// SHA-256 of the file, hexadecimal.
    pub sha256: String,
}

/// Whole-plan figures. Hectares of map unless `ground` is in the name.
#[derive(Debug, Clone, Default, Serialize)]
pub struct Totals {
    /// Area inside the boundary.
    pub property_plan_ha: PlanHectares,
    /// In planting zones.
    pub zones_plan_ha: PlanHectares,
    /// In kept stands.
    pub stands_plan_ha: PlanHectares,
    /// Kept clear.
    pub keep_clear_plan_ha: PlanHectares,
    /// In blocks: zone area times share.
    pub planted_plan_ha: PlanHectares,
    /// In blocks, along the slope.
    pub planted_ground_ha: GroundHectares,
    /// Zone ground that no stock takes.
    pub left_plan_ha: PlanHectares,
    /// Of that, ground that is open to planting and not filled by existing cover: left to regenerate.
    pub left_open_plan_ha: PlanHectares,
    /// Plants in the ground.
    pub seedlings: u64,
    /// Plants to order.
    pub order_qty: u64,
    /// What plants and planting cost, New Zealand dollars; plants without a price cost nothing.
    pub cost_nzd: f64,
    /// Days that one person plants all of it, without weather, carrying and waiting.
    pub person_days: f64,
    /// What they may cost; `None`: not limited.
    pub budget_nzd: Option<f64>,
    /// Map hectares in zones by LUC slope group, from the cells.
    pub slope_group_plan_ha: BTreeMap<String, PlanHectares>,
}

/// A planting zone: contiguous ground that asks for one treatment.
#[derive(Debug, Clone, Serialize)]
pub struct ZoneRow {
    /// `Z001`, …
    pub zone_id: String,
    /// Slope group that holds most of the zone, A to G.
    pub slope_group: String,
    /// `dry`, `moist` or `wet`; `None` where wetness was not reckoned.
    pub wetness_class: Option<String>,
    /// `shady`, `even` or `sunny`; `None` where sun was not reckoned.
    pub sun_class: Option<String>,
    /// `exposed`, `moderate` or `sheltered`; `None` where exposure was not reckoned.
    pub exposure_class: Option<String>,
    /// Frost `unlikely`, `likely` or `severe`, or `unknown`; `None` where frost was not reckoned.
    pub frost_class: Option<String>,
    /// `plant` or `infill`.
    pub cover_treatment: String,
    /// Map area, from the polygon.
    pub plan_area_ha: PlanHectares,
    /// Area along the slope, from the cells.
    pub ground_area_ha: GroundHectares,
    /// Area-weighted mean slope.
    pub slope_mean_deg: f64,
    /// Slope that 10 % of the zone does not exceed.
    pub slope_p10_deg: f64,
    /// Slope that half of the zone does not exceed.
    pub slope_p50_deg: f64,
    /// Slope that 90 % of the zone does not exceed.
    pub slope_p90_deg: f64,
    /// Map area by slope in steps of five degrees, the last from 45 degrees on; from the cells.
    pub slope_steps_plan_ha: Vec<PlanHectares>,
    /// Lowest elevation.
    pub elevation_min_m: f64,
    /// Area-weighted mean elevation.
    pub elevation_mean_m: f64,
    /// Highest elevation.
    pub elevation_max_m: f64,
    /// Mean wetness index, where it was reckoned.
    pub wetness_mean: Option<f64>,
    /// Mean ratio of direct sun to that of level open ground; `None` where it was not reckoned.
    pub sun_ratio_mean: Option<f64>,
    /// Mean sum of horizon angles; `None` where exposure was not reckoned.
    pub exposure_mean_deg: Option<f64>,
    /// Mean frost index; `None` where frost was not reckoned.
    pub frost_index_mean: Option<f64>,
    /// Width of the rectangle with the zone's area and length of border.
    pub mean_width_m: f64,
    /// Diameter of the largest circle inside.
    pub widest_m: f64,
    /// Map area of the polygon less that of its cells: what exact borders gave or took.
    pub border_drift_m2: f64,
    /// Why it is smaller or narrower than asked for; empty when it is not.
    pub short_reason: String,
    /// Stock with the best fit; empty when none reaches the floor.
    pub best_fit: Option<String>,
    /// Map area by slope group, from the cells: merging is for shape, not for truth.
    pub slope_group_plan_ha: BTreeMap<String, PlanHectares>,
    /// Share of the zone's ground that is of the one class that holds most of it, 0 to 1.
    pub class_share: f64,
    /// Every class that went into it, the one with most ground first.
    pub made_of: Vec<ClassRow>,
    /// Regions that were merged into it.
    pub merged_regions: usize,
    /// Why this is a zone, in a sentence.
    pub reason: String,
    /// Stock that would take it if the chosen one were not there; `None` where no other is allowed.
    pub runner_up: Option<String>,
    /// How much less a map hectare would be worth under it, scarce plants priced in, in well-fitted
    /// hectares; `None` where there is no runner-up.
    pub runner_up_less: Option<f64>,
    /// Part of the zone that is open to planting, 0 to 1.
    pub gap_share: f64,
    /// Share of the zone that no stock takes, 0 to 1, and why.
    pub left_share: f64,
    /// Why ground is left; empty when none is.
    pub left_reason: String,
    /// The polygon, in the plan's coordinate system.
    #[serde(skip)]
    pub geometry: MultiPolygon<f64>,
}

/// Ground of one class in a zone. A class that bounds no zone is left out.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ClassRow {
    /// Factors that bound zones, each with its class.
    pub classes: BTreeMap<&'static str, String>,
    /// Patches of it that were merged into the zone before borders were drawn.
    pub regions: usize,
    /// Its map area in the zone, from the cells.
    pub plan_area_ha: PlanHectares,
    /// Its share of the zone's ground, 0 to 1.
    pub share: f64,
}

/// A block: one zone and one stock. A zone that two lines share has two blocks over one polygon:
/// an intimate mixture at the stated shares.
#[derive(Debug, Clone, Serialize)]
pub struct BlockRow {
    /// `Z001-KEY`.
    pub block_id: String,
    /// Its zone.
    pub zone_id: String,
    /// Its stock.
    pub stock_id: String,
    /// `cultivar` or `seed_line`.
    pub stock_kind: String,
    /// Year of the winter in which it is planted; `None` where the site and the stock name none.
    pub season: Option<i32>,
    /// Share of the zone, 0 to 1.
    pub share: f64,
    /// Map area: the zone's times the share.
    pub plan_area_ha: PlanHectares,
    /// Area along the slope: the zone's times the share.
    pub ground_area_ha: GroundHectares,
    /// Stems per hectare, on the basis in `density_basis`.
    pub density_sph: f64,
    /// Which hectare the density counts.
    pub density_basis: AreaBasis,
    /// What most of the plants are for, as the density rules say.
    pub purpose: Purpose,
    /// Distance between plants, measured on that basis.
    pub spacing_m: f64,
    /// Plants in the ground.
    pub seedlings: u64,
    /// Plants to order, losses included.
    pub order_qty: u64,
    /// Days that one person plants it, without weather, carrying and waiting.
    pub person_days: f64,
    /// Fit, 0 to 1.
    pub fit: f64,
    /// FAO suitability order: S1, S2, S3 or N.
    pub fit_class: String,
    /// Factor that limits the fit; empty when nothing does.
    pub limiting_factor: String,
    /// Why this stock is here, in a sentence.
    pub reason: String,
    /// The zone's polygon.
    #[serde(skip)]
    pub geometry: MultiPolygon<f64>,
}

/// Ground kept clear.
#[derive(Debug, Clone, Serialize)]
pub struct KeepClearRow {
    /// `K001`, …
    pub keep_clear_id: String,
    /// The rules that meet here, or the cover class that is never planted.
    pub rules: String,
    /// Why.
    pub reason: String,
    /// Who says so.
    pub authority: String,
    /// Date of the rule.
    pub date: String,
    /// Map area.
    pub plan_area_ha: PlanHectares,
    /// The polygon.
    #[serde(skip)]
    pub geometry: MultiPolygon<f64>,
}

/// An existing native stand that is kept.
#[derive(Debug, Clone, Serialize)]
pub struct StandRow {
    /// `S001`, …
    pub stand_id: String,
    /// Cover class name.
    pub cover: String,
    /// Map area.
    pub plan_area_ha: PlanHectares,
    /// Area along the slope.
    pub ground_area_ha: GroundHectares,
    /// Area-weighted mean elevation.
    pub elevation_mean_m: f64,
    /// The polygon.
    #[serde(skip)]
    pub geometry: MultiPolygon<f64>,
}

/// How one stock fits one zone.
#[derive(Debug, Clone, Serialize)]
pub struct FitRow {
    /// Zone.
    pub zone_id: String,
    /// Stock.
    pub stock_id: String,
    /// Fit, 0 to 1: the mean over the zone's ground open to planting, by map area.
    pub fit: f64,
    /// FAO order of that mean, by the edges in `fit_edges`.
    pub fit_class: String,
    /// Share of that ground whose own fit is of order S1, 0 to 1.
    pub s1_share: f64,
    /// Share of it that is S2.
    pub s2_share: f64,
    /// Share of it that is S3.
    pub s3_share: f64,
    /// Share of it that is N.
    pub n_share: f64,
    /// Share of it where the fit is below `mosaic.fit_floor`, 0 to 1.
    pub share_below: f64,
    /// Factor that costs most fit; empty when nothing limits.
    pub limiting_factor: String,
    /// Everything that limits some of that ground, what costs most fit first.
    pub limits: Vec<FitLimitRow>,
    /// In a landowner's words.
    pub sentence: String,
    /// Why it may not go here, by the rules of home seed or by hand; empty when it may.
    pub barred: String,
}

/// Ground of a zone that one factor holds back, for one stock.
#[derive(Debug, Clone, Serialize)]
pub struct FitLimitRow {
    /// The factor.
    pub factor: &'static str,
    /// On which side: `too_low`, `too_high` or `unsuited`.
    pub side: Side,
    /// In words, such as `too cold`.
    pub words: &'static str,
    /// Share of the ground open to planting where it is the least factor, 0 to 1.
    pub share: f64,
    /// Fit that it costs over the whole zone; the costs of a row sum to 1 less its fit.
    pub lost: f64,
}

/// The fits at which suitability orders begin.
#[derive(Debug, Clone, Serialize)]
pub struct FitEdgesRow {
    /// Least fit of S1, highly suitable.
    pub s1_from: f64,
    /// Least fit of S2, moderately suitable.
    pub s2_from: f64,
    /// Least fit of S3, marginally suitable; below it N, not suitable.
    pub s3_from: f64,
    /// Where the orders and the edges come from.
    pub source: &'static str,
}

/// What is asked of the nursery for one stock.
#[derive(Debug, Clone, Serialize)]
pub struct OrderRow {
    /// Stock.
    pub stock_id: String,
    /// Name.
    pub name: String,
    /// `cultivar` or `seed_line`.
    pub stock_kind: String,
    /// Plants in the ground.
    pub seedlings: u64,
    /// Plants to order.
    pub order_qty: u64,
    /// Plants that can be had in the winters of the plan; `None`: not limited.
    pub supply: Option<u64>,
    /// Map area planted with it.
    pub plan_area_ha: PlanHectares,
    /// Blocks it stands in.
    pub blocks: usize,
}

impl OrderRow {
    /// What its plants cost at a price for one, New Zealand dollars; `None`: no price is known.
    #[must_use]
    pub fn plants_nzd(&self, price_nzd: Option<f64>) -> Option<f64> {
        price_nzd.map(|price| price * self.order_qty as f64)
    }
}

/// What is asked of the nursery for one stock and one winter.
#[derive(Debug, Clone, Serialize)]
pub struct LineOrderRow {
    /// The stock and the year, where one is known: `amber-2027`.
    pub order_id: String,
    /// Stock.
    pub stock_id: String,
    /// Name.
    pub stock_name: String,
    /// `cultivar` or `seed_line`.
    pub stock_kind: String,
    /// Year of the winter; `None` where the site and the stock name none.
    pub season: Option<i32>,
    /// Plants in the ground, of which as many are to live.
    pub seedlings: u64,
    /// Share expected to live, over all its ground.
    pub survival: f64,
    /// Fewest plants of which that many live with the chance asked for.
    pub needed: u64,
    /// Added as spares.
    pub spare: u64,
    /// Added to reach the smallest lot.
    pub lot: u64,
    /// Added to fill the last tray.
    pub tray: u64,
    /// Taken off again because there are no more plants or there is no more money.
    pub held_back: u64,
    /// What took them off: `supply` or `budget`; empty where nothing did.
    pub held_back_by: &'static str,
    /// Plants to order.
    pub order_qty: u64,
    /// Trays that they come in, the last perhaps not full.
    pub trays: u64,
    /// Chance that as many live as are planted, if each lives or dies by itself.
    pub chance: f64,
    /// How they come.
    pub deliveries: Vec<DeliveryRow>,
}

/// One delivery of an order.
#[derive(Debug, Clone, Serialize)]
pub struct DeliveryRow {
    /// Position of its order.
    #[serde(skip)]
    pub of: usize,
    /// Counted from 1.
    pub delivery_no: u64,
    /// Plants.
    pub plants: u64,
    /// Trays that they come in.
    pub trays: u64,
}

/// What is planted in one winter.
#[derive(Debug, Clone, Serialize)]
pub struct SeasonRow {
    /// Its year; `None` where the site and the stock name none.
    pub season: Option<i32>,
    /// Map area planted.
    pub plan_area_ha: PlanHectares,
    /// Plants in the ground.
    pub seedlings: u64,
    /// Plants to order.
    pub order_qty: u64,
    /// What plants and planting cost, New Zealand dollars; plants without a price cost nothing.
    pub cost_nzd: f64,
    /// What they may cost; `None`: not limited.
    pub budget_nzd: Option<f64>,
    /// Days that one person plants all of it, without weather, carrying and waiting.
    pub person_days: f64,
    /// What they may be; `None`: not limited.
    pub person_days_most: Option<f64>,
    /// Whole days of the crew; `None` where its size is not known.
    pub crew_days: Option<u64>,
}

/// How the assignment was solved.
#[derive(Debug, Clone, Serialize)]
pub struct SolutionReport {
    /// Solver.
    pub solver: String,
    /// Objective reached: hectares of map weighted by fit and preference.
    pub objective: f64,
    /// No assignment can do better than this.
    pub bound: f64,
    /// (bound − objective) / bound, 0 when the bound is 0.
    pub gap: f64,
    /// Whether the solver stopped early.
    pub stopped_early: bool,
    /// Why it did: `time`, or `effort`, when it had tried as much as it ever tries; `None`: it did not.
    pub stopped_by: Option<&'static str>,
    /// Limits that the orders of the plan use up, or that have a price in the programme without least
    /// shares, in words: what is used, and what more would be worth before neighbours were joined.
    pub binding: Vec<String>,
    /// Weeks of the year with enough ground in flower, counted from 1 at the first of January; empty
    /// where no rule asks for them.
    pub in_flower: Vec<u32>,
    /// What was given up for workable blocks; `None`: nothing was to be.
    pub joined: Option<JoinReport>,
    /// Worth that all choices by hand together cost, to the gap of the solver; `None`: there are
    /// none, or it is not known.
    pub by_hand_cost: Option<f64>,
    /// Why that is not known; empty where it is or there are none.
    pub by_hand_cost_not_known: &'static str,
    /// Choices made by hand.
    pub by_hand: Vec<ByHandRow>,
}

/// Neighbouring zones given one line.
#[derive(Debug, Clone, Serialize)]
pub struct JoinReport {
    /// Border between zones of unlike lines before.
    pub border_before_m: f64,
    /// The same after.
    pub border_after_m: f64,
    /// Worth that was given up, in the unit of the objective.
    pub worth_lost: f64,
}

/// A choice made by hand.
#[derive(Debug, Clone, Serialize)]
pub struct ByHandRow {
    /// Zone.
    pub zone_id: String,
    /// Stock that must take it.
    pub fixed: Option<String>,
    /// Stock that may not.
    pub forbidden: Vec<String>,
    /// Plants a hectare, on the site's basis.
    pub density_sph: Option<f64>,
    /// Why, in the words of whoever chose.
    pub note: String,
    /// Worth that it costs, the other choices kept; `None`: it is not known.
    pub worth_lost: Option<f64>,
    /// Why that is not known; empty where it is.
    pub worth_lost_not_known: &'static str,
}

/// How far merging moved ground between classes.
#[derive(Debug, Clone, Default, Serialize)]
pub struct MergeReport {
    /// Regions before merging.
    pub regions: usize,
    /// Zones after.
    pub zones: usize,
    /// Map hectares whose own class tuple is not its zone's.
    pub moved_plan_ha: PlanHectares,
    /// Share of all zone ground.
    pub moved_share: f64,
    /// Zones smaller than asked for; each says why.
    pub below_minimum: usize,
    /// Zones that are large enough and nowhere as wide as asked for; each says why.
    pub below_width: usize,
    /// Ground to plant by slope group.
    pub by_slope_group: Vec<GroupRow>,
}

/// Ground of one LUC slope group, before and after zones were drawn.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct GroupRow {
    /// A to G.
    pub slope_group: String,
    /// Map area of its cells on ground to plant.
    pub cells_plan_ha: PlanHectares,
    /// Map area of it inside zones, from the cells: what counts and cover go by.
    pub in_zones_plan_ha: PlanHectares,
    /// Map area of the zones that are named by it, which nothing goes by.
    pub named_plan_ha: PlanHectares,
}

/// Something people on the ground must know.
#[derive(Debug, Clone, Serialize)]
pub struct Caution {
    /// What it is about: `steep ground`, `power line`, …
    pub about: String,
    /// Zones concerned.
    pub zones: Vec<String>,
    /// Map area concerned in each of them.
    #[serde(skip)]
    pub zone_areas_m2: Vec<f64>,
    /// Map area concerned.
    pub plan_area_ha: PlanHectares,
    /// What to do.
    pub text: String,
}
