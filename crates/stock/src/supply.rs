//! How many plants of a stock there are, and when.

use std::collections::BTreeMap;

/// Plants of a stock that can be had.
///
/// A planting season is named by the calendar year of its winter, June to September.
///
/// ```
/// use stock::Supply;
/// let supply = Supply::Seasons([(2027, 20_000), (2028, 60_000)].into());
/// assert_eq!(supply.total(), Some(80_000));
/// assert_eq!(supply.in_season(2028), Some(60_000));
/// assert_eq!(supply.in_season(2029), Some(0));
/// ```
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub enum Supply {
    /// As many as are asked for.
    #[default]
    Unlimited,
    /// So many plants for the whole plan, whatever the season.
    Total(u64),
    /// So many plants by season; a season that is not named has none.
    Seasons(BTreeMap<i32, u64>),
}

impl Supply {
    /// Plants over all seasons; `None`: not limited.
    #[must_use]
    pub fn total(&self) -> Option<u64> {
        match self {
            Self::Unlimited => None,
            Self::Total(plants) => Some(*plants),
            Self::Seasons(seasons) => {
                Some(seasons.values().fold(0, |sum, plants| u64::saturating_add(sum, *plants)))
            }
        }
    }

    /// Plants in one season; `None`: not limited. A supply that is given as one figure can be had
    /// in any one season, once.
    #[must_use]
    pub fn in_season(&self, year: i32) -> Option<u64> {
        match self {
            Self::Unlimited => None,
            Self::Total(plants) => Some(*plants),
            Self::Seasons(seasons) => Some(seasons.get(&year).copied().unwrap_or(0)),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_supply_is_the_sum_of_its_seasons_and_each_season_its_own() {
        let seasons = Supply::Seasons(BTreeMap::from([(2031, 40), (2033, 2)]));
        assert_eq!(seasons.total(), Some(42));
        assert_eq!([2031, 2032, 2033].map(|year| seasons.in_season(year)), [40, 0, 2].map(Some));
        let total = Supply::Total(7);
        assert_eq!((total.total(), total.in_season(2032)), (Some(7), Some(7)));
        assert_eq!((Supply::Unlimited.total(), Supply::Unlimited.in_season(2031)), (None, None));
        // More than can be counted is as many as can be.
        let endless = Supply::Seasons(BTreeMap::from([(2031, u64::MAX), (2032, 1)]));
        assert_eq!(endless.total(), Some(u64::MAX));
    }
}
