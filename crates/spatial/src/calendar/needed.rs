//! What the calendar hangs on in a plan.

use serde::Deserialize;
use stock::{Library, StockKind};

use super::CalendarAsked;
use crate::plan::{WHY_NOTHING, plan_file};
use crate::problem::Problem;
use crate::site::Site;

/// A plan, as far as the calendar asks.
#[derive(Debug, Clone, Deserialize)]
pub(super) struct Needed {
    pub(super) site: String,
    pub(super) line_orders: Vec<LineOrder>,
    seasons: Vec<Season>,
    #[serde(default)]
    pub(super) cautions: Vec<Caution>,
}

/// What is ordered of one line for one winter.
#[derive(Debug, Clone, Deserialize)]
pub(super) struct LineOrder {
    pub(super) stock_id: String,
    pub(super) stock_name: String,
    stock_kind: String,
    pub(super) season: Option<i32>,
    pub(super) order_qty: u64,
}

#[derive(Debug, Clone, Deserialize)]
struct Season {
    #[serde(rename = "season")]
    year: Option<i32>,
    seedlings: u64,
    crew_days: Option<u64>,
}

/// A caution of the plan.
#[derive(Debug, Clone, Deserialize)]
pub(super) struct Caution {
    pub(super) about: String,
    pub(super) zones: Vec<String>,
    pub(super) text: String,
}

/// A winter in which something is planted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Winter {
    /// As the plan names it.
    pub(super) named: Option<i32>,
    /// Year of its June, in the southern year.
    pub(super) year: i32,
    pub(super) seedlings: u64,
    /// Months that planting takes.
    pub(super) months: u32,
}

/// Days of a month on which a crew can plant: a choice, no source.
const DAYS_A_MONTH: u64 = 20;
/// Months of planting where no crew is known, and the most of a winter, June to September.
const PLANTING_MONTHS: [u32; 2] = [2, 4];
/// Years that a winter may lie in.
const YEARS: std::ops::RangeInclusive<i32> = 1_900..=2_300;

impl LineOrder {
    pub(super) fn is_seed_line(&self) -> bool {
        self.stock_kind == StockKind::SeedLine.key()
    }

    /// Months from the order to plants.
    pub(super) fn lead_months(&self, library: &Library) -> u32 {
        let usual = if self.is_seed_line() { StockKind::SeedLine } else { StockKind::Cultivar };
        let known = library.find(&self.stock_id).map(|(_, stock)| stock.lead_months());
        known.unwrap_or_else(|| usual.usual_lead_months())
    }
}

/// A problem of the plan that was read, if one was.
fn in_plan(problem: Problem, asked: &CalendarAsked<'_>) -> Problem {
    match asked.plan {
        Some(folder) => problem.file(plan_file(folder)),
        None => problem,
    }
}

impl Needed {
    /// Refuses a plan that plants nothing, one with lines that the stock file does not have, and one without years
    /// where no month is given to begin in.
    pub(super) fn check(
        &self,
        asked: &CalendarAsked<'_>,
        site: &Site,
        library: &Library,
    ) -> Result<(), Problem> {
        let problem = |item: &str| in_plan(Problem::error(item), asked);
        if self.line_orders.is_empty() || self.seasons.iter().all(|one| one.seedlings == 0) {
            return Err(problem("line_orders")
                .found("nothing that is planted")
                .expected("a plan with orders")
                .remedy(WHY_NOTHING));
        }
        let unknown = |order: &&LineOrder| library.find(&order.stock_id).is_none();
        if let Some(order) = self.line_orders.iter().find(unknown) {
            return Err(problem("stock_id")
                .found(format!("`{}`", order.stock_id))
                .expected("a line of the stock file")
                .remedy("make the plan again: the stock file has changed since"));
        }
        if self.names_no_winter() && asked.start.is_none() {
            return Err(Problem::error("season")
                .file(&site.file)
                .found("a plan that names no winter")
                .expected("a year, or a month in which work can begin")
                .remedy("give --start YYYY-MM, or set mosaic.first_season and plan again"));
        }
        match self.seasons.iter().filter_map(|one| one.year).find(|year| !YEARS.contains(year)) {
            Some(year) => Err(problem("season")
                .found(year.to_string())
                .expected("a year of four digits")
                .remedy("set mosaic.first_season and make the plan again")),
            None => Ok(()),
        }
    }

    /// Winters whose planting takes the crew longer than they last.
    pub(super) fn too_long(&self, asked: &CalendarAsked<'_>) -> Vec<Problem> {
        let [_, most] = PLANTING_MONTHS;
        let warning = |one: &Season| {
            let days = one.crew_days?;
            let months = days.div_ceil(DAYS_A_MONTH);
            let year = one.year.map_or_else(String::new, |year| format!(" of {year}"));
            (months > u64::from(most)).then(|| {
                in_plan(Problem::warning(format!("planting{year}")), asked)
                    .found(format!("{days} days of the crew, {months} months of {DAYS_A_MONTH} days"))
                    .expected(format!("no more than the {most} months of a planting winter, which the calendar shows"))
                    .remedy(
                        "more people (labour.people), or planting spread over more winters (labour.days, \
                         mosaic.season_budget_nzd); then make the plan again",
                    )
            })
        };
        self.seasons.iter().filter(|one| one.seedlings > 0).filter_map(warning).collect()
    }

    /// Whether something is planted in a winter without a year.
    pub(super) fn names_no_winter(&self) -> bool {
        self.seasons.iter().any(|one| one.year.is_none() && one.seedlings > 0)
    }

    /// The winters in which something is planted, in order; `unnamed`: the year of one that the plan does not name.
    pub(super) fn winters(&self, unnamed: i32) -> Vec<Winter> {
        let winter = |one: &Season| {
            let [usual, most] = PLANTING_MONTHS;
            let months =
                one.crew_days.map_or(usual, |days| days.div_ceil(DAYS_A_MONTH).min(12) as u32);
            Winter {
                named: one.year,
                year: one.year.unwrap_or(unnamed),
                seedlings: one.seedlings,
                months: months.clamp(1, most),
            }
        };
        let planted = self.seasons.iter().filter(|one| one.seedlings > 0);
        let mut winters: Vec<Winter> = planted.map(winter).collect();
        winters.sort_by_key(|winter| winter.year);
        winters.dedup_by_key(|winter| winter.year);
        winters
    }
}
