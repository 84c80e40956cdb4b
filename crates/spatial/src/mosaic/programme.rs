//! What is asked of the mosaic, and its check on entry.

use thiserror::Error;

/// Which stock may go on which zone, what it is worth there, and what limits it.
///
/// Maximise Σ area × share × worth, subject to
/// - in each zone, the shares of its lines sum to at most 1: the rest is left;
/// - each line's plants sum to at most its supply;
/// - each line's hectares sum to at most `line_cap` × the area of all zones;
/// - each share is 0 or at least `min_share`.
#[derive(Debug, Clone, PartialEq)]
pub struct Programme {
    /// The zones, in the order in which ties are settled.
    pub zones: Vec<ZoneOffers>,
    /// The lines, in the order in which ties are settled.
    pub lines: Vec<LineLimit>,
    /// Least share of a zone that a line may take, 0 to 1; 0: any.
    pub min_share: f64,
    /// Greatest share of the area of all zones that one line may take, 0 to 1.
    pub line_cap: f64,
    /// Relative gap to the proven bound at which the search may stop, 0 or more.
    pub gap: f64,
    /// Seconds after which the search stops with the best found. Only a search that this stops
    /// can end differently on another machine.
    pub time_limit_s: f64,
}

/// A zone and what each line offers there.
#[derive(Debug, Clone, PartialEq)]
pub struct ZoneOffers {
    /// Map area, hectares, 0 or more.
    pub area_ha: f64,
    /// By line; `None`: the line is not allowed here.
    pub offers: Vec<Option<Offer>>,
}

/// What a line offers in a zone.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Offer {
    /// Worth of one map hectare under the line, in any unit, 0 or more.
    pub worth_per_ha: f64,
    /// Plants to order for one map hectare, 0 or more.
    pub plants_per_ha: f64,
}

/// What limits a line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LineLimit {
    /// Plants that can be had, 0 or more; `None`: not limited.
    pub supply: Option<f64>,
}

/// Why a programme was refused.
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
    /// A zone whose offers are not one for each line.
    #[error("zone {zone} has {found} offers; expected one for each of {expected} lines")]
    Offers {
        /// The zone, counted from 0.
        zone: usize,
        /// Offers found.
        found: usize,
        /// Lines.
        expected: usize,
    },
    /// The reference solver failed.
    #[error("the reference solver ended with status {status}")]
    Reference {
        /// Its status.
        status: String,
    },
}

impl Programme {
    /// Map area of all zones, hectares.
    #[must_use]
    pub fn area_ha(&self) -> f64 {
        self.zones.iter().map(|zone| zone.area_ha).sum()
    }

    /// Refuses what cannot be meant.
    pub(super) fn check(&self) -> Result<(), MosaicError> {
        let share = "a number from 0 to 1";
        let amount = "a finite number, 0 or more";
        within("min_share", self.min_share, 1.0, share)?;
        within("line_cap", self.line_cap, 1.0, share)?;
        within("gap", self.gap, f64::MAX, amount)?;
        within("time_limit_s", self.time_limit_s, f64::MAX, amount)?;
        for (line, limit) in self.lines.iter().enumerate() {
            let supply = limit.supply.unwrap_or(0.0);
            within(format!("supply of line {line}"), supply, f64::MAX, amount)?;
        }
        for (index, zone) in self.zones.iter().enumerate() {
            self.check_zone(index, zone)?;
        }
        within("the area of all zones", self.area_ha(), GREATEST, "at most 1e15 hectares")
    }

    fn check_zone(&self, zone: usize, offers: &ZoneOffers) -> Result<(), MosaicError> {
        let (found, expected) = (offers.offers.len(), self.lines.len());
        if found != expected {
            return Err(MosaicError::Offers { zone, found, expected });
        }
        let amount = "a finite number from 0 to 1e15";
        within(format!("area_ha of zone {zone}"), offers.area_ha, GREATEST, amount)?;
        for (line, offer) in offers.offers.iter().enumerate() {
            let Some(offer) = offer else { continue };
            let item = |what| format!("{what} of line {line} in zone {zone}");
            within(item("worth_per_ha"), offer.worth_per_ha, GREATEST, amount)?;
            within(item("plants_per_ha"), offer.plants_per_ha, GREATEST, amount)?;
        }
        Ok(())
    }
}

/// Beyond this, products and sums of amounts could lose all meaning.
const GREATEST: f64 = 1e15;

fn within(
    item: impl Into<String>,
    found: f64,
    greatest: f64,
    expected: &'static str,
) -> Result<(), MosaicError> {
    if (0.0..=greatest).contains(&found) {
        Ok(())
    } else {
        Err(MosaicError::Number { item: item.into(), found, expected })
    }
}
