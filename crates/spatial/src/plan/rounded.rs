//! Rules that whole plants do not keep, though shares did, in words.

use stock::Library;

use super::assemble::Parts;
use crate::counts::{BrokenRule, broken_rules};
use crate::mosaic::Limit;
use crate::offers::Seasons;
use crate::problem::Problem;

/// Rules that whole plants do not keep, though shares did.
pub(super) fn warnings(parts: &Parts) -> impl Iterator<Item = Problem> {
    let rules = (&parts.site.mosaic, &parts.site.labour);
    let broken = broken_rules(parts.blocks, parts.library, &parts.seasons, rules);
    broken.into_iter().map(|one| told(one, parts.library, &parts.seasons))
}

fn told(broken: BrokenRule, library: &Library, seasons: &Seasons) -> Problem {
    let BrokenRule { limit, found, asked } = broken;
    let winter = |season: usize| seasons.words(season);
    let name = |line: usize| library.stocks()[line].name.as_str();
    let plants = |whose: String| format!("{found:.0} plants of {whose} are ordered");
    let dollars = |when: String| format!("NZD {found:.2} are spent{when}");
    let (key, found) = match limit {
        Limit::Supply { line } => ("supply", plants(name(line).to_owned())),
        Limit::SeasonSupply { line, season } => {
            ("supply", plants(format!("{} in {}", name(line), winter(season))))
        }
        Limit::Lot { line, season } => {
            ("min_lot", plants(format!("{} in {}", name(line), winter(season))))
        }
        Limit::SeasonBudget { season } => {
            ("mosaic.season_budget_nzd", dollars(format!(" in {}", winter(season))))
        }
        Limit::SeasonDays { season } => {
            ("labour.days", format!("{found:.1} person-days are planted in {}", winter(season)))
        }
        _ => ("mosaic.budget_nzd", dollars(String::new())),
    };
    let expected = match limit {
        Limit::Lot { .. } => format!("{asked:.0} or more, its smallest lot"),
        Limit::Supply { .. } | Limit::SeasonSupply { .. } => format!("{asked:.0} or fewer"),
        Limit::SeasonDays { .. } => format!("{asked:.0} person-days or fewer"),
        _ => format!("NZD {asked:.2} or less"),
    };
    let remedy = match limit {
        Limit::Lot { .. } => {
            "order the few plants that lack beside it, or ask whether the lot may be short"
        }
        _ => "take a few plants out of one block, or loosen the rule by as much",
    };
    let found = format!("rounding to whole plants: {found}");
    Problem::warning(key).found(found).expected(expected).remedy(remedy)
}

#[cfg(test)]
mod tests {
    use stock::{Stock, StockKind};

    use super::*;

    #[test]
    fn each_rule_is_told_in_its_own_words() {
        let line = Stock::named("ridge", "Ridge", StockKind::Cultivar);
        let library = Library::new(vec![line]).unwrap();
        let seasons = Seasons { first: Some(2027), count: 2 };
        let said = |limit: Limit, found: f64, asked: f64| {
            let told = told(BrokenRule { limit, found, asked }, &library, &seasons).to_string();
            assert!(told.contains("rounding to whole plants: "), "{told}");
            told
        };
        let (line, season) = (0, 1);
        for (limit, key, found, expected) in [
            (Limit::Supply { line }, "supply", "42 plants of Ridge are ordered", "40 or fewer"),
            (
                Limit::SeasonSupply { line, season },
                "supply",
                "42 plants of Ridge in 2028 are ordered",
                "40 or fewer",
            ),
            (
                Limit::Lot { line, season },
                "min_lot",
                "42 plants of Ridge in 2028 are ordered",
                "40 or more, its smallest lot",
            ),
            (Limit::Budget, "mosaic.budget_nzd", "NZD 42.00 are spent", "NZD 40.00 or less"),
            (
                Limit::SeasonBudget { season },
                "mosaic.season_budget_nzd",
                "NZD 42.00 are spent in 2028",
                "NZD 40.00 or less",
            ),
            (
                Limit::SeasonDays { season },
                "labour.days",
                "42.0 person-days are planted in 2028",
                "40 person-days or fewer",
            ),
        ] {
            let told = said(limit, 42.0, 40.0);
            for words in [key, found, expected] {
                assert!(told.contains(words), "{words}: {told}");
            }
            let is_lot = matches!(limit, Limit::Lot { .. });
            assert_eq!(told.contains("order the few plants that lack"), is_lot, "{told}");
            assert_eq!(told.contains("take a few plants out of one block"), !is_lot, "{told}");
        }
    }
}
