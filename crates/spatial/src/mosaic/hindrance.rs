//! Which rule stands in the way when no assignment keeps them all.

use super::branch::Branches;
use super::{Clock, LineLimit, MosaicError, Programme};

/// Seconds for each rule that is tried.
const SECONDS: f64 = 3.0;

/// A rule that, taken away alone, lets all others be kept.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Hindrance {
    /// Weeks that must have something in flower.
    InFlower,
    /// Ground that must be planted.
    MustPlant,
    /// Plants that can be had.
    Supply,
    /// Smallest lots.
    Lots,
    /// Money for all seasons.
    Budget,
    /// Money for each season.
    SeasonBudget,
    /// Hands to plant in each season.
    SeasonDays,
    /// The share of the ground that one line may take.
    Cap,
    /// The least share of a zone.
    MinShare,
}

impl Hindrance {
    /// Every one, in the order in which they are told.
    pub const ALL: [Self; 9] = [
        Self::InFlower,
        Self::MustPlant,
        Self::Supply,
        Self::Lots,
        Self::Budget,
        Self::SeasonBudget,
        Self::SeasonDays,
        Self::Cap,
        Self::MinShare,
    ];

    /// In words.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::InFlower => "the weeks in flower",
            Self::MustPlant => "ground that must be planted",
            Self::Supply => "the supply of plants",
            Self::Lots => "the smallest lots",
            Self::Budget => "the budget",
            Self::SeasonBudget => "the budget of a season",
            Self::SeasonDays => "the days of planting of a season",
            Self::Cap => "the largest share of one line",
            Self::MinShare => "the least share of a zone",
        }
    }

    /// A programme without it; `None`: the programme has no such rule.
    fn taken_from(self, programme: &Programme) -> Option<Programme> {
        let mut free = programme.clone();
        match self {
            Self::InFlower => free.flowering = None,
            Self::MustPlant => free.zones.iter_mut().for_each(|zone| zone.must_plant = false),
            Self::Supply => {
                for line in &mut free.lines {
                    *line = LineLimit { min_lot: line.min_lot, ..LineLimit::default() };
                }
            }
            Self::Lots => free.lines.iter_mut().for_each(|line| line.min_lot = 0.0),
            Self::Budget => free.budget = None,
            Self::SeasonBudget => free.season_budget = None,
            Self::SeasonDays => free.season_days = None,
            Self::Cap => free.line_cap = 1.0,
            Self::MinShare => free.min_share = 0.0,
        }
        (free != *programme).then_some(free)
    }
}

/// The rules that each stand in the way alone.
///
/// # Cost
/// A few seconds at most for each rule.
pub(super) fn hindrances(programme: &Programme) -> Vec<Hindrance> {
    let is_solved_without = |one: &Hindrance| {
        let Some(free) = one.taken_from(programme) else { return false };
        let free = Programme { gap: 1.0, time_limit_s: free.time_limit_s.min(SECONDS), ..free };
        let clock = Clock::new(free.time_limit_s);
        Branches::new(&free, &clock).run().is_ok()
    };
    Hindrance::ALL.into_iter().filter(is_solved_without).collect()
}

/// The message of programmes that nothing keeps.
pub(super) fn impossible(programme: &Programme, why: Option<String>) -> MosaicError {
    let hindrances = hindrances(programme);
    let words: Vec<&str> = hindrances.iter().map(|one| one.words()).collect();
    let why = why.unwrap_or_else(|| match &words[..] {
        [] => "several rules stand in the way together".to_owned(),
        [one] => format!("{one} cannot be kept with the rest"),
        many => format!("these cannot be kept together: {}", many.join(", ")),
    });
    MosaicError::Impossible { why, hindrances }
}

#[cfg(test)]
mod tests {
    use super::super::{InFlower, ZoneOffers};
    use super::*;

    /// Every rule there is: what one takes away is its own rule alone, and once it is gone nothing is left to take.
    #[test]
    fn each_takes_its_own_rule_and_no_other() {
        let zone = ZoneOffers { area_ha: 1.0, must_plant: true, ..ZoneOffers::default() };
        let line = LineLimit { supply: Some(9.0), by_season: vec![None, Some(5.0)], min_lot: 2.0 };
        let whole = Programme {
            seasons: 2,
            flowering: Some(InFlower { weeks: 1, least_ha: 1.0 }),
            budget: Some(10.0),
            season_budget: Some(6.0),
            season_days: Some(3.0),
            line_cap: 0.5,
            min_share: 0.25,
            ..Programme::new(vec![zone], vec![line])
        };
        for one in Hindrance::ALL {
            let mut free = one.taken_from(&whole).expect("it has the rule");
            assert_eq!(one.taken_from(&free), None, "{one:?}");
            match one {
                Hindrance::InFlower => free.flowering = whole.flowering,
                Hindrance::MustPlant => free.zones[0].must_plant = true,
                Hindrance::Supply => {
                    let had = whole.lines[0].clone();
                    free.lines[0] = LineLimit { min_lot: free.lines[0].min_lot, ..had };
                }
                Hindrance::Lots => free.lines[0].min_lot = 2.0,
                Hindrance::Budget => free.budget = whole.budget,
                Hindrance::SeasonBudget => free.season_budget = whole.season_budget,
                Hindrance::SeasonDays => free.season_days = whole.season_days,
                Hindrance::Cap => free.line_cap = 0.5,
                Hindrance::MinShare => free.min_share = 0.25,
            }
            assert_eq!(free, whole, "{one:?}");
        }
    }
}
