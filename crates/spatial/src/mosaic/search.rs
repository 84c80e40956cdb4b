//! The search under given decisions: the best shares so far, the lowest bound so far, and when to
//! stop.

use super::guess::{Prices, guess};
use super::model::{Model, PREFERENCE};
use super::relax::{Relaxation, Relaxed, relax, relax_whole};
use super::repair::{Repair, Unrepaired};
use super::{Binding, Clock};

/// How many of the least sure zones each repair frees beside the split ones.
const FREED: [usize; 5] = [0, 12, 30, 60, 120];
/// A relative gap that is nothing but rounding.
pub(super) const NO_GAP: f64 = 1e-9;
/// A price of a whole limit that is nothing but the noise of a guess, where the best zone is worth 1.
const NO_PRICE: f64 = 1e-3;

/// The best shares so far and the lowest bound so far.
pub(super) struct Search<'m> {
    model: &'m Model,
    /// By column; `None`: nothing that keeps every row yet.
    shares: Option<Vec<f64>>,
    value: f64,
    bound: f64,
    gap: f64,
    /// The shares are the best there are.
    proven: bool,
    prices: Vec<f64>,
    /// The prices prove the relaxation; else they are near those that do.
    are_exact: bool,
}

/// What the preference among equals can have cost.
fn slack(value: f64) -> f64 {
    2.0 * PREFERENCE * value.abs()
}

/// How far to go when the relaxation is known.
pub(super) enum Next {
    /// Nothing keeps every row.
    Impossible,
    /// Time is up, or the bound is low enough to tell.
    Enough,
    /// Least shares are to be restored.
    Repair(Relaxation),
}

impl<'m> Search<'m> {
    /// Begins with shares by column, which may break rules, and the bound of free rows.
    pub(super) fn new(model: &'m Model, shares: Vec<f64>, gap: f64) -> Self {
        let prices = vec![0.0; model.rows.len()];
        let bound = model.bound(&prices);
        let (proven, are_exact) = (false, false);
        let value = f64::NEG_INFINITY;
        let mut search = Self { model, shares: None, value, bound, gap, proven, prices, are_exact };
        search.offer(shares);
        search
    }

    /// Solves the relaxation, unless the bound falls to `floor` first, which is reached already.
    /// `known` are prices of a programme that differs little.
    pub(super) fn relax(&mut self, floor: f64, known: &Prices, clock: &Clock) -> Next {
        if self.model.impossible {
            return Next::Impossible;
        }
        if self.is_exact() {
            return Next::Enough;
        }
        let guess = guess(self.model, self.value.max(floor), known);
        self.bound = self.bound.min(guess.bound);
        self.prices.clone_from(&guess.prices);
        self.are_exact = false;
        if self.bound <= floor {
            return Next::Enough;
        }
        let enough = self.bound - self.gap / 2.0 * self.bound.abs();
        match relax(self.model, &guess, enough, clock) {
            Relaxed::Impossible => Next::Impossible,
            Relaxed::NotFound => Next::Enough,
            Relaxed::Found(relaxation) => {
                self.price(&relaxation);
                self.offer(relaxation.shares.clone());
                if self.bound <= floor { Next::Enough } else { Next::Repair(relaxation) }
            }
        }
    }

    /// Restores least shares until the gap is small enough, or time is up. Where a relaxation that
    /// is nearly optimal does not lead there, the optimal one is solved.
    pub(super) fn repair(&mut self, relaxation: &Relaxation, clock: &Clock) {
        self.repair_from(relaxation, clock);
        if relaxation.optimal || self.is_done() || clock.left().is_zero() {
            return;
        }
        if let Relaxed::Found(optimal) = relax_whole(self.model, clock) {
            self.price(&optimal);
            self.repair_from(&optimal, clock);
        }
    }

    fn repair_from(&mut self, relaxation: &Relaxation, clock: &Clock) {
        let prices = self.prices.clone();
        let repair = Repair::new(self.model, &relaxation.shares, &prices);
        if repair.needless() && self.shares.is_some() && relaxation.optimal {
            self.prove(self.model.value(&relaxation.shares));
        }
        let whole = repair.may_be_whole().then_some(usize::MAX);
        for more in FREED.into_iter().filter(|more| !repair.frees_all(*more)).chain(whole) {
            if self.is_done() || clock.left().is_zero() {
                return;
            }
            let all = repair.frees_all(more);
            let gap = if all { 0.0 } else { self.gap / 4.0 };
            match repair.run(more, gap, clock.left()) {
                Ok(repaired) => {
                    let worth = self.model.value(&repaired.shares);
                    self.offer(repaired.shares);
                    if repaired.optimal && self.shares.is_some() {
                        self.prove(worth);
                    }
                }
                Err(Unrepaired::Impossible) => self.bound = self.value,
                Err(Unrepaired::NotFound) => {}
            }
        }
    }

    /// Whether the gap that was asked for is proven.
    fn is_done(&self) -> bool {
        self.proven || self.bound - self.value <= self.gap.max(NO_GAP) * self.bound.abs()
    }

    /// Whether there is nothing left to gain.
    fn is_exact(&self) -> bool {
        self.bound - self.value <= NO_GAP * self.bound.abs()
    }

    /// Keeps shares when they beat the best so far, once they keep every rule.
    fn offer(&mut self, mut shares: Vec<f64>) {
        self.model.tidy(&mut shares);
        let value = self.model.value(&shares);
        if value > self.value && self.model.keeps_what_is_asked(&shares) {
            self.value = value;
            self.shares = Some(shares);
        }
    }

    /// Nothing is worth more than shares that the solver says are best, but for the preference among
    /// equals. Their own worth counts, before they were made to keep every rule to the last digit.
    fn prove(&mut self, best: f64) {
        self.proven = true;
        self.bound = self.bound.min(best.max(self.value) + slack(best));
    }

    /// Prices that prove the relaxation, or that are near those; they lower the bound. Without any,
    /// the bound of an optimal one is its own value, on the solver's word, and the prices are those
    /// that were guessed.
    fn price(&mut self, relaxation: &Relaxation) {
        if let Some(prices) = &relaxation.prices {
            let bound = self.model.bound(prices);
            if relaxation.optimal || bound <= self.model.bound(&self.prices) {
                self.prices.clone_from(prices);
                self.are_exact = relaxation.optimal;
            }
            self.bound = self.bound.min(bound);
        } else if relaxation.optimal {
            let value = self.model.value(&relaxation.shares);
            self.bound = self.bound.min(value + slack(value));
        }
    }

    /// The best shares by column, if any keep every rule.
    pub(super) fn shares(&self) -> Option<&[f64]> {
        self.shares.as_deref()
    }

    /// What the best shares are worth.
    pub(super) fn value(&self) -> f64 {
        self.value
    }

    /// What no shares under these decisions exceed.
    pub(super) fn bound(&self) -> f64 {
        self.bound.max(self.value)
    }

    /// Prices of whole limits, the best known, in units of worth.
    pub(super) fn prices(&self) -> Prices {
        let prices = self.prices.iter().map(|price| price * self.model.scale);
        self.model.rows.iter().map(|row| row.limit).zip(prices).collect()
    }

    /// Prices of rows, the best known, and what binds.
    pub(super) fn into_prices(self) -> (Vec<f64>, Vec<Binding>) {
        let least = if self.are_exact { NO_GAP } else { NO_PRICE };
        let rows = self.model.rows.iter().zip(&self.prices).filter(|(_, price)| **price > least);
        let binding = rows.map(|(row, price)| Binding {
            limit: row.limit,
            shadow_price: price * self.model.scale / row.amount,
            is_exact: self.are_exact,
        });
        let binding = binding.collect();
        (self.prices, binding)
    }
}
