//! What the record of a plan says that two plans are compared by.

use serde::Deserialize;

/// Of a plan's record.
#[derive(Deserialize)]
pub(super) struct Told {
    pub(super) site: String,
    pub(super) version: String,
    pub(super) crs: String,
    pub(super) seed: u64,
    pub(super) inputs: Vec<Input>,
    pub(super) defaults: Vec<Taken>,
    pub(super) totals: Totals,
    #[serde(default)]
    pub(super) blocks: Vec<Block>,
    #[serde(default)]
    pub(super) orders: Vec<Order>,
    #[serde(default)]
    pub(super) line_orders: Vec<LineOrder>,
}

/// Of an input.
#[derive(Deserialize)]
pub(super) struct Input {
    pub(super) file: String,
    pub(super) sha256: String,
}

/// Of a default.
#[derive(Deserialize)]
pub(super) struct Taken {
    pub(super) key: String,
    pub(super) value: String,
}

/// Of the figures of the whole plan.
#[derive(Deserialize)]
pub(super) struct Totals {
    pub(super) planted_plan_ha: f64,
    pub(super) left_plan_ha: f64,
    pub(super) stands_plan_ha: f64,
    pub(super) keep_clear_plan_ha: f64,
    pub(super) property_plan_ha: f64,
    pub(super) seedlings: u64,
    pub(super) order_qty: u64,
    pub(super) cost_nzd: f64,
    pub(super) person_days: f64,
}

/// Of a block.
#[derive(Deserialize)]
pub(super) struct Block {
    pub(super) zone_id: String,
    pub(super) stock_id: String,
    pub(super) share: f64,
    pub(super) seedlings: u64,
}

/// Of what is ordered of a line.
#[derive(Deserialize)]
#[expect(clippy::struct_field_names, reason = "the keys of the record")]
pub(super) struct Order {
    pub(super) stock_id: String,
    pub(super) name: String,
    pub(super) plan_area_ha: f64,
    pub(super) seedlings: u64,
    pub(super) order_qty: u64,
}

/// Of what is ordered of a line for a winter.
#[derive(Deserialize)]
pub(super) struct LineOrder {
    pub(super) stock_id: String,
    pub(super) season: Option<i32>,
    pub(super) seedlings: u64,
    pub(super) order_qty: u64,
}

/// Of a check of cover.
#[derive(Deserialize)]
pub(super) struct Cover {
    pub(super) schema: String,
    pub(super) site: String,
    pub(super) measure: String,
    pub(super) target: f64,
    pub(super) by_years: i32,
    pub(super) may_slip_plan_ha: f64,
    pub(super) below_plan_ha: f64,
    pub(super) by_year_rows: Vec<CoverYear>,
}

/// Cover in a year.
#[derive(Deserialize)]
pub(super) struct CoverYear {
    pub(super) by: String,
    pub(super) class: String,
    pub(super) may_slip_only: bool,
    pub(super) measure: String,
    pub(super) years: Option<i32>,
    pub(super) below_plan_ha: f64,
}
