//! What is asked of the mosaic.

use super::Weeks;

/// Which stock may go on which zone and when, what it is worth there, and what limits it.
///
/// Maximise Σ area × share × (worth × (1 − wait)^season) + Σ area × rest × `left_worth_per_ha`,
/// where the rest is what a zone's shares lack to 1, subject to
/// - in each zone, the shares of its lines in all seasons sum to at most 1, to exactly 1 where it
///   must be planted;
/// - each share is 0 or at least `min_share`;
/// - each line's plants sum to at most its supply, in each season and in all;
/// - each line's plants of one season are 0 or at least its smallest lot;
/// - each line's hectares sum to at most `line_cap` × the area of all zones;
/// - plants cost at most the budget, in each season and in all;
/// - planting takes at most the person-days of a season, in each;
/// - as many weeks as asked for have enough ground in flower.
#[derive(Debug, Clone, PartialEq)]
pub struct Programme {
    /// The zones, in the order in which ties are settled.
    pub zones: Vec<ZoneOffers>,
    /// The lines, in the order in which ties are settled.
    pub lines: Vec<LineLimit>,
    /// Planting seasons, 1 or more, the first one first.
    pub seasons: usize,
    /// Share of its worth that ground loses for each season that it waits, 0 to 1.
    pub wait: f64,
    /// What plants may cost in all seasons, in any currency; `None`: not limited.
    pub budget: Option<f64>,
    /// What plants may cost in any one season; `None`: not limited.
    pub season_budget: Option<f64>,
    /// Person-days that planting may take in any one season; `None`: not limited.
    pub season_days: Option<f64>,
    /// For how long something must be in flower; `None`: nothing is asked.
    pub flowering: Option<InFlower>,
    /// Least share of a zone that a line may take in a season, 0 to 1; 0: any.
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
    /// Share of it that is open to planting, 0 to 1: what flowers when the zone does.
    pub open_share: f64,
    /// By line; `None`: the line is not allowed here.
    pub offers: Vec<Option<Offer>>,
    /// Worth of one map hectare that no line takes, such as ground that regenerates, 0 or more.
    pub left_worth_per_ha: f64,
    /// Whether lines must take all of it.
    pub must_plant: bool,
}

impl Default for ZoneOffers {
    /// No ground, all of it open.
    fn default() -> Self {
        Self {
            area_ha: 0.0,
            open_share: 1.0,
            offers: Vec::new(),
            left_worth_per_ha: 0.0,
            must_plant: false,
        }
    }
}

/// What a line offers in a zone.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Offer {
    /// Worth of one map hectare under the line, planted in the first season, in any unit, 0 or
    /// more.
    pub worth_per_ha: f64,
    /// Plants to order for one map hectare, 0 or more.
    pub plants_per_ha: f64,
    /// What planting one map hectare costs, 0 or more.
    pub cost_per_ha: f64,
    /// Person-days that planting one map hectare takes, 0 or more.
    pub days_per_ha: f64,
    /// When the line flowers here.
    pub weeks: Weeks,
}

/// What limits a line.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct LineLimit {
    /// Plants that can be had in all seasons, 0 or more; `None`: not limited.
    pub supply: Option<f64>,
    /// Plants that can be had in each season, 0 or more; empty: not limited by season.
    pub by_season: Vec<Option<f64>>,
    /// Plants in the smallest lot that a nursery takes an order for, 0: any.
    pub min_lot: f64,
}

/// How long something must be in flower.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct InFlower {
    /// Weeks that must have enough ground in flower.
    pub weeks: u32,
    /// Map hectares open to planting and in flower that are enough, above 0.
    pub least_ha: f64,
}

impl Programme {
    /// The greatest worth within the supplies and nothing else: one season, no budget, no least
    /// share and no cap, to the end however long it takes.
    #[must_use]
    pub fn new(zones: Vec<ZoneOffers>, lines: Vec<LineLimit>) -> Self {
        Self {
            zones,
            lines,
            seasons: 1,
            wait: 0.0,
            budget: None,
            season_budget: None,
            season_days: None,
            flowering: None,
            min_share: 0.0,
            line_cap: 1.0,
            gap: 0.0,
            time_limit_s: f64::MAX,
        }
    }

    /// Map area of all zones, hectares.
    #[must_use]
    pub fn area_ha(&self) -> f64 {
        self.zones.iter().map(|zone| zone.area_ha).sum()
    }

    /// Plants of a line that can be had in a season.
    pub(super) fn season_supply(&self, line: usize, season: usize) -> f64 {
        self.lines[line].by_season.get(season).copied().flatten().unwrap_or(f64::INFINITY)
    }

    /// What is left of a line's worth when ground waits for a season.
    #[must_use]
    pub fn patience(&self, season: usize) -> f64 {
        (0..season).map(|_| 1.0 - self.wait).product()
    }
}
