//! What the draws say: rows and figures.

use serde::Serialize;

use crate::plan::InputRecord;
use crate::problem::Problem;
use crate::site::DefaultTaken;
use crate::units::PlanHectares;

/// How far a plan may be off.
#[derive(Debug, Clone, Serialize)]
pub struct Chances {
    /// `hillweave.chances/1`.
    pub schema: &'static str,
    /// Version of the program.
    pub version: &'static str,
    /// Name of the property.
    pub site: String,
    /// Seed of every draw.
    pub seed: u64,
    /// Draws.
    pub draws: usize,
    /// What was read.
    pub inputs: Vec<InputRecord>,
    /// Every default used that has to do with chances.
    pub defaults: Vec<DefaultTaken>,
    /// Whole-plan figures.
    pub figures: Vec<FigureRow>,
    /// Each line that is planted.
    pub lines: Vec<LineChanceRow>,
    /// Each zone.
    pub zones: Vec<ZoneChanceRow>,
    /// How far the figures go.
    pub limits: Vec<&'static str>,
    /// Everything worth a look.
    pub warnings: Vec<Problem>,
}

/// One figure with the interval of nine draws in ten.
#[derive(Debug, Clone, Serialize)]
pub struct FigureRow {
    /// What it is.
    pub figure: &'static str,
    /// Its unit.
    pub unit: &'static str,
    /// Where nothing is off.
    pub plan: f64,
    /// One draw in twenty lies below.
    pub low: f64,
    /// Half of them do.
    pub middle: f64,
    /// One in twenty lies above. 61 years stand for never.
    pub high: f64,
}

/// A line that is planted.
#[derive(Debug, Clone, Serialize)]
pub struct LineChanceRow {
    /// The line.
    pub stock_id: String,
    /// Its name.
    pub stock_name: String,
    /// Plants in the ground, by the plan.
    pub seedlings: u64,
    /// Plants ordered, by the plan.
    pub order_qty: u64,
    /// Plants to order so that as many live as its ground takes: one draw in twenty lies below.
    pub needed_low: u64,
    /// Half of them do.
    pub needed_middle: u64,
    /// One in twenty lies above.
    pub needed_high: u64,
    /// Plants alive of those ordered: one draw in twenty lies below.
    pub alive_low: u64,
    /// Half of them do.
    pub alive_middle: u64,
    /// One in twenty lies above.
    pub alive_high: u64,
    /// Share of draws in which as many live as its ground takes.
    pub enough_chance: f64,
}

/// A zone.
#[derive(Debug, Clone, Serialize)]
pub struct ZoneChanceRow {
    /// The zone.
    pub zone_id: String,
    /// Its map area.
    pub plan_area_ha: PlanHectares,
    /// The line that holds most of it in the plan; `null`: none.
    pub stock_id: Option<String>,
    /// Share of draws in which it is still its line; `null`: not told.
    pub keeps: Option<f64>,
    /// The line that most often stands in its place; `null`: none.
    pub instead: Option<String>,
    /// In what share of draws.
    pub instead_share: Option<f64>,
    /// Why nothing is told; empty where something is.
    pub note: &'static str,
}
