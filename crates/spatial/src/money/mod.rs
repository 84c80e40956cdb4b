//! What a plan costs, and what a site's own tables say it may bring.
//!
//! ```text
//! plan ─► costs by zone, stage and year ─┐
//! income table, carbon table (yours) ────┴─► cash by year, as a range ─► present value, rates, sensitivity
//! ```
//! Nothing here is a forecast. Income is counted only where the site names a table of it, and every output
//! says that nothing is promised.

mod cash;
mod cautions;
mod chart;
mod columns;
mod costs;
mod drivers;
mod page;
mod planted;
mod rows;
mod stage;
mod table;
mod write_money;

#[cfg(test)]
mod tests;

use std::path::Path;

use ledger::{CarbonTable, Flows, Irr, Rate, annuity_factor, internal_rates, npv};
use stock::Library;

use crate::pipeline::{self, Property, Stage as PipelineStage};
use crate::plan::{InputRecord, changed_since, given_or_made, read_plan};
use crate::problem::Problem;
use crate::read::present_inputs;
use crate::site::{MoneyRules, Site};
use cash::{Case, Cash};
use cautions::CAUTIONS;
pub(crate) use columns::{CASH, COSTS, SENSITIVITY};
use costs::Costs;
use planted::Planted;
pub use rows::{CaseRow, CashRow, CostRow, Money, SensitivityRow, Settings, StageRow, ZoneCostRow};
pub use stage::Stage;
use table::Income;
pub use write_money::{
    CASH_FLOW_CSV, COSTS_CSV, MONEY_HTML, MONEY_JSON, MONEY_SCHEMA, SENSITIVITY_CSV, write_money,
};

/// Reckons the money of a plan: that of `folder`, or one that is made now. `enter` is told of each stage of a
/// plan that is made.
///
/// # Errors
/// Every fault of the site, its stock and its tables; a plan that cannot be read or made, or plants nothing.
pub fn reckon(
    site_file: &Path,
    folder: Option<&Path>,
    enter: &mut dyn FnMut(PipelineStage),
) -> Result<Money, Vec<Problem>> {
    let sound = pipeline::load(site_file)?;
    let (site, library) = (&sound.site, &sound.library);
    let tables = tables(&site.money)?;
    let plan: Planted = given_or_made(site_file, folder, enter)?;
    plan.check(folder, library)?;
    of_plan(&plan, (site, library), tables, (folder, present_inputs(site)?))
}

/// The same of the plan in a folder, on a property that was read before.
///
/// # Errors
/// As [`reckon`].
pub fn reckon_on(property: &Property, folder: &Path) -> Result<Money, Vec<Problem>> {
    let Property { site, library, ready, .. } = property;
    let tables = tables(&site.money)?;
    let plan: Planted = read_plan(folder)?;
    plan.check(Some(folder), library)?;
    of_plan(&plan, (site, library), tables, (Some(folder), ready.inputs.clone()))
}

/// Tables of income and of carbon, where the site names them.
type Tables = (Vec<Income>, Option<CarbonTable>);

/// Reads them, and reports every fault of both.
fn tables(rules: &MoneyRules) -> Result<Tables, Vec<Problem>> {
    let income = rules.income.as_deref().map(table::read_income).transpose();
    let carbon = rules.carbon.as_deref().map(table::read_carbon).transpose();
    match (income, carbon) {
        (Ok(income), Ok(carbon)) => Ok((income.unwrap_or_default(), carbon)),
        (Err(mut these), Err(those)) => {
            these.extend(those);
            Err(these)
        }
        (Err(these), _) | (_, Err(these)) => Err(these),
    }
}

fn of_plan(
    plan: &Planted,
    (site, library): (&Site, &Library),
    (income, carbon): Tables,
    (folder, inputs): (Option<&Path>, Vec<InputRecord>),
) -> Result<Money, Vec<Problem>> {
    let rules = &site.money;
    let costs = Costs::of(plan, site, library)?;
    let cash = Cash::new(&costs, plan, rules, income, carbon);
    let changed = folder.map(|folder| changed_since(folder, &inputs)).transpose()?.flatten();
    let mut money = told(plan, site, inputs, (&costs, &cash))?;
    money.warnings.extend(plan.warnings(&costs, site, library));
    money.warnings.extend(cash.warnings(rules));
    money.warnings.extend(changed);
    money.warnings = money.warnings.into_iter().map(|one| one.named_from(site.folder())).collect();
    Ok(money)
}

/// A rate that the table of keys lets through.
fn rate(per_year: f64) -> Result<Rate, Problem> {
    Rate::new(per_year).ok_or_else(|| {
        Problem::error("money.discount_rate").found(per_year.to_string()).expected("a rate over -1")
    })
}

fn told(
    plan: &Planted,
    site: &Site,
    inputs: Vec<InputRecord>,
    (costs, cash): (&Costs, &Cash),
) -> Result<Money, Problem> {
    let rules = &site.money;
    let rate = rate(rules.discount_rate)?;
    let hectares = plan.planted_ha();
    let flows = |case: Case| cash.flows(&cash.of(case));
    let [low, middle, high] = Case::ALL.map(flows);
    let spent = cash.spent();
    let present_cost_nzd = -npv(&spent, rate);
    let yearly = present_cost_nzd / annuity_factor(rate, cash.years()) / hectares;
    let rows = Case::ALL.map(|case| match case {
        Case::Low => case_row(case, &low, rate, hectares),
        Case::Middle => case_row(case, &middle, rate, hectares),
        Case::High => case_row(case, &high, rate, hectares),
    });
    let money = Money {
        schema: MONEY_SCHEMA,
        version: env!("CARGO_PKG_VERSION"),
        site: plan.site.clone(),
        inputs,
        caution: cautions::SHORT,
        settings: Settings::of(rules, plan.first_year, cash.years()),
        planted_plan_ha: hectares,
        cost_nzd: costs.total_nzd(),
        cost_nzd_per_ha: costs.total_nzd() / hectares,
        present_cost_nzd,
        equal_yearly_cost_nzd_per_ha: yearly,
        stages: costs.stage_rows(),
        zones: costs.zone_rows(plan),
        costs: costs.rows(plan),
        has_income: cash.has_income(),
        cases: if cash.has_income() { rows.to_vec() } else { Vec::new() },
        cash_flow: cash_rows(plan, [&low, &middle, &high]),
        sensitivity: drivers::sensitivity(cash, rules, rate)?,
        notes: notes(rules, cash),
        defaults: site.money.defaults.clone(),
        cautions: CAUTIONS
            .iter()
            .filter(|one| one.is_for(cash))
            .map(cautions::Told::told)
            .collect(),
        warnings: Vec::new(),
    };
    Ok(money)
}

fn case_row(case: Case, flows: &Flows, rate: Rate, hectares: f64) -> CaseRow {
    let rates = match internal_rates(flows) {
        Irr::None | Irr::Every => Vec::new(),
        Irr::One(one) => vec![one.per_year()],
        Irr::Several(several) => several.into_iter().map(Rate::per_year).collect(),
    };
    let present = npv(flows, rate);
    CaseRow {
        case: case.key(),
        total_nzd: flows.total(),
        npv_nzd: present,
        npv_nzd_per_ha: present / hectares,
        internal_rates: rates,
        pays_back_year: flows.pays_back(),
    }
}

fn cash_rows(plan: &Planted, cases: [&Flows; 3]) -> Vec<CashRow> {
    let years = cases.iter().map(|flows| flows.years()).max().unwrap_or(0);
    let sums = cases.map(Flows::cumulative);
    let row = |year: usize| CashRow {
        year,
        calendar_year: plan.calendar_year(year),
        low_nzd: cases[0][year],
        middle_nzd: cases[1][year],
        high_nzd: cases[2][year],
        low_sum_nzd: sums[0].get(year).copied().unwrap_or_default(),
        middle_sum_nzd: sums[1].get(year).copied().unwrap_or_default(),
        high_sum_nzd: sums[2].get(year).copied().unwrap_or_default(),
    };
    (0..years).map(row).collect()
}

/// What was left out or taken for granted, in sentences.
fn notes(rules: &MoneyRules, cash: &Cash) -> Vec<String> {
    let mut notes = Vec::new();
    if !cash.has_income() {
        notes.push(
            "no income was given (money.income, money.carbon) and none is assumed: these are costs"
                .to_owned(),
        );
    }
    if cash.has_falling_carbon() {
        notes.push(
            "carbon falls in the table, and what falls is paid back at the price of the same case: dear in the high \
             case, cheap in the low one, so the low case is not the worst there"
                .to_owned(),
        );
    }
    if rules.fence_m.is_none() {
        notes.push("no metres of fence were given (money.fence_m): none are counted".to_owned());
    }
    notes.push(match rules.blanking_plants {
        crate::site::BlankingPlants::Order => {
            "blanking: those expected to die are planted again the winter after, with what the order has beyond \
             the plants in the ground; whether the nursery keeps them so long is to be asked"
        }
        crate::site::BlankingPlants::New => {
            "blanking: those expected to die are bought and planted again the winter after"
        }
    }.to_owned());
    notes.push(
        "year 0 is that of the first winter; cash comes at the end of a year, and the first year is not \
         discounted; tax, loans, land and what the ground earned before are left out"
            .to_owned(),
    );
    notes
}
