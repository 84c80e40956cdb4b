//! The search: the best shares so far, the lowest bound so far, and when to stop.

use super::guess::guess;
use super::model::{Model, PREFERENCE};
use super::prices::NEAR;
use super::relax::{Relaxation, relax};
use super::repair::Repair;
use super::{Assignment, Binding, Clock};

/// How many of the least sure zones each repair frees beside the split ones.
const FREED: [usize; 5] = [0, 12, 30, 60, 120];
/// A relative gap that is nothing but rounding.
const NO_GAP: f64 = 1e-9;

/// The best shares so far and the lowest bound so far.
pub(super) struct Search<'m> {
    model: &'m Model,
    shares: Vec<f64>,
    value: f64,
    bound: f64,
    gap: f64,
    /// The shares are the best there are.
    proven: bool,
    binding: Vec<Binding>,
}

impl<'m> Search<'m> {
    /// Begins with shares by column, which may break rules, and the bound of free rows.
    pub(super) fn new(model: &'m Model, shares: Vec<f64>, gap: f64) -> Self {
        let bound = model.bound(&vec![0.0; model.rows.len()]);
        let nothing = vec![0.0; model.columns.len()];
        let (proven, binding) = (false, Vec::new());
        let mut search = Self { model, shares: nothing, value: 0.0, bound, gap, proven, binding };
        search.offer(shares);
        search
    }

    /// Goes on until the gap is small enough, or time is up.
    pub(super) fn run(&mut self, clock: &Clock) {
        if self.is_exact() {
            return;
        }
        let guess = guess(self.model, self.value);
        self.bound = self.bound.min(guess.bound);
        if let Some(relaxation) = relax(self.model, &guess, clock) {
            self.repair(&relaxation, clock);
        }
    }

    /// Goes on from optimal shares of the relaxation.
    fn repair(&mut self, relaxation: &Relaxation, clock: &Clock) {
        let relaxed = &relaxation.shares;
        let prices = self.price(relaxation);
        self.offer(relaxed.clone());
        let repair = Repair::new(self.model, relaxed, &prices);
        if repair.needless() {
            self.prove();
        }
        for more in FREED {
            if self.is_done() || clock.left().is_zero() {
                return;
            }
            let all = repair.frees_all(more);
            let gap = if all { 0.0 } else { self.gap / 4.0 };
            if let Some(repaired) = repair.run(more, gap, clock.left()) {
                self.offer(repaired.shares);
                if repaired.optimal {
                    self.prove();
                }
            }
            if all {
                return;
            }
        }
    }

    /// Whether the gap that was asked for is proven.
    fn is_done(&self) -> bool {
        self.proven || self.bound - self.value <= self.gap.max(NO_GAP) * self.bound
    }

    /// Whether there is nothing left to gain.
    fn is_exact(&self) -> bool {
        self.bound - self.value <= NO_GAP * self.bound
    }

    /// Keeps shares when they beat the best so far, once they keep every rule.
    fn offer(&mut self, mut shares: Vec<f64>) {
        self.model.tidy(&mut shares);
        let value = self.model.value(&shares);
        if value > self.value {
            self.value = value;
            self.shares = shares;
        }
    }

    /// The best so far is the best there is, but for the preference among equals.
    fn prove(&mut self) {
        self.proven = true;
        self.bound = self.bound.min(self.value * (1.0 + 2.0 * PREFERENCE));
    }

    /// Prices that prove the relaxation; they lower the bound and say which limits bind. Without
    /// any, the bound is the relaxation's own value, on the solver's word.
    fn price(&mut self, relaxation: &Relaxation) -> Vec<f64> {
        let relaxed = &relaxation.shares;
        let Some(prices) = relaxation.prices.clone() else {
            let word = self.model.value(relaxed) * (1.0 + 2.0 * PREFERENCE);
            self.bound = self.bound.min(word);
            return vec![0.0; self.model.rows.len()];
        };
        self.bound = self.bound.min(self.model.bound(&prices));
        let used = self.model.used(relaxed);
        for (index, row) in self.model.rows.iter().enumerate() {
            if used[index] > 1.0 - NEAR {
                let shadow_price = prices[index] * self.model.scale / row.amount;
                self.binding.push(Binding { line: row.line, limit: row.limit, shadow_price });
            }
        }
        prices
    }

    pub(super) fn assignment(self) -> Assignment {
        let stopped_early = !self.is_done();
        let bound = self.bound.max(self.value);
        let gap = if bound > 0.0 { (bound - self.value) / bound } else { 0.0 };
        Assignment {
            shares: self.model.table(&self.shares),
            objective: self.value * self.model.scale,
            bound: bound * self.model.scale,
            gap,
            stopped_early,
            binding: self.binding,
        }
    }
}
