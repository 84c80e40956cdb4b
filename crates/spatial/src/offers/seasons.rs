//! Planting seasons: winters, named by their calendar year where a year is known.

use stock::{Library, Status, Stock, Supply};

use crate::site::Site;

/// The winters in which planting can be done.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Seasons {
    /// Year of the first; `None`: nobody names one.
    pub first: Option<i32>,
    /// How many, 1 or more.
    pub count: usize,
}

impl Seasons {
    /// As the site says, else from the earliest winter for which the stock file counts plants.
    #[must_use]
    pub fn of(site: &Site, library: &Library) -> Self {
        let named = library.stocks().iter().filter_map(|stock| match &stock.supply {
            Supply::Seasons(seasons) => seasons.keys().next().copied(),
            Supply::Unlimited | Supply::Total(_) => None,
        });
        let first = site.mosaic.first_season.or_else(|| named.min());
        Self { first, count: site.mosaic.seasons.max(1) }
    }

    /// Calendar year of a season.
    #[must_use]
    pub fn year(&self, season: usize) -> Option<i32> {
        self.first?.checked_add(i32::try_from(season).ok()?)
    }

    /// A season in words.
    #[must_use]
    pub fn words(&self, season: usize) -> String {
        self.year(season).map_or_else(|| format!("season {}", season + 1), |year| year.to_string())
    }

    /// Plants of a stock that can be had in all seasons; `None`: not limited. Without a year
    /// nothing is known of when a line that is being raised can be had: there is none.
    #[must_use]
    pub fn supply(&self, stock: &Stock) -> Option<u64> {
        match stock.status {
            Status::BeingRaised { .. } if self.first.is_none() => Some(0),
            _ => stock.supply_total(),
        }
    }

    /// Plants of a stock by season; empty where no year is known.
    pub(super) fn by_season(&self, stock: &Stock) -> Vec<Option<f64>> {
        let years = (0..self.count).map_while(|season| self.year(season));
        years.map(|year| stock.supply_in(year).map(|plants| plants as f64)).collect()
    }
}
