//! What moves the present value most.

use std::collections::BTreeMap;

use ledger::{Driver, Irr, Rate, break_even, internal_rates, npv, one_at_a_time};

use super::cash::{Assumed, Case, Cash};
use super::rate;
use super::rows::SensitivityRow;
use super::stage::Stage;
use crate::problem::Problem;
use crate::site::MoneyRules;

/// Most times its middle at which an income or a cost is looked for that breaks even.
const MOST_TIMES: f64 = 100.0;
/// Highest price of a tonne at which carbon is looked for that breaks even, NZ$.
const MOST_CARBON_NZD: f64 = 1e5;

/// A figure that may be moved.
#[derive(Debug, Clone, PartialEq)]
enum Moved {
    /// The cost of a stage, as a share of what was reckoned.
    Cost(Stage),
    /// All rows of the table of income of one name: −1 for their low ends, 0 for their middles, 1 for their
    /// high ends.
    Income(String),
    /// The price of carbon.
    Carbon,
    /// The discount rate.
    Rate,
    /// Years by which income and carbon come late.
    Late,
}

/// The table, the widest swing first.
pub(super) fn sensitivity(
    cash: &Cash,
    rules: &MoneyRules,
    usual: Rate,
) -> Result<Vec<SensitivityRow>, Problem> {
    for end in rules.discount_rates {
        rate(end)?;
    }
    let (moved, drivers): (Vec<Moved>, Vec<Driver>) = movable(cash, rules).into_iter().unzip();
    let result = |values: &[f64]| {
        let mut assumed = cash.of(Case::Middle);
        let mut at = usual;
        for (moved, value) in moved.iter().zip(values) {
            moved.apply(*value, cash, &mut assumed, &mut at);
        }
        npv(&cash.flows(&assumed), at)
    };
    let row = |swing: ledger::Swing| {
        let (moved, driver) = (&moved[swing.driver], &drivers[swing.driver]);
        let [low, high] = moved.ends(cash, driver);
        SensitivityRow {
            driver: driver.name.clone(),
            unit: moved.unit(),
            low,
            middle: moved.middle(driver),
            high,
            npv_low_nzd: swing.at_low,
            npv_high_nzd: swing.at_high,
            swing_nzd: swing.width(),
            break_even: moved.break_even(cash, usual),
        }
    };
    Ok(one_at_a_time(&drivers, result).into_iter().map(row).collect())
}

fn movable(cash: &Cash, rules: &MoneyRules) -> Vec<(Moved, Driver)> {
    let driver = |name: &str, low: f64, middle: f64, high: f64| Driver {
        name: name.to_owned(),
        low,
        middle,
        high,
    };
    let spread = rules.cost_spread;
    let mut all: Vec<(Moved, Driver)> = cash
        .stages()
        .map(|stage| {
            let name = format!("cost of {}", stage.key());
            (Moved::Cost(stage), driver(&name, 1.0 - spread, 1.0, 1.0 + spread))
        })
        .collect();
    let mut names: Vec<&str> = cash.income.iter().map(|one| one.what.as_str()).collect();
    names.sort_unstable();
    names.dedup();
    all.extend(names.into_iter().map(|name| {
        (Moved::Income(name.to_owned()), driver(&format!("income: {name}"), -1.0, 0.0, 1.0))
    }));
    if let Some((_, price)) = &cash.carbon {
        let driver = driver("price of carbon", price.low(), price.middle(), price.high());
        all.push((Moved::Carbon, driver));
    }
    let [low, high] = rules.discount_rates;
    all.push((Moved::Rate, driver("discount rate", low, rules.discount_rate, high)));
    if cash.has_income() && rules.income_late_years > 0 {
        let late = rules.income_late_years as f64;
        all.push((Moved::Late, driver("income and carbon late", late, 0.0, 0.0)));
    }
    all
}

impl Moved {
    fn unit(&self) -> &'static str {
        match self {
            Self::Cost(_) => "times what was reckoned",
            Self::Income(_) => "times its middle",
            Self::Carbon => "NZ$/t",
            Self::Rate => "a year",
            Self::Late => "years",
        }
    }

    fn apply(&self, value: f64, cash: &Cash, assumed: &mut Assumed, at: &mut Rate) {
        match self {
            Self::Cost(stage) => {
                assumed.costs.insert(*stage, value);
            }
            Self::Income(name) => {
                let rows = cash.income.iter().zip(&mut assumed.income_nzd_per_ha);
                for (one, nzd_per_ha) in rows.filter(|(one, _)| one.what == *name) {
                    *nzd_per_ha = match value {
                        low if low < 0.0 => one.nzd_per_ha.low(),
                        high if high > 0.0 => one.nzd_per_ha.high(),
                        _ => one.nzd_per_ha.middle(),
                    };
                }
            }
            Self::Carbon => assumed.carbon_nzd = value,
            Self::Rate => *at = Rate::new(value).unwrap_or(*at),
            Self::Late => assumed.late_years = value as usize,
        }
    }

    /// The middle as it is told.
    fn middle(&self, driver: &Driver) -> f64 {
        if matches!(self, Self::Income(_)) { 1.0 } else { driver.middle }
    }

    /// Both ends as they are told: of income, what all its rows bring beside what they bring at their middles.
    fn ends(&self, cash: &Cash, driver: &Driver) -> [Option<f64>; 2] {
        let Self::Income(name) = self else { return [Some(driver.low), Some(driver.high)] };
        let brings = |case: Case| {
            let mut assumed = nothing(cash);
            let rows = cash.income.iter().zip(&mut assumed.income_nzd_per_ha);
            for (one, nzd_per_ha) in rows.filter(|(one, _)| one.what == *name) {
                *nzd_per_ha = case.of(one.nzd_per_ha);
            }
            cash.flows(&assumed).total()
        };
        let middle = brings(Case::Middle);
        [Case::Low, Case::High].map(|case| (middle > 0.0).then(|| brings(case) / middle))
    }

    /// The value at which the present value is 0, all others at their middles.
    fn break_even(&self, cash: &Cash, usual: Rate) -> Option<f64> {
        let with = |assumed: &Assumed| npv(&cash.flows(assumed), usual);
        let middle = cash.of(Case::Middle);
        match self {
            Self::Cost(stage) => break_even(0.0, MOST_TIMES, |value| {
                let mut assumed = middle.clone();
                assumed.costs.insert(*stage, value);
                with(&assumed)
            }),
            Self::Income(name) => break_even(0.0, MOST_TIMES, |value| {
                let mut assumed = middle.clone();
                let rows = cash.income.iter().zip(&mut assumed.income_nzd_per_ha);
                for (one, nzd_per_ha) in rows.filter(|(one, _)| one.what == *name) {
                    *nzd_per_ha = value * one.nzd_per_ha.middle();
                }
                with(&assumed)
            }),
            Self::Carbon => break_even(0.0, MOST_CARBON_NZD, |value| {
                with(&Assumed { carbon_nzd: value, ..middle.clone() })
            }),
            Self::Rate => match internal_rates(&cash.flows(&middle)) {
                Irr::One(one) => Some(one.per_year()),
                Irr::None | Irr::Several(_) | Irr::Every => None,
            },
            Self::Late => None,
        }
    }
}

/// No costs and no income.
fn nothing(cash: &Cash) -> Assumed {
    Assumed {
        costs: Stage::ALL.into_iter().map(|stage| (stage, 0.0)).collect::<BTreeMap<_, _>>(),
        income_nzd_per_ha: vec![0.0; cash.income.len()],
        carbon_nzd: 0.0,
        late_years: 0,
    }
}
