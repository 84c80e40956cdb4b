//! The limits of a plan in words: what its orders take of each, and what more of it would be worth.

use std::collections::BTreeMap;

use super::case::Case;
use super::uses::told_as;
use crate::mosaic::Limit;

/// What one more of a limit would be worth.
#[derive(Debug, Clone, Copy)]
struct Price {
    worth: f64,
    /// Whether it is proven to be the price, or near it.
    is_exact: bool,
}

/// Every limit that the plan's orders use up, or that has a price in the programme without least
/// shares, in the order of kinds, lines and seasons.
pub(super) fn limits_in_words(case: &Case) -> Vec<String> {
    let mut told: BTreeMap<Limit, Option<Price>> =
        case.uses.used_up().map(|limit| (limit, None)).collect();
    for binding in &case.mosaic.assignment.binding {
        let price = told.entry(told_as(&case.mosaic.programme, binding.limit)).or_default();
        let before = price.map_or(0.0, |price| price.worth);
        let is_exact = binding.is_exact && price.is_none_or(|price| price.is_exact);
        *price = Some(Price { worth: before + binding.shadow_price, is_exact });
    }
    told.into_iter().map(|(limit, price)| words(case, limit, price)).collect()
}

fn words(case: &Case, limit: Limit, price: Option<Price>) -> String {
    let name = |line: usize| case.name(line);
    let winter = |season: usize| case.seasons.words(season);
    let (what, unit) = match limit {
        Limit::Supply { line } => (format!("supply of {}", name(line)), "plants"),
        Limit::SeasonSupply { line, season } => {
            (format!("supply of {} in {}", name(line), winter(season)), "plants")
        }
        Limit::Cap { line } => (format!("largest share of {}", name(line)), "hectares"),
        Limit::Budget => ("the budget".to_owned(), "dollars"),
        Limit::SeasonBudget { season } => (format!("the budget of {}", winter(season)), "dollars"),
        Limit::SeasonDays { season } => {
            (format!("the planting days of {}", winter(season)), "person-days")
        }
        Limit::Lot { line, season } => {
            let when = case.in_winter(season);
            return format!("no more than the smallest lot of {} is ordered{when}", name(line));
        }
        Limit::InFlower { week } => {
            return format!(
                "no more ground than asked for is in flower in week {} of the year",
                week + 1
            );
        }
    };
    let used = match case.uses.of_limit(limit) {
        Some(one) if !one.is_used_up() && unit == "hectares" => {
            format!("{what}: {:.1} of {:.1} hectares are used", one.used, one.amount)
        }
        Some(one) if !one.is_used_up() => {
            format!("{what}: {:.0} of {:.0} {unit} are used", one.used, one.amount)
        }
        _ if unit == "person-days" => format!("{what} are used up"),
        _ => format!("{what} is used up"),
    };
    price.map_or_else(
        || used.clone(),
        |price| format!("{used}; {}", worth_of_more(case, limit, price)),
    )
}

fn worth_of_more(case: &Case, limit: Limit, price: Price) -> String {
    let (more, worth) = match limit {
        Limit::Cap { .. } => ("one more hectare", price.worth),
        Limit::Budget | Limit::SeasonBudget { .. } => ("1,000 more dollars", 1_000.0 * price.worth),
        Limit::SeasonDays { .. } => ("10 more person-days", 10.0 * price.worth),
        _ => ("1,000 more plants", 1_000.0 * price.worth),
    };
    let about = if price.is_exact { "" } else { "about " };
    let worth =
        if worth < 0.0005 { "less than 0.001".to_owned() } else { format!("{about}{worth:.3}") };
    let rules = &case.mosaic.programme;
    let without = if rules.min_share > 0.0 { " in the programme without least shares" } else { "" };
    format!("{more} would be worth {worth} well-fitted hectares{without}")
}
