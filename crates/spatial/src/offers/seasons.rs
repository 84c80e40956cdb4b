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
    /// As the site says, else from the earliest winter in which the stock file has plants of a line
    /// that names its winters.
    #[must_use]
    pub fn of(site: &Site, library: &Library) -> Self {
        let real = library.stocks().iter().filter(|stock| stock.status != Status::Idea);
        let named = real.filter_map(|stock| match &stock.supply {
            Supply::Seasons(seasons) => {
                seasons.keys().copied().find(|year| stock.supply_in(*year) != Some(0))
            }
            Supply::Unlimited | Supply::Total(_) => None,
        });
        let first = site.mosaic.first_season.or_else(|| named.min());
        Self { first, count: site.mosaic.seasons.max(1) }
    }

    /// The first winter as it would be written in the site file, where that leaves it to the stock file.
    #[must_use]
    pub fn default_taken(&self, site: &Site) -> Option<String> {
        self.first.filter(|_| site.mosaic.first_season.is_none()).map(|year| year.to_string())
    }

    /// Plants of a stock that come in winters outside the plan, where it names its winters.
    #[must_use]
    pub fn plants_outside(&self, stock: &Stock) -> u64 {
        let Supply::Seasons(seasons) = &stock.supply else { return 0 };
        let outside = seasons.keys().filter(|year| !self.years().any(|own| own == **year));
        let plants = outside.filter_map(|year| stock.supply_in(*year));
        plants.fold(0, u64::saturating_add)
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

    /// Plants of a stock that can be had in the winters of the plan; `None`: not limited. Without a
    /// year nothing is known of when a line that is being raised can be had: there is none.
    #[must_use]
    pub fn supply(&self, stock: &Stock) -> Option<u64> {
        let total = stock.supply_total();
        if self.first.is_none() {
            let is_raised = matches!(stock.status, Status::BeingRaised { .. });
            return if is_raised { Some(0) } else { total };
        }
        let mut by_year = self.years().map(|year| stock.supply_in(year));
        let within = by_year.try_fold(0_u64, |sum, one| Some(sum.saturating_add(one?)));
        within.map_or(total, |within| Some(total.map_or(within, |total| total.min(within))))
    }

    fn years(&self) -> impl Iterator<Item = i32> {
        (0..self.count).map_while(|season| self.year(season))
    }

    /// Plants of a stock by season; empty where no year is known.
    pub(super) fn by_season(&self, stock: &Stock) -> Vec<Option<f64>> {
        self.years().map(|year| stock.supply_in(year).map(|plants| plants as f64)).collect()
    }
}

#[cfg(test)]
mod tests {
    use stock::StockKind;

    use super::*;

    fn line(status: Status, supply: Supply) -> Stock {
        Stock { status, supply, ..Stock::named("line", "Line", StockKind::Cultivar) }
    }

    fn winters(first: i32, count: usize) -> Seasons {
        Seasons { first: Some(first), count }
    }

    const NO_YEAR: Seasons = Seasons { first: None, count: 1 };

    #[test]
    fn only_plants_of_the_plans_own_winters_can_be_had() {
        let by_year = Supply::Seasons([(2026, 5), (2027, 20), (2029, 60)].into());
        let stock = line(Status::Available, by_year);
        assert_eq!(winters(2027, 2).supply(&stock), Some(20));
        assert_eq!(winters(2027, 3).supply(&stock), Some(80));
        assert_eq!(winters(2027, 3).by_season(&stock), [Some(20.0), Some(0.0), Some(60.0)]);
        let total = line(Status::Available, Supply::Total(50));
        assert_eq!(winters(2027, 3).supply(&total), Some(50), "once, whatever the winter");
        assert_eq!(winters(2027, 2).by_season(&total), [Some(50.0); 2]);
        assert_eq!(NO_YEAR.supply(&total), Some(50));
        assert!(NO_YEAR.by_season(&total).is_empty());
        let free = line(Status::Available, Supply::Unlimited);
        assert_eq!((winters(2027, 2).supply(&free), NO_YEAR.supply(&free)), (None, None));
    }

    /// A winter that is named with nothing in it is not the first, and plants of other winters are
    /// counted.
    #[test]
    fn the_first_winter_is_the_earliest_with_plants() {
        let site = crate::offers::fixture::site("");
        let first = |status: Status, supply: Supply| {
            let library = Library::new(vec![line(status, supply)]).unwrap();
            Seasons::of(&site, &library).first
        };
        let by_year = Supply::Seasons([(2026, 0), (2027, 2_000), (2028, 60_000)].into());
        assert_eq!(first(Status::Available, by_year.clone()), Some(2027));
        assert_eq!(first(Status::Idea, by_year.clone()), None);
        assert_eq!(first(Status::Available, Supply::Seasons([(2026, 0)].into())), None);
        let stock = line(Status::Available, by_year);
        let outside = [(2027, 1), (2027, 2), (2028, 1)]
            .map(|(first, count)| winters(first, count).plants_outside(&stock));
        assert_eq!(outside, [60_000, 0, 2_000]);
        assert_eq!(winters(2027, 1).plants_outside(&line(Status::Available, Supply::Total(9))), 0);
    }

    #[test]
    fn a_line_being_raised_comes_in_its_winter() {
        let raised = line(Status::BeingRaised { from: 2028 }, Supply::Total(50));
        assert_eq!(winters(2027, 3).by_season(&raised), [Some(0.0), Some(50.0), Some(50.0)]);
        assert_eq!(winters(2027, 3).supply(&raised), Some(50));
        assert_eq!(winters(2027, 1).supply(&raised), Some(0), "too early");
        assert_eq!(NO_YEAR.supply(&raised), Some(0), "nobody knows when");
        let free = line(Status::BeingRaised { from: 2028 }, Supply::Unlimited);
        assert_eq!(winters(2027, 2).by_season(&free), [Some(0.0), None]);
        assert_eq!(
            (winters(2027, 2).supply(&free), winters(2026, 2).supply(&free)),
            (None, Some(0))
        );
    }

    #[test]
    fn there_is_nothing_of_an_idea() {
        for supply in [Supply::Unlimited, Supply::Total(9), Supply::Seasons([(2027, 9)].into())] {
            let idea = line(Status::Idea, supply);
            assert_eq!((winters(2027, 3).supply(&idea), NO_YEAR.supply(&idea)), (Some(0), Some(0)));
            assert_eq!(winters(2027, 2).by_season(&idea), [Some(0.0); 2]);
        }
    }

    #[test]
    fn winters_are_named_by_their_year_or_their_number() {
        assert_eq!(
            (winters(2027, 3).words(2), NO_YEAR.words(0)),
            ("2029".into(), "season 1".into())
        );
        assert_eq!(winters(i32::MAX, 3).year(1), None);
    }
}
