//! Programmes checked on entry.

use thiserror::Error;

use super::{Hindrance, Offer, Programme, ZoneOffers};

/// Why a programme has no answer.
#[derive(Debug, Clone, PartialEq, Error)]
#[non_exhaustive]
pub enum MosaicError {
    /// A number that is not what it must be.
    #[error("{item} is {found}; expected {expected}")]
    Number {
        /// What it is, with zone and line counted from 0.
        item: String,
        /// What was found.
        found: f64,
        /// What was expected.
        expected: &'static str,
    },
    /// A list that is not one for each line, or for each season.
    #[error("{item} has {found} entries; expected one for each of {expected} {of}")]
    Count {
        /// What it is, with zone and line counted from 0.
        item: String,
        /// Entries found.
        found: usize,
        /// Entries expected.
        expected: usize,
        /// What there should be one for each of.
        of: &'static str,
    },
    /// Rules that no assignment can keep together.
    #[error("no assignment keeps every rule: {why}")]
    Impossible {
        /// What stands in the way.
        why: String,
        /// Rules that, each taken away alone, would let the others be kept.
        hindrances: Vec<Hindrance>,
    },
    /// Nothing was found that keeps every rule, after as much as is ever tried.
    #[error(
        "nothing was found that keeps every rule in {nodes} tries, and nothing shows that there is nothing"
    )]
    GaveUp {
        /// Most sets of decisions that are looked at.
        nodes: usize,
    },
    /// Nothing was found that keeps every rule, and time was up.
    #[error("nothing was found within {seconds} s that keeps every rule")]
    OutOfTime {
        /// The time limit.
        seconds: f64,
    },
}

/// Beyond this, products and sums of amounts could lose all meaning.
const GREATEST: f64 = 1e15;
const SHARE: &str = "a number from 0 to 1";
const AMOUNT: &str = "a finite number, 0 or more";
const BOUNDED: &str = "a finite number from 0 to 1e15";

impl Programme {
    /// Refuses what cannot be meant.
    pub(super) fn check(&self) -> Result<(), MosaicError> {
        within("min_share", self.min_share, 1.0, SHARE)?;
        within("line_cap", self.line_cap, 1.0, SHARE)?;
        within("wait", self.wait, 1.0, SHARE)?;
        within("gap", self.gap, f64::MAX, AMOUNT)?;
        within("time_limit_s", self.time_limit_s, f64::MAX, AMOUNT)?;
        within("budget", self.budget.unwrap_or(0.0), f64::MAX, AMOUNT)?;
        within("season_budget", self.season_budget.unwrap_or(0.0), f64::MAX, AMOUNT)?;
        within("season_days", self.season_days.unwrap_or(0.0), f64::MAX, AMOUNT)?;
        if self.seasons == 0 {
            return Err(number("seasons", 0.0, "1 or more"));
        }
        if let Some(rule) = self.flowering {
            within("flowering.least_ha", rule.least_ha, GREATEST, BOUNDED)?;
            if rule.least_ha <= 0.0 {
                return Err(number("flowering.least_ha", rule.least_ha, "more than 0"));
            }
        }
        (0..self.lines.len()).try_for_each(|line| self.check_line(line))?;
        for (index, zone) in self.zones.iter().enumerate() {
            self.check_zone(index, zone)?;
        }
        within("the area of all zones", self.area_ha(), GREATEST, "at most 1e15 hectares")
    }

    fn check_line(&self, line: usize) -> Result<(), MosaicError> {
        let limit = &self.lines[line];
        within(format!("supply of line {line}"), limit.supply.unwrap_or(0.0), f64::MAX, AMOUNT)?;
        within(format!("min_lot of line {line}"), limit.min_lot, GREATEST, BOUNDED)?;
        for (season, supply) in limit.by_season.iter().enumerate() {
            let item = format!("supply of line {line} in season {season}");
            within(item, supply.unwrap_or(0.0), f64::MAX, AMOUNT)?;
        }
        let found = limit.by_season.len();
        if found != 0 && found != self.seasons {
            let item = format!("by_season of line {line}");
            return Err(MosaicError::Count { item, found, expected: self.seasons, of: "seasons" });
        }
        Ok(())
    }

    fn check_zone(&self, zone: usize, offers: &ZoneOffers) -> Result<(), MosaicError> {
        let (found, expected) = (offers.offers.len(), self.lines.len());
        if found != expected {
            let item = format!("offers of zone {zone}");
            return Err(MosaicError::Count { item, found, expected, of: "lines" });
        }
        within(format!("area_ha of zone {zone}"), offers.area_ha, GREATEST, BOUNDED)?;
        within(format!("open_share of zone {zone}"), offers.open_share, 1.0, SHARE)?;
        let left = offers.left_worth_per_ha;
        within(format!("left_worth_per_ha of zone {zone}"), left, GREATEST, BOUNDED)?;
        for (line, offer) in offers.offers.iter().enumerate() {
            let Some(offer) = offer else { continue };
            let Offer { worth_per_ha, plants_per_ha, cost_per_ha, days_per_ha, .. } = *offer;
            let item = |what| format!("{what} of line {line} in zone {zone}");
            within(item("worth_per_ha"), worth_per_ha, GREATEST, BOUNDED)?;
            within(item("plants_per_ha"), plants_per_ha, GREATEST, BOUNDED)?;
            within(item("cost_per_ha"), cost_per_ha, GREATEST, BOUNDED)?;
            within(item("days_per_ha"), days_per_ha, GREATEST, BOUNDED)?;
        }
        Ok(())
    }
}

fn within(
    item: impl Into<String>,
    found: f64,
    greatest: f64,
    expected: &'static str,
) -> Result<(), MosaicError> {
    if (0.0..=greatest).contains(&found) { Ok(()) } else { Err(number(item, found, expected)) }
}

fn number(item: impl Into<String>, found: f64, expected: &'static str) -> MosaicError {
    MosaicError::Number { item: item.into(), found, expected }
}
