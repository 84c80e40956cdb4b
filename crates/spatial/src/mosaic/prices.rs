//! Prices of limits that prove a relaxation optimal.

use std::collections::BTreeMap;

use microlp::{ComparisonOp, OptimizationDirection, Problem, SolveOptions};

use super::Clock;
use super::model::{Column, Model};

/// A share or a row counts as used, or full, within this.
pub(super) const NEAR: f64 = 1e-7;
/// Prices are good when no column beats the chosen one by more.
const PRICE_TOLERANCE: f64 = 1e-9;
/// Price rows after which the search for prices is given up: cycling on round-off.
const PRICE_ROWS: usize = 20_000;

/// Which value of a column is meant.
#[derive(Debug, Clone, Copy)]
enum Worth {
    /// As the programme says.
    True,
    /// With the preference among equals.
    Preferred,
}

impl Worth {
    fn of(self, choice: Choice<'_>) -> f64 {
        choice.map_or(0.0, |column| match self {
            Self::True => column.value,
            Self::Preferred => column.preferred,
        })
    }
}

/// What a zone may do with its ground: give it to a column, or leave it.
type Choice<'m> = Option<&'m Column>;

/// One price row: Σ price × fraction ≥ value.
type PriceRow = (BTreeMap<usize, f64>, f64);

/// Prices by row, the whole row sold, under which none of `zones` would choose otherwise than in
/// `shares` (complementary slackness): for all zones, they prove `shares` optimal. `None` when
/// there are none, or time is up. The lowest such prices are given, by true values if these allow
/// it, else by values with the preference among equals.
pub(super) fn prices(
    model: &Model,
    zones: &[usize],
    shares: &[f64],
    clock: &Clock,
) -> Option<Vec<f64>> {
    let by = |worth| prices_by(model, zones, shares, worth, clock);
    by(Worth::True).or_else(|| by(Worth::Preferred))
}

/// A small linear programme over the full rows, to which price rows are added while some zone
/// would choose otherwise.
fn prices_by(
    model: &Model,
    zones: &[usize],
    shares: &[f64],
    worth: Worth,
    clock: &Clock,
) -> Option<Vec<f64>> {
    let full: Vec<_> = model.spare(shares).iter().map(|spare| *spare < NEAR).collect();
    let mut prices = vec![0.0; model.rows.len()];
    let mut rows: Vec<PriceRow> = Vec::new();
    while !clock.left().is_zero() {
        let found = broken(model, zones, shares, &prices, &full, worth);
        if found.is_empty() {
            return Some(prices);
        }
        if rows.len() > PRICE_ROWS {
            return None;
        }
        rows.extend(found);
        prices = lowest(&rows, &full)?;
    }
    None
}

/// The choices in which some zone would do better than in `shares`: the worst of each pair of lines
/// and seasons.
fn broken(
    model: &Model,
    zones: &[usize],
    shares: &[f64],
    prices: &[f64],
    full: &[bool],
    worth: Worth,
) -> Vec<PriceRow> {
    let mut worst: BTreeMap<_, (f64, Choice<'_>, Choice<'_>)> = BTreeMap::new();
    let pays =
        |choice: Choice<'_>| worth.of(choice) - choice.map_or(0.0, |column| column.cost(prices));
    let key = |choice: Choice<'_>| choice.map(|column| (column.line, column.season));
    for (zone, full) in zones.iter().map(|&zone| (&model.zones[zone], model.full[zone])) {
        let given: f64 = zone.clone().map(|column| shares[column]).sum();
        let leaves = (given < 1.0 - NEAR && !full).then_some(None);
        let chosen = zone.clone().filter(|&column| shares[column] > NEAR);
        let chosen = chosen.map(|column| Some(&model.columns[column])).chain(leaves);
        for taken in chosen {
            let others = model.columns[zone.clone()].iter().map(Some);
            let others = others.chain((!full).then_some(None));
            for other in others {
                let loss = pays(other) - pays(taken);
                let entry = worst.entry((key(taken), key(other))).or_insert((0.0, None, None));
                if loss > PRICE_TOLERANCE && loss > entry.0 {
                    *entry = (loss, taken, other);
                }
            }
        }
    }
    let broken = worst.into_values().filter(|(loss, ..)| *loss > 0.0);
    broken.map(|(_, taken, other)| price_row(taken, other, full, worth)).collect()
}

/// `taken` pays at least as much as `other`.
fn price_row(taken: Choice<'_>, other: Choice<'_>, full: &[bool], worth: Worth) -> PriceRow {
    let mut terms = BTreeMap::new();
    for (choice, sign) in [(other, 1.0), (taken, -1.0)] {
        for (row, fraction) in choice.iter().flat_map(|column| column.uses()) {
            if full[row] {
                *terms.entry(row).or_insert(0.0) += sign * fraction;
            }
        }
    }
    (terms, worth.of(other) - worth.of(taken))
}

/// The prices of least sum that keep the price rows.
fn lowest(rows: &[PriceRow], full: &[bool]) -> Option<Vec<f64>> {
    let mut problem = Problem::new(OptimizationDirection::Minimize);
    let variables: Vec<_> = full
        .iter()
        .map(|full| problem.add_var(1.0, (0.0, if *full { f64::INFINITY } else { 0.0 })))
        .collect();
    for (terms, value) in rows {
        let terms: Vec<_> = terms.iter().map(|(&row, &f)| (variables[row], f)).collect();
        problem.add_constraint(terms, ComparisonOp::Ge, value - PRICE_TOLERANCE / 2.0);
    }
    let mut options = SolveOptions::default();
    options.tolerances.feasibility = 1e-10;
    let solution = problem.solve_with(options).ok()?.into_solution().ok()?;
    Some(variables.iter().map(|&v| solution.var_value(v).max(0.0)).collect())
}
