//! What is said of the money of a plan. NZ$ of today unless a name says otherwise.

use serde::Serialize;

use crate::checks::BriefCaution;
use crate::plan::InputRecord;
use crate::problem::Problem;
use crate::site::{BlankingPlants, DefaultTaken, MoneyRules};

/// The money of a plan.
#[derive(Debug, Clone, Serialize)]
pub struct Money {
    /// `hillweave.money/1`.
    pub schema: &'static str,
    /// Version of the program.
    pub version: &'static str,
    /// Name of the property.
    pub site: String,
    /// What was read of the site, with its sums.
    pub inputs: Vec<InputRecord>,
    /// What goes with every figure.
    pub caution: &'static str,
    /// What it was reckoned with.
    pub settings: Settings,
    /// Planted hectares of map.
    pub planted_plan_ha: f64,
    /// All costs, not discounted.
    pub cost_nzd: f64,
    /// The same for a planted hectare of map.
    pub cost_nzd_per_ha: f64,
    /// All costs as they are worth now.
    pub present_cost_nzd: f64,
    /// The equal sum, at the end of each year after the first, that is worth as much, for a planted hectare.
    pub equal_yearly_cost_nzd_per_ha: f64,
    /// Costs by stage of the work.
    pub stages: Vec<StageRow>,
    /// Costs by zone.
    pub zones: Vec<ZoneCostRow>,
    /// Costs by zone, stage and year: they add up to `cost_nzd` to the cent.
    pub costs: Vec<CostRow>,
    /// Whether the site names a table of income or of carbon.
    pub has_income: bool,
    /// Low, middle and high case; empty without income.
    pub cases: Vec<CaseRow>,
    /// Cash by year; costs alone without income.
    pub cash_flow: Vec<CashRow>,
    /// What moves the present value most, the widest swing first.
    pub sensitivity: Vec<SensitivityRow>,
    /// What was left out or taken for granted.
    pub notes: Vec<String>,
    /// Defaults that were taken.
    pub defaults: Vec<DefaultTaken>,
    /// What to be careful of.
    pub cautions: Vec<BriefCaution>,
    /// Everything worth a look.
    pub warnings: Vec<Problem>,
}

impl Money {
    /// Cash up to the end of each year, as an SVG.
    #[must_use]
    pub fn cash_chart(&self) -> String {
        super::chart::cumulative(&self.cash_flow)
    }
}

/// What the money was reckoned with.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Settings {
    /// Year of the first winter; `null`: the plan names none.
    pub first_year: Option<i32>,
    /// Years after the first.
    pub years: usize,
    /// Discount rate, a share a year.
    pub discount_rate: f64,
    /// How far costs may lie off, as a share of them.
    pub cost_spread: f64,
    /// `order` or `new`: whose plants go where others died.
    pub blanking_plants: &'static str,
    /// Metres of fence; `null`: nobody said.
    pub fence_m: Option<f64>,
    /// Low, middle and high price of a tonne of carbon dioxide; `null`: none is counted.
    pub carbon_price_nzd: Option<[f64; 3]>,
}

impl Settings {
    pub(super) fn of(rules: &MoneyRules, first_year: Option<i32>, years: usize) -> Self {
        Self {
            first_year,
            years,
            discount_rate: rules.discount_rate,
            cost_spread: rules.cost_spread,
            blanking_plants: match rules.blanking_plants {
                BlankingPlants::Order => "order",
                BlankingPlants::New => "new",
            },
            fence_m: rules.fence_m,
            carbon_price_nzd: rules.carbon_price_nzd,
        }
    }
}

/// What one stage of the work costs in all years.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct StageRow {
    /// The stage.
    pub stage: &'static str,
    /// Its cost.
    pub cost_nzd: f64,
}

/// What one zone costs in all years.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ZoneCostRow {
    /// The zone; `property`: what belongs to none.
    pub zone_id: String,
    /// Planted hectares of map in it.
    pub planted_plan_ha: f64,
    /// Its cost.
    pub cost_nzd: f64,
}

/// One stage in one zone and year.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CostRow {
    /// The zone; `property`: what belongs to none.
    pub zone_id: String,
    /// The stage.
    pub stage: &'static str,
    /// Years after the first winter.
    pub year: usize,
    /// Year of the calendar; `null`: the plan names none.
    pub calendar_year: Option<i32>,
    /// Its cost.
    pub cost_nzd: f64,
}

/// One case: everything at its low end, its middle or its high end at once.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CaseRow {
    /// `low`, `middle` or `high`.
    pub case: &'static str,
    /// All cash, not discounted.
    pub total_nzd: f64,
    /// Net present value.
    pub npv_nzd: f64,
    /// The same for a planted hectare of map.
    pub npv_nzd_per_ha: f64,
    /// Every rate, a share a year, at which the cash is worth nothing now; several say nothing by themselves.
    pub internal_rates: Vec<f64>,
    /// Year from which on cash up to then stays at 0 or above; `null`: none.
    pub pays_back_year: Option<usize>,
}

/// Cash of one year. Above 0 comes in.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CashRow {
    /// Years after the first winter.
    pub year: usize,
    /// Year of the calendar; `null`: the plan names none.
    pub calendar_year: Option<i32>,
    /// With everything at its low end: high costs, low income.
    pub low_nzd: f64,
    /// With everything at its middle.
    pub middle_nzd: f64,
    /// With everything at its high end: low costs, high income.
    pub high_nzd: f64,
    /// All up to then, low.
    pub low_sum_nzd: f64,
    /// All up to then, middle.
    pub middle_sum_nzd: f64,
    /// All up to then, high.
    pub high_sum_nzd: f64,
}

/// What one figure does to the present value while all others keep their middle.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SensitivityRow {
    /// The figure.
    pub driver: String,
    /// Its unit.
    pub unit: &'static str,
    /// Its low end; `null` where its middle is 0.
    pub low: Option<f64>,
    /// Its middle.
    pub middle: f64,
    /// Its high end.
    pub high: Option<f64>,
    /// Net present value at the low end.
    pub npv_low_nzd: f64,
    /// Net present value at the high end.
    pub npv_high_nzd: f64,
    /// How far apart the two lie.
    pub swing_nzd: f64,
    /// Its value at which the net present value is 0; `null` where there is none or several.
    pub break_even: Option<f64>,
}
