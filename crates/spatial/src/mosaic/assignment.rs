//! What the mosaic answers.

use super::Weeks;

/// Shares of zones given to lines, with proof of how good they are.
#[derive(Debug, Clone, PartialEq)]
pub struct Assignment {
    /// By zone, in the order of lines, then seasons; what a zone's shares lack to 1 is left.
    pub given: Vec<Vec<Given>>,
    /// Worth reached.
    pub objective: f64,
    /// No assignment can do better.
    pub bound: f64,
    /// (bound − objective) / bound; 0 when the bound is 0.
    pub gap: f64,
    /// Why the search ended without proving the gap that was asked for; `None`: it is proven.
    pub stopped: Option<Stop>,
    /// The limits that have a price, in the order of their kinds, lines and seasons.
    pub binding: Vec<Binding>,
    /// By zone, what would take its place; `None` where no other line is allowed.
    pub runner_up: Vec<Option<RunnerUp>>,
    /// Weeks with enough ground in flower, where a rule asks for them.
    pub in_flower: Weeks,
}

/// Why a search ended before the gap that was asked for was proven.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Stop {
    /// Its time was up.
    Time,
    /// It had tried as much as it ever tries, which is the same on every machine: more time would
    /// not help.
    Effort,
}

/// A share of one zone.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Given {
    /// The line, counted from 0.
    pub line: usize,
    /// The season it is planted in, counted from 0.
    pub season: usize,
    /// The share, from `min_share` to 1.
    pub share: f64,
}

/// The line that would take a zone if the chosen one were not there.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RunnerUp {
    /// The line, counted from 0.
    pub line: usize,
    /// How much less one map hectare of the zone would be worth, with the plants that it uses up
    /// priced as in [`Assignment::binding`], 0 or more.
    pub less_per_ha: f64,
}

impl Assignment {
    /// Nothing assigned to some zones, because nothing was asked to be.
    #[must_use]
    pub fn none(zones: usize) -> Self {
        Self {
            given: vec![Vec::new(); zones],
            objective: 0.0,
            bound: 0.0,
            gap: 0.0,
            stopped: None,
            binding: Vec::new(),
            runner_up: vec![None; zones],
            in_flower: Weeks::NONE,
        }
    }
}

/// A limit that binds in the programme without least shares, and what one more unit of it is worth there.
///
/// Prices are those of the programme without least shares (its linear relaxation), good for small
/// changes; where several prices fit, the lower are given.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Binding {
    /// What binds.
    pub limit: Limit,
    /// Worth of one more plant (supply), hectare (cap) or unit of currency (budget), 0 or more;
    /// of a rule that asks for more (lot, weeks): what one unit less asked for would be worth.
    pub shadow_price: f64,
    /// Whether the price is proven; else it is near it.
    pub is_exact: bool,
}

/// What can bind; lines and seasons are counted from 0.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Limit {
    /// Plants of a line that can be had in all seasons.
    Supply {
        /// The line.
        line: usize,
    },
    /// Plants of a line that can be had in one season.
    SeasonSupply {
        /// The line.
        line: usize,
        /// The season.
        season: usize,
    },
    /// Share of the ground that one line may take.
    Cap {
        /// The line.
        line: usize,
    },
    /// What plants may cost in all seasons.
    Budget,
    /// What plants may cost in one season.
    SeasonBudget {
        /// The season.
        season: usize,
    },
    /// Person-days that planting may take in one season.
    SeasonDays {
        /// The season.
        season: usize,
    },
    /// The smallest lot of a line, ordered in a season.
    Lot {
        /// The line.
        line: usize,
        /// The season.
        season: usize,
    },
    /// Ground in flower in a week.
    InFlower {
        /// The week, counted from 0.
        week: u32,
    },
}
