//! A discount rate.

/// A rate a year, over −1: 0.06 is 6 %. Real rates go with prices of today, nominal rates with prices that rise.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Rate(f64);

impl Rate {
    /// A rate a year; `None` unless it is finite and over −1.
    ///
    /// ```
    /// assert!(ledger::Rate::new(0.06).is_some() && ledger::Rate::new(-1.0).is_none());
    /// ```
    #[must_use]
    pub fn new(per_year: f64) -> Option<Self> {
        (per_year.is_finite() && per_year > -1.0).then_some(Self(per_year))
    }

    /// As a share a year.
    #[must_use]
    pub fn per_year(self) -> f64 {
        self.0
    }

    /// What 1 at the end of a year is worth now: 1 / (1 + rate)^year.
    #[must_use]
    pub fn factor(self, year: usize) -> f64 {
        (1.0 + self.0).powi(-i32::try_from(year).unwrap_or(i32::MAX))
    }
}
