//! What two plans differ in.

use geo::MultiPolygon;
use serde::Serialize;

use crate::problem::Problem;
use crate::units::PlanHectares;

/// Two plans of one property held against each other: `a` the first named, `b` the second.
#[derive(Debug, Clone, Serialize)]
pub struct Comparison {
    /// `hillweave.compare/1`.
    pub schema: &'static str,
    /// Version of the program.
    pub version: &'static str,
    /// Name of the property, as the first plan has it.
    pub site: String,
    /// Coordinate system of both.
    pub crs: String,
    /// Both plans.
    pub plans: [PlanRow; 2],
    /// Map area of the ground of either plan.
    pub ground_plan_ha: PlanHectares,
    /// Map area on which another line is to stand, or something else than a line; of a mixture the part that changes.
    pub line_changes_plan_ha: PlanHectares,
    /// Map area of zones that keep their lines and change in plants a hectare.
    pub density_changes_plan_ha: PlanHectares,
    /// Inputs that differ, and how many are the same.
    pub inputs: Differences,
    /// Defaults that differ, and how many are the same.
    pub defaults: Differences,
    /// How many zones are the same polygon, redrawn, new and gone.
    pub zones: ZoneCounts,
    /// Zones that are not the same polygon in both.
    pub zone_changes: Vec<ZoneChangeRow>,
    /// Lines.
    pub lines: Vec<LineChangeRow>,
    /// Orders by line and winter.
    pub orders: Vec<OrderChangeRow>,
    /// Ground from what to what.
    pub ground: Vec<GroundChangeRow>,
    /// Cover, where both plans were checked; `None`: it was not compared.
    pub cover: Option<CoverChange>,
    /// Everything worth a look.
    pub warnings: Vec<Problem>,
    /// The ground piece by piece. In a map layer of its own.
    #[serde(skip)]
    pub pieces: Vec<PieceRow>,
}

/// Figures of a plan.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PlanRow {
    /// Name of the property.
    pub site: String,
    /// Version of the program that made it.
    pub version: String,
    /// SHA-256 of its record, hexadecimal.
    pub plan_sha256: String,
    /// Seed of every random draw.
    pub seed: u64,
    /// Map area of the property.
    pub property_plan_ha: f64,
    /// Map area planted.
    pub planted_plan_ha: f64,
    /// Map area of zones that no line takes.
    pub left_plan_ha: f64,
    /// Map area of kept stands.
    pub stands_plan_ha: f64,
    /// Map area kept clear.
    pub keep_clear_plan_ha: f64,
    /// Plants in the ground.
    pub seedlings: u64,
    /// Plants to order.
    pub order_qty: u64,
    /// Plants on a planted hectare of map; `None`: nothing is planted.
    pub stems_ha: Option<f64>,
    /// What plants and planting cost, New Zealand dollars.
    pub cost_nzd: f64,
    /// Days that one person plants all of it.
    pub person_days: f64,
}

/// Things with names, of which some differ.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Differences {
    /// How many are the same.
    pub same: usize,
    /// Those that differ.
    pub changed: Vec<DifferenceRow>,
}

/// A thing that differs.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct DifferenceRow {
    /// Its name: a file, or a key.
    pub name: String,
    /// As the first plan has it: a checksum, or a value; `None`: not at all.
    pub a: Option<String>,
    /// As the second has it.
    pub b: Option<String>,
}

/// How many zones are what.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize)]
pub struct ZoneCounts {
    /// The same polygon in both.
    pub same: usize,
    /// Polygons of which each holds half of the other or more.
    pub redrawn: usize,
    /// Of the second, with no such partner.
    pub new: usize,
    /// Of the first, with no such partner.
    pub gone: usize,
}

/// A zone that is not the same polygon in both plans.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ZoneChangeRow {
    /// `redrawn`, `new` or `gone`.
    pub change: &'static str,
    /// Its name in the first plan; `None` for a new one.
    pub a_zone: Option<String>,
    /// Its name in the second; `None` for one that is gone.
    pub b_zone: Option<String>,
    /// Map area in the first.
    pub a_plan_ha: Option<f64>,
    /// Map area in the second.
    pub b_plan_ha: Option<f64>,
    /// Map area in both.
    pub shared_plan_ha: f64,
}

/// A line in both plans.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LineChangeRow {
    /// Line.
    pub stock_id: String,
    /// Its name.
    pub stock_name: String,
    /// Map area in the first plan.
    pub a_plan_ha: f64,
    /// Map area in the second.
    pub b_plan_ha: f64,
    /// Plants in the ground in the first.
    pub a_seedlings: u64,
    /// In the second.
    pub b_seedlings: u64,
    /// Plants to order in the first.
    pub a_order_qty: u64,
    /// In the second.
    pub b_order_qty: u64,
}

/// What is ordered of a line for a winter in both plans.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct OrderChangeRow {
    /// Line.
    pub stock_id: String,
    /// Year of the winter; `None` where the plans name none.
    pub season: Option<i32>,
    /// Plants in the ground in the first plan.
    pub a_seedlings: u64,
    /// In the second.
    pub b_seedlings: u64,
    /// Plants to order in the first.
    pub a_order_qty: u64,
    /// In the second.
    pub b_order_qty: u64,
}

/// Ground that goes from one thing to another, or stays.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct GroundChangeRow {
    /// What stands there in the first plan: a line, `not planted`, `kept stand`, `kept clear`, or `outside the plan`.
    pub from: String,
    /// What stands there in the second.
    pub to: String,
    /// Map area.
    pub plan_area_ha: PlanHectares,
}

/// A piece of ground with one part of each plan.
#[derive(Debug, Clone, PartialEq)]
pub struct PieceRow {
    /// `C001`, …
    pub piece_id: String,
    /// Zone, stand or ground kept clear of the first plan; `None`: it lies outside.
    pub from_zone: Option<String>,
    /// Of the second.
    pub to_zone: Option<String>,
    /// What stands there in the first, with shares where it is mixed.
    pub from_lines: String,
    /// In the second.
    pub to_lines: String,
    /// Plants on a hectare of map in the first.
    pub from_stems_ha: f64,
    /// In the second.
    pub to_stems_ha: f64,
    /// `none`, `line` or `density`.
    pub change: &'static str,
    /// Map area on which the line changes: all of it, or of a mixture the part that does.
    pub line_changes_plan_ha: f64,
    /// Map area.
    pub plan_area_ha: PlanHectares,
    /// Where it is.
    pub geometry: MultiPolygon<f64>,
}

/// Two checks of cover.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CoverChange {
    /// What cover is reckoned by.
    pub measure: String,
    /// Share of the ground that is to be protected where it may slip.
    pub target: f64,
    /// Years after the first planting by which it must be.
    pub by_years: i32,
    /// Map area that may slip, in the first and the second.
    pub may_slip_plan_ha: [f64; 2],
    /// Map area of it below the target at that time, pieces too small to draw among it.
    pub below_plan_ha: [f64; 2],
    /// The same year by year.
    pub by_year: Vec<CoverYearRow>,
}

/// Ground that may slip and is below the target in a year.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CoverYearRow {
    /// Years after the first planting; `None`: as it is.
    pub years: Option<i32>,
    /// Map area below the target in the first plan; `None`: the check says nothing of that year.
    pub a_below_plan_ha: Option<f64>,
    /// In the second.
    pub b_below_plan_ha: Option<f64>,
}
