//! Least shares restored: most zones keep what the relaxation gave them whole, the few others are
//! settled together by a small mixed-integer programme.

use std::time::Duration;

use microlp::{ComparisonOp, OptimizationDirection, Problem, SolveOptions};

use super::model::{Model, Row};
use super::prices::NEAR;
use super::relax::{add_rows, add_zones};

/// Branch-and-bound nodes of one repair: a limit that, unlike time, stops at the same place on
/// every machine.
const NODES: u64 = 1_500;
/// Columns above which a zone's choice is narrowed to its most promising lines.
const WIDE: usize = 160;
/// Columns up to which everything may be settled at once.
const WHOLE: usize = 600;
/// How many lines a narrowed zone keeps, beside those that the relaxation gave it.
const PROMISING: usize = 4;

/// A relaxation with its prices, from which repairs begin.
pub(super) struct Repair<'m> {
    model: &'m Model,
    relaxed: &'m [f64],
    prices: &'m [f64],
    /// Zones that the relaxation split or gave in part.
    split: Vec<usize>,
    /// The other zones that offer anything, the least sure first.
    unsure: Vec<usize>,
}

/// What a repair found.
pub(super) struct Repaired {
    pub(super) shares: Vec<f64>,
    /// Whether it is proven to be the best of all assignments.
    pub(super) optimal: bool,
}

/// Why a repair gave no shares.
pub(super) enum Unrepaired {
    /// No shares keep every row with least shares.
    Impossible,
    /// None were found, in time or with the zones set free.
    NotFound,
}

impl<'m> Repair<'m> {
    pub(super) fn new(model: &'m Model, relaxed: &'m [f64], prices: &'m [f64]) -> Self {
        let mut split = Vec::new();
        let mut unsure = Vec::new();
        for (zone, columns) in model.zones.iter().enumerate().filter(|(_, c)| !c.is_empty()) {
            let whole = columns.clone().any(|column| relaxed[column] > 1.0 - NEAR);
            let left = columns.clone().all(|column| relaxed[column] < NEAR);
            if whole || (left && !model.full[zone]) {
                unsure.push((model.best(zone, prices).regret, zone));
            } else {
                split.push(zone);
            }
        }
        unsure.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        let unsure = unsure.into_iter().map(|(_, zone)| zone).collect();
        Self { model, relaxed, prices, split, unsure }
    }

    /// Whether the relaxation keeps every least share as it is.
    pub(super) fn needless(&self) -> bool {
        let least = self.model.min_share - NEAR;
        self.relaxed.iter().all(|&share| share < NEAR || share > least)
    }

    /// Whether a repair that frees `more` zones frees every zone.
    pub(super) fn frees_all(&self, more: usize) -> bool {
        more >= self.unsure.len()
    }

    /// Settles the split zones and the `more` least sure ones together. `gap` is relative to
    /// these zones' value.
    pub(super) fn run(
        &self,
        more: usize,
        gap: f64,
        time: Duration,
    ) -> Result<Repaired, Unrepaired> {
        let (free, narrowed) = self.free(more);
        let mut shares = self.relaxed.to_vec();
        let zones = self.split.iter().chain(self.unsure.iter().take(more));
        for column in zones.flat_map(|&zone| self.model.zones[zone].clone()) {
            shares[column] = 0.0;
        }
        for share in &mut shares {
            *share = share.round();
        }
        let left: Vec<_> = self
            .model
            .spare(&shares)
            .into_iter()
            .zip(&self.model.rows)
            .map(clear_of_dust)
            .collect();
        let whole = !narrowed && self.frees_all(more);
        let (settled, proven) = settle(self.model, &free, &left, gap, time)
            .map_err(|why| if whole { why } else { Unrepaired::NotFound })?;
        for (&column, share) in free.iter().zip(settled) {
            shares[column] = share;
        }
        Ok(Repaired { shares, optimal: proven && whole })
    }

    /// Whether a repair may free every zone and narrow none.
    pub(super) fn may_be_whole(&self) -> bool {
        self.model.columns.len() <= WHOLE
    }

    /// Columns set free, in order, and whether some of the zones' columns were left out.
    fn free(&self, more: usize) -> (Vec<usize>, bool) {
        let mut zones: Vec<_> =
            self.split.iter().chain(self.unsure.iter().take(more)).copied().collect();
        zones.sort_unstable();
        let every = |zone: usize| self.model.zones[zone].clone();
        let all: Vec<_> = zones.iter().flat_map(|&zone| every(zone)).collect();
        if all.len() <= WIDE || more == usize::MAX {
            return (all, false);
        }
        let kept: Vec<_> = zones.iter().flat_map(|&zone| self.promising(zone)).collect();
        let narrowed = kept.len() < all.len();
        (kept, narrowed)
    }

    fn promising(&self, zone: usize) -> Vec<usize> {
        let mut columns = self.model.likeliest(zone, self.prices, PROMISING);
        let given = |column: &usize| self.relaxed[*column] > NEAR && !columns.contains(column);
        let given: Vec<_> = self.model.zones[zone].clone().filter(given).collect();
        columns.extend(given);
        columns.sort_unstable();
        columns
    }
}

/// A limit that rounding has overdrawn has nothing left.
fn clear_of_dust((spare, row): (f64, &Row)) -> f64 {
    if row.asks() { spare } else { spare.max(0.0) }
}

/// Shares of the free columns, each 0 or a least share or more, within what is left of the rows,
/// and whether they are proven best.
fn settle(
    model: &Model,
    free: &[usize],
    left: &[f64],
    gap: f64,
    time: Duration,
) -> Result<(Vec<f64>, bool), Unrepaired> {
    let mut problem = Problem::new(OptimizationDirection::Maximize);
    let shares: Vec<_> = free
        .iter()
        .map(|&column| problem.add_var(model.columns[column].preferred, (0.0, 1.0)))
        .collect();
    if model.min_share > 0.0 {
        for &share in &shares {
            let taken = problem.add_binary_var(0.0);
            problem.add_constraint([(share, 1.0), (taken, -1.0)], ComparisonOp::Le, 0.0);
            problem.add_constraint(
                [(share, 1.0), (taken, -model.min_share)],
                ComparisonOp::Ge,
                0.0,
            );
        }
    }
    add_zones(&mut problem, model, free, &shares);
    if !add_rows(&mut problem, model, free, &shares, left) {
        return Err(Unrepaired::Impossible);
    }
    let mut options = SolveOptions::default();
    options.time_limit = Some(time);
    options.node_limit = Some(NODES);
    options.mip_gap = gap;
    options.tolerances.feasibility = 1e-9;
    let outcome = problem.solve_with(options).map_err(|error| match error {
        microlp::Error::Infeasible => Unrepaired::Impossible,
        _ => Unrepaired::NotFound,
    })?;
    let proven = outcome.is_optimal();
    let solution = outcome.into_solution().map_err(|_ended| Unrepaired::NotFound)?;
    Ok((shares.iter().map(|&v| solution.var_value(v).clamp(0.0, 1.0)).collect(), proven))
}
