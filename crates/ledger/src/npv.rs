//! Net present value.

use crate::{Flows, Rate};

/// What cash of all years is worth now, NZ$: Σ cash(t) / (1 + rate)^t, year 0 as it is. Cost: O(years).
///
/// ```
/// use ledger::{Flows, Rate, npv};
/// let flows: Flows = [-100.0, 110.0].into_iter().collect();
/// assert!(npv(&flows, Rate::new(0.1).unwrap()).abs() < 1e-9);
/// ```
#[must_use]
pub fn npv(flows: &Flows, rate: Rate) -> f64 {
    let back = 1.0 / (1.0 + rate.per_year());
    flows.iter().rev().fold(0.0, |later, nzd| later * back + nzd)
}
