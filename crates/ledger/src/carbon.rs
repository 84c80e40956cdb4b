//! Carbon that stands on a hectare, by age, from a table that somebody gave.

/// Tonnes of carbon dioxide held by a hectare, t CO2/ha, by age in years: a table with straight lines between
/// its rows. At age 0 it is 0 unless the table says otherwise; beyond its last age nothing is added.
#[derive(Debug, Clone, PartialEq)]
pub struct CarbonTable {
    ages_years: Vec<f64>,
    tco2_per_ha: Vec<f64>,
}

/// Why rows make no table; the row counts from 0.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TableFault {
    /// No rows.
    Empty,
    /// An age that is not above the one before it, or below 0, or no number.
    Age(usize),
    /// An amount below 0, or no number; other than 0 at age 0.
    Amount(usize),
}

impl CarbonTable {
    /// A table of age in years and t CO2/ha.
    ///
    /// # Errors
    /// When there are no rows, ages do not rise, or an amount is below 0.
    pub fn new(rows: &[(f64, f64)]) -> Result<Self, TableFault> {
        if rows.is_empty() {
            return Err(TableFault::Empty);
        }
        let mut before = None;
        for (at, (age, amount)) in rows.iter().enumerate() {
            let rises = before.is_none_or(|before| *age > before);
            if !(age.is_finite() && *age >= 0.0 && rises) {
                return Err(TableFault::Age(at));
            }
            if !(amount.is_finite() && *amount >= 0.0) {
                return Err(TableFault::Amount(at));
            }
            before = Some(*age);
        }
        let mut table = Self { ages_years: Vec::new(), tco2_per_ha: Vec::new() };
        if rows[0].0 > 0.0 {
            table.ages_years.push(0.0);
            table.tco2_per_ha.push(0.0);
        }
        table.ages_years.extend(rows.iter().map(|(age, _)| *age));
        table.tco2_per_ha.extend(rows.iter().map(|(_, amount)| *amount));
        Ok(table)
    }

    /// What a hectare holds at an age, t CO2/ha. Cost: O(log rows).
    ///
    /// ```
    /// let table = ledger::CarbonTable::new(&[(5.0, 8.0), (10.0, 40.0)]).unwrap();
    /// assert!((table.held(7.5) - 24.0).abs() < 1e-12 && (table.held(99.0) - 40.0).abs() < 1e-12);
    /// ```
    #[must_use]
    pub fn held(&self, age_years: f64) -> f64 {
        let after = self.ages_years.partition_point(|age| *age <= age_years);
        let Some(before) = after.checked_sub(1) else { return self.tco2_per_ha[0] };
        let Some(next) = self.ages_years.get(after) else { return self.tco2_per_ha[before] };
        let part = (age_years - self.ages_years[before]) / (next - self.ages_years[before]);
        self.tco2_per_ha[before] + part * (self.tco2_per_ha[after] - self.tco2_per_ha[before])
    }

    /// What a hectare gains in the year that ends at a whole age, t CO2/ha; below 0 where the table falls.
    /// 0 in the year of planting.
    #[must_use]
    pub fn gained(&self, age_years: usize) -> f64 {
        match age_years.checked_sub(1) {
            Some(before) => self.held(age_years as f64) - self.held(before as f64),
            None => 0.0,
        }
    }

    /// The last age of the table, years.
    #[must_use]
    pub fn last_age_years(&self) -> f64 {
        self.ages_years.last().copied().unwrap_or(0.0)
    }
}
