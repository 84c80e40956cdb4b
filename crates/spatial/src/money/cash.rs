//! Cash by year, from costs and the site's own tables.

use std::collections::BTreeMap;

use ledger::{CarbonTable, Flows, Range};

use super::costs::Costs;
use super::planted::Planted;
use super::stage::Stage;
use super::table::Income;
use crate::problem::Problem;
use crate::site::MoneyRules;

/// Everything at one end of its range at once.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Case {
    Low,
    Middle,
    High,
}

impl Case {
    pub(super) const ALL: [Self; 3] = [Self::Low, Self::Middle, Self::High];

    pub(super) fn key(self) -> &'static str {
        match self {
            Self::Low => "low",
            Self::Middle => "middle",
            Self::High => "high",
        }
    }

    /// The end of a range.
    pub(super) fn of(self, range: Range) -> f64 {
        match self {
            Self::Low => range.low(),
            Self::Middle => range.middle(),
            Self::High => range.high(),
        }
    }
}

/// What cash hangs on, apart from the plan.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Assumed {
    /// Each stage's cost as a share of what was reckoned; overhead goes with them.
    pub(super) costs: BTreeMap<Stage, f64>,
    /// Each income's sum a year and hectare, in the order of the table.
    pub(super) income_nzd_per_ha: Vec<f64>,
    /// A tonne of carbon dioxide.
    pub(super) carbon_nzd: f64,
    /// Years by which income and carbon come late.
    pub(super) late_years: usize,
}

/// What cash is made of.
#[derive(Debug, Clone)]
pub(super) struct Cash {
    stages: BTreeMap<Stage, Flows>,
    /// Hectares planted in each year.
    ground: BTreeMap<usize, f64>,
    pub(super) income: Vec<Income>,
    pub(super) carbon: Option<(CarbonTable, Range)>,
    /// The last year.
    last: usize,
    cost_spread: f64,
}

impl Cash {
    pub(super) fn new(
        costs: &Costs,
        plan: &Planted,
        rules: &MoneyRules,
        income: Vec<Income>,
        carbon: Option<CarbonTable>,
    ) -> Self {
        let price =
            rules.carbon_price_nzd.and_then(|[low, middle, high]| Range::new(low, middle, high));
        Self {
            stages: Stage::ALL.into_iter().map(|stage| (stage, costs.flows(stage))).collect(),
            ground: plan.ground(),
            income,
            carbon: carbon.zip(price),
            last: rules.years.max(costs.years().saturating_sub(1)),
            cost_spread: rules.cost_spread,
        }
    }

    /// Years after the first.
    pub(super) fn years(&self) -> usize {
        self.last
    }

    /// Whether the site names a table of income or of carbon.
    pub(super) fn has_income(&self) -> bool {
        !self.income.is_empty() || self.carbon.is_some()
    }

    /// Whether the table of carbon falls within the years that are looked at.
    pub(super) fn has_falling_carbon(&self) -> bool {
        let falls = |table: &CarbonTable| (0..=self.last).any(|age| table.gained(age) < 0.0);
        self.carbon.as_ref().is_some_and(|(table, _)| falls(table))
    }

    /// Stages that cost anything, apart from what goes with all of them.
    pub(super) fn stages(&self) -> impl Iterator<Item = Stage> + '_ {
        let spent = self.stages.iter().filter(|(_, flows)| flows.total() > 0.0);
        spent.map(|(stage, _)| *stage).filter(|stage| *stage != Stage::Overhead)
    }

    /// What a case assumes.
    pub(super) fn of(&self, case: Case) -> Assumed {
        let share = match case {
            Case::Low => 1.0 + self.cost_spread,
            Case::Middle => 1.0,
            Case::High => 1.0 - self.cost_spread,
        };
        Assumed {
            costs: Stage::ALL.into_iter().map(|stage| (stage, share)).collect(),
            income_nzd_per_ha: self.income.iter().map(|one| case.of(one.nzd_per_ha)).collect(),
            carbon_nzd: self.carbon.as_ref().map_or(0.0, |(_, price)| case.of(*price)),
            late_years: 0,
        }
    }

    /// Costs alone, below 0, at their middle.
    pub(super) fn spent(&self) -> Flows {
        let mut flows = Flows::none(self.last + 1);
        self.add_costs(&self.of(Case::Middle), &mut flows);
        flows
    }

    /// Cash of every year.
    pub(super) fn flows(&self, assumed: &Assumed) -> Flows {
        let mut flows = Flows::none(self.last + 1);
        self.add_costs(assumed, &mut flows);
        for (planted, hectares) in &self.ground {
            let from = planted + assumed.late_years;
            for (income, nzd_per_ha) in self.income.iter().zip(&assumed.income_nzd_per_ha) {
                let [first, last] = income.years.map(|year| from.saturating_add(year));
                for year in first..=last.min(self.last) {
                    flows.add(year, hectares * nzd_per_ha);
                }
            }
            if let Some((table, _)) = &self.carbon {
                for year in from..=self.last {
                    flows.add(year, hectares * table.gained(year - from) * assumed.carbon_nzd);
                }
            }
        }
        flows
    }

    fn add_costs(&self, assumed: &Assumed, flows: &mut Flows) {
        for year in 0..=self.last {
            let (mut reckoned, mut taken) = (0.0, 0.0);
            for (stage, of) in self.stages.iter().filter(|(stage, _)| **stage != Stage::Overhead) {
                reckoned += of[year];
                taken += of[year] * assumed.costs.get(stage).copied().unwrap_or(1.0);
            }
            let share = if reckoned > 0.0 { taken / reckoned } else { 1.0 };
            let overhead = self.stages.get(&Stage::Overhead).map_or(0.0, |of| of[year]);
            flows.add(year, -(taken + overhead * share));
        }
    }

    /// What is worth a look.
    pub(super) fn warnings(&self, rules: &MoneyRules) -> Vec<Problem> {
        let first = self.ground.keys().next().copied().unwrap_or(0);
        let late = |one: &&Income| first + one.years[0] > self.last;
        let names: Vec<&str> =
            self.income.iter().filter(late).map(|one| one.what.as_str()).collect();
        let unheard = (!names.is_empty()).then(|| {
            let problem = Problem::warning("money.income")
                .found(format!("{} from after year {} on", names.join(", "), self.last))
                .expected("income within the years that are looked at")
                .remedy("raise `money.years`, or leave it: it is not counted");
            rules.income.as_ref().map_or(problem.clone(), |file| problem.file(file))
        });
        unheard.into_iter().collect()
    }
}
