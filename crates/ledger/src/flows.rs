//! Cash by year.

use std::ops::Index;

/// Cash of each year, NZ$: above 0 comes in, below 0 goes out. Year 0 is the first.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Flows(Vec<f64>);

impl Flows {
    /// Nothing in so many years.
    #[must_use]
    pub fn none(years: usize) -> Self {
        Self(vec![0.0; years])
    }

    /// Adds cash to a year; the years before it are then there too.
    pub fn add(&mut self, year: usize, nzd: f64) {
        if self.0.len() <= year {
            self.0.resize(year + 1, 0.0);
        }
        self.0[year] += nzd;
    }

    /// Years that there are, the first one too.
    #[must_use]
    pub fn years(&self) -> usize {
        self.0.len()
    }

    /// Cash of each year, the first one first.
    #[must_use]
    pub fn iter(&self) -> impl DoubleEndedIterator<Item = f64> + ExactSizeIterator + '_ {
        self.0.iter().copied()
    }

    /// All cash, not discounted.
    #[must_use]
    pub fn total(&self) -> f64 {
        self.0.iter().sum()
    }

    /// Cash up to the end of each year, not discounted.
    #[must_use]
    pub fn cumulative(&self) -> Vec<f64> {
        let add = |sum: &mut f64, nzd: &f64| {
            *sum += nzd;
            Some(*sum)
        };
        self.0.iter().scan(0.0, add).collect()
    }

    /// First year from whose end on cash up to then is never below 0 again; `None`: none is, or cash never
    /// was below 0.
    ///
    /// ```
    /// let flows: ledger::Flows = [-100.0, 60.0, 60.0].into_iter().collect();
    /// assert_eq!(flows.pays_back(), Some(2));
    /// ```
    #[must_use]
    pub fn pays_back(&self) -> Option<usize> {
        let sums = self.cumulative();
        let last = sums.iter().rposition(|sum| *sum < 0.0)?;
        (last + 1 < sums.len()).then_some(last + 1)
    }
}

impl FromIterator<f64> for Flows {
    fn from_iter<I: IntoIterator<Item = f64>>(cash: I) -> Self {
        Self(cash.into_iter().collect())
    }
}

impl Index<usize> for Flows {
    type Output = f64;

    /// Cash of a year; 0 beyond the last.
    fn index(&self, year: usize) -> &f64 {
        self.0.get(year).unwrap_or(&0.0)
    }
}
