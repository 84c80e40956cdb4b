//! Equal sums at the end of each year.

use crate::Rate;

/// What 1 at the end of each of so many years is worth now: (1 − (1 + r)^−n) / r, and n at a rate of 0.
///
/// ```
/// let factor = ledger::annuity_factor(ledger::Rate::new(0.06).unwrap(), 20);
/// assert!((factor - 11.4699).abs() < 5e-5); // tables of annuity factors
/// ```
#[must_use]
pub fn annuity_factor(rate: Rate, years: usize) -> f64 {
    let (per_year, count) = (rate.per_year(), years as f64);
    // Near 0 the quotient loses its digits: exp and ln of values near 0 keep them.
    let lost = -(-count * per_year.ln_1p()).exp_m1();
    if per_year.abs() > 0.0 { lost / per_year } else { count }
}

/// The equal sum a year, over so many years from the end of the first, that is worth `present_nzd` now;
/// `None` for no years.
#[must_use]
pub fn equal_yearly(present_nzd: f64, rate: Rate, years: usize) -> Option<f64> {
    (years > 0).then(|| present_nzd / annuity_factor(rate, years))
}
