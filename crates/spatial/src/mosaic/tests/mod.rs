//! The mosaic against exhaustive search, textbooks, its own rules and odd shapes.

#[cfg(feature = "highs")]
mod against_reference;
mod exhaustive;
mod laws;
mod shapes;
mod speed;
mod textbook;

use proptest::prelude::*;

use super::{Assignment, LineLimit, Offer, Programme, ZoneOffers};

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
                    offer.map(|(worth_per_ha, plants_per_ha)| Offer { worth_per_ha, plants_per_ha })
                })
                .collect(),
        })
        .collect();
    let lines = supplies.iter().map(|&supply| LineLimit { supply }).collect();
    Programme { zones, lines, min_share: 0.0, line_cap: 1.0, gap: 0.0, time_limit_s: 60.0 }
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

/// What shares are worth, term by term.
fn worth(programme: &Programme, shares: &[Vec<f64>]) -> f64 {
    let mut sum = 0.0;
    for (zone, row) in programme.zones.iter().zip(shares) {
        for (offer, share) in zone.offers.iter().zip(row) {
            sum += offer.map_or(0.0, |offer| zone.area_ha * offer.worth_per_ha * share);
        }
    }
    sum
}

/// The first rule that shares break, if any; limits are held to 2e-9 of their amount.
fn broken_rule(programme: &Programme, shares: &[Vec<f64>]) -> Option<String> {
    let slack = 1.0 + 2e-9;
    if shares.len() != programme.zones.len() {
        return Some("a row for each zone".to_owned());
    }
    for (index, (zone, row)) in programme.zones.iter().zip(shares).enumerate() {
        if row.len() != programme.lines.len() {
            return Some(format!("a share for each line in zone {index}"));
        }
        if row.iter().sum::<f64>() > 1.0 + 1e-12 {
            return Some(format!("zone {index} given more than once: {row:?}"));
        }
        for (offer, &share) in zone.offers.iter().zip(row) {
            let allowed = share.to_bits() == 0 || (offer.is_some() && share >= programme.min_share);
            if !allowed || !(0.0..=1.0).contains(&share) {
                return Some(format!("share {share} in zone {index}"));
            }
        }
    }
    let cap = programme.line_cap * programme.area_ha();
    for (line, limit) in programme.lines.iter().enumerate() {
        let (mut plants, mut hectares) = (0.0, 0.0);
        for (zone, row) in programme.zones.iter().zip(shares) {
            hectares += zone.area_ha * row[line];
            plants += zone.offers[line].map_or(0.0, |o| zone.area_ha * o.plants_per_ha * row[line]);
        }
        if limit.supply.is_some_and(|supply| plants > supply * slack) {
            return Some(format!("line {line} needs {plants} plants of {:?}", limit.supply));
        }
        if hectares > cap * slack {
            return Some(format!("line {line} takes {hectares} ha of {cap}"));
        }
    }
    None
}

/// The answer with every promise it makes checked.
fn solved(programme: &Programme) -> Assignment {
    let answer = super::solve(programme).expect("a sound programme");
    assert_eq!(broken_rule(programme, &answer.shares), None, "{programme:?}\n{answer:?}");
    let worth = worth(programme, &answer.shares);
    let scale = worth.max(1e-12);
    assert!(
        (answer.objective - worth).abs() <= 1e-9 * scale,
        "{} is not {worth}",
        answer.objective
    );
    assert!(answer.bound >= answer.objective, "{answer:?}");
    let gap = if answer.bound > 0.0 { (answer.bound - worth) / answer.bound } else { 0.0 };
    assert!((answer.gap - gap).abs() <= 1e-8, "{} is not {gap}", answer.gap);
    assert!(answer.stopped_early || answer.gap <= programme.gap.max(3e-6), "{answer:?}");
    answer
}
