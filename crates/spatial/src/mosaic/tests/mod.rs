//! The mosaic against exhaustive search, textbooks, its own rules and odd shapes.

mod against_scipy;
mod exhaustive;
mod join;
mod laws;
mod made_up;
mod rule_books;
mod shapes;
mod speed;
mod textbook;

use proptest::prelude::*;

use super::{Assignment, Given, InFlower, LineLimit, Offer, Programme, Weeks, ZoneOffers};

/// A programme from rows of `(worth, plants)` by zone, with areas and supplies.
fn programme(
    areas: &[f64],
    offers: &[Vec<Option<(f64, f64)>>],
    supplies: &[Option<f64>],
) -> Programme {
    let zones = areas
        .iter()
        .zip(offers)
        .map(|(&area_ha, row)| ZoneOffers {
            area_ha,
            offers: row
                .iter()
                .map(|offer| {
                    offer.map(|(worth_per_ha, plants_per_ha)| Offer {
                        worth_per_ha,
                        plants_per_ha,
                        ..Offer::default()
                    })
                })
                .collect(),
            ..ZoneOffers::default()
        })
        .collect();
    let line = |&supply| LineLimit { supply, ..LineLimit::default() };
    let lines = supplies.iter().map(line).collect();
    Programme { time_limit_s: 60.0, ..Programme::new(zones, lines) }
}

/// Random programmes with forbidden pairs, ties, missing supplies and tight limits.
fn programmes(
    zones: impl Into<prop::sample::SizeRange>,
    lines: std::ops::Range<usize>,
) -> impl Strategy<Value = Programme> {
    let zones = prop::collection::vec(prop_oneof![9 => 0.1..20.0_f64, 1 => Just(0.0)], zones);
    (zones, lines).prop_flat_map(|(areas, lines)| {
        let worth = prop_oneof![3 => 0.0..1.0_f64, 1 => Just(0.5), 1 => Just(0.0)];
        let plants = prop_oneof![3 => 500.0..3_000.0_f64, 1 => Just(1_100.0), 1 => Just(0.0)];
        let offer = prop::option::weighted(0.85, (worth, plants));
        let offers = prop::collection::vec(prop::collection::vec(offer, lines), areas.len());
        let supply =
            prop::option::weighted(0.8, prop_oneof![9 => 0.0..30_000.0_f64, 1 => Just(0.0)]);
        let supplies = prop::collection::vec(supply, lines);
        let min_share = prop_oneof![Just(0.0), Just(0.2), Just(0.5), 0.0..1.0_f64, Just(1.0)];
        let cap = prop_oneof![2 => Just(1.0), 2 => 0.1..1.0_f64, 1 => Just(0.0)];
        (Just(areas), offers, supplies, min_share, cap).prop_map(
            |(areas, offers, supplies, min_share, line_cap)| Programme {
                min_share,
                line_cap,
                ..programme(&areas, &offers, &supplies)
            },
        )
    })
}

/// The same with every further rule that a programme can have, each now and then.
fn rule_books(
    zones: impl Into<prop::sample::SizeRange>,
    lines: std::ops::Range<usize>,
) -> impl Strategy<Value = Programme> {
    let seasons = prop_oneof![Just(1_usize), Just(2), Just(3)];
    (programmes(zones, lines), seasons).prop_flat_map(|(programme, seasons)| {
        let (zones, lines) = (programme.zones.len(), programme.lines.len());
        let cost = prop_oneof![Just(1_000.0), 200.0..4_000.0_f64];
        let flower = (0_u32..53, 0_u32..8);
        let days = prop_oneof![Just(3.0), 0.5..8.0_f64];
        let extras = prop::collection::vec((cost, days, flower), zones * lines);
        let left = prop_oneof![3 => Just(0.0), 1 => 0.0..0.6_f64];
        let open = prop_oneof![1 => Just(1.0), 2 => 0.0..1.0_f64];
        let grounds = prop::collection::vec((left, prop::bool::weighted(0.1), open), zones);
        let supply = prop::option::weighted(0.6, 0.0..15_000.0_f64);
        let lot = prop_oneof![2 => Just(0.0), 1 => 0.0..9_000.0_f64];
        let limits = prop::collection::vec((prop::collection::vec(supply, seasons), lot), lines);
        let wait = prop_oneof![Just(0.0), Just(0.03), 0.0..0.4_f64];
        let budget = prop::option::weighted(0.3, 0.0..80_000.0_f64);
        let season_budget = prop::option::weighted(0.3, 0.0..40_000.0_f64);
        let season_days = prop::option::weighted(0.3, 0.0..100.0_f64);
        let flowering = prop::option::weighted(0.4, (1_u32..10, 0.1..8.0_f64));
        let whole = (wait, budget, season_budget, season_days, flowering);
        (Just(programme), Just(seasons), extras, grounds, limits, whole).prop_map(
            |(mut programme, seasons, extras, grounds, limits, whole)| {
                let offers = programme.zones.iter_mut().flat_map(|zone| zone.offers.iter_mut());
                for (offer, (cost_per_ha, days_per_ha, (first, length))) in offers.zip(extras) {
                    if let Some(offer) = offer {
                        offer.cost_per_ha = cost_per_ha;
                        offer.days_per_ha = days_per_ha;
                        offer.weeks = Weeks::span(first, first + length);
                    }
                }
                for (zone, (left, must, open)) in programme.zones.iter_mut().zip(grounds) {
                    zone.open_share = open;
                    zone.left_worth_per_ha = left;
                    zone.must_plant = must;
                }
                for (line, (by_season, min_lot)) in programme.lines.iter_mut().zip(limits) {
                    line.by_season = by_season;
                    line.min_lot = min_lot;
                }
                let (wait, budget, season_budget, season_days, flowering) = whole;
                let flowering = flowering.map(|(weeks, least_ha)| InFlower { weeks, least_ha });
                Programme {
                    seasons,
                    wait,
                    budget,
                    season_budget,
                    season_days,
                    flowering,
                    ..programme
                }
            },
        )
    })
}

/// What shares are worth, term by term.
fn worth(programme: &Programme, given: &[Vec<Given>]) -> f64 {
    let mut sum = 0.0;
    for (zone, parts) in programme.zones.iter().zip(given) {
        let mut left = 1.0;
        for part in parts {
            let offer = zone.offers[part.line].unwrap_or_default();
            let waits = i32::try_from(part.season).expect("few seasons");
            let worth = offer.worth_per_ha * (1.0 - programme.wait).powi(waits);
            sum += zone.area_ha * part.share * worth;
            left -= part.share;
        }
        sum += zone.area_ha * left * zone.left_worth_per_ha;
    }
    sum
}

/// What all zones use of something, hectare by hectare.
fn sum_of(
    programme: &Programme,
    given: &[Vec<Given>],
    per_ha: impl Fn(&Given, Offer) -> f64,
) -> f64 {
    let of_zone = |(zone, parts): (&ZoneOffers, &Vec<Given>)| -> f64 {
        let of_part = |part: &Given| {
            zone.area_ha * part.share * per_ha(part, zone.offers[part.line].unwrap_or_default())
        };
        parts.iter().map(of_part).sum()
    };
    programme.zones.iter().zip(given).map(of_zone).sum()
}

/// The first rule that shares break, if any; limits are held to 2e-9 of their amount, what is
/// asked for to 2e-6.
fn broken_rule(programme: &Programme, given: &[Vec<Given>]) -> Option<String> {
    broken_zone(programme, given)
        .or_else(|| broken_limit(programme, given))
        .or_else(|| broken_demand(programme, given))
}

fn broken_zone(programme: &Programme, given: &[Vec<Given>]) -> Option<String> {
    if given.len() != programme.zones.len() {
        return Some("shares for each zone".to_owned());
    }
    for (index, (zone, parts)) in programme.zones.iter().zip(given).enumerate() {
        let sum = parts.iter().map(|part| part.share).sum::<f64>();
        if sum > 1.0 + 1e-12 || (zone.must_plant && sum < 1.0 - 2e-6) {
            return Some(format!("zone {index} is given {sum} times: {parts:?}"));
        }
        for part in parts {
            let offered = zone.offers.get(part.line).is_some_and(Option::is_some);
            let sound = offered && part.season < programme.seasons && part.share > 0.0;
            if !sound || part.share < programme.min_share || part.share > 1.0 {
                return Some(format!("{part:?} in zone {index}"));
            }
        }
        if !parts.is_sorted_by_key(|part| (part.line, part.season)) {
            return Some(format!("the order of {parts:?} in zone {index}"));
        }
    }
    None
}

fn broken_limit(programme: &Programme, given: &[Vec<Given>]) -> Option<String> {
    let sum = |per_ha: &dyn Fn(&Given, Offer) -> f64| sum_of(programme, given, per_ha);
    let over = |used: f64, most: f64| used > most * (1.0 + 2e-9);
    let cap = programme.line_cap * programme.area_ha();
    let only = |is: bool, amount: f64| if is { amount } else { 0.0 };
    for (line, limit) in programme.lines.iter().enumerate() {
        let plants = sum(&|part, offer| only(part.line == line, offer.plants_per_ha));
        if limit.supply.is_some_and(|supply| over(plants, supply)) {
            return Some(format!("line {line} needs {plants} plants of {:?}", limit.supply));
        }
        for (season, supply) in limit.by_season.iter().enumerate() {
            let own = |part: &Given| (part.line, part.season) == (line, season);
            let plants = sum(&|part, offer| only(own(part), offer.plants_per_ha));
            if supply.is_some_and(|supply| over(plants, supply)) {
                return Some(format!("line {line} needs {plants} of {supply:?} in {season}"));
            }
        }
        let hectares = sum(&|part, _| only(part.line == line, 1.0));
        if over(hectares, cap) {
            return Some(format!("line {line} takes {hectares} ha of {cap}"));
        }
    }
    let cost = sum(&|_, offer| offer.cost_per_ha);
    if programme.budget.is_some_and(|budget| over(cost, budget)) {
        return Some(format!("{cost} of {:?}", programme.budget));
    }
    for season in 0..programme.seasons {
        let cost = sum(&|part, offer| only(part.season == season, offer.cost_per_ha));
        if programme.season_budget.is_some_and(|budget| over(cost, budget)) {
            return Some(format!("{cost} of {:?} in {season}", programme.season_budget));
        }
        let days = sum(&|part, offer| only(part.season == season, offer.days_per_ha));
        if programme.season_days.is_some_and(|most| over(days, most)) {
            return Some(format!("{days} days of {:?} in {season}", programme.season_days));
        }
    }
    None
}

fn broken_demand(programme: &Programme, given: &[Vec<Given>]) -> Option<String> {
    for (line, limit) in programme.lines.iter().enumerate() {
        for season in 0..programme.seasons {
            let plants = sum_of(programme, given, |part, offer| {
                let own = (part.line, part.season) == (line, season);
                if own { offer.plants_per_ha } else { 0.0 }
            });
            if plants > limit.min_lot * 2e-6 && plants < limit.min_lot * (1.0 - 2e-6) {
                return Some(format!("{plants} of line {line} in {season}: {}", limit.min_lot));
            }
        }
    }
    let rule = programme.flowering?;
    let enough = |week: &u32| {
        let mut hectares = 0.0;
        for (zone, parts) in programme.zones.iter().zip(given) {
            for part in parts {
                if zone.offers[part.line].is_some_and(|offer| offer.weeks.contains(*week)) {
                    hectares += zone.area_ha * zone.open_share * part.share;
                }
            }
        }
        hectares >= rule.least_ha * (1.0 - 2e-6)
    };
    let weeks = (0..Weeks::COUNT).filter(enough).count();
    (weeks < rule.weeks as usize).then(|| format!("{weeks} weeks in flower of {}", rule.weeks))
}

/// The answer with every promise it makes checked.
fn solved(programme: &Programme) -> Assignment {
    let answer = super::solve(programme).expect("a sound programme");
    assert_eq!(broken_rule(programme, &answer.given), None, "{programme:?}\n{answer:?}");
    let worth = worth(programme, &answer.given);
    let scale = worth.max(1e-12);
    assert!(
        (answer.objective - worth).abs() <= 1e-9 * scale,
        "{} is not {worth}",
        answer.objective
    );
    assert!(answer.bound >= answer.objective, "{answer:?}");
    let gap = if answer.bound > 0.0 { (answer.bound - worth) / answer.bound } else { 0.0 };
    assert!((answer.gap - gap).abs() <= 1e-8, "{} is not {gap}", answer.gap);
    assert!(answer.stopped.is_some() || answer.gap <= programme.gap.max(3e-6), "{answer:?}");
    answer
}

/// Shares `[zone][line]`, all seasons together.
fn shares(programme: &Programme, answer: &Assignment) -> Vec<Vec<f64>> {
    let of_zone = |parts: &Vec<Given>| {
        let mut row = vec![0.0; programme.lines.len()];
        for part in parts {
            row[part.line] += part.share;
        }
        row
    };
    answer.given.iter().map(of_zone).collect()
}
