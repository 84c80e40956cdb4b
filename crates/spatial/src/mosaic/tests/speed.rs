//! Large instances: always an answer, with a small proven gap. Run with `--ignored --nocapture`
//! in a release build to see the times.

use std::time::Instant;

use super::super::{InFlower, LineLimit, Offer, Programme, Weeks, ZoneOffers};
use super::solved;

/// A small deterministic stream of numbers from 0 to 1 (Steele, Lea & Flood 2014, `SplitMix64`).
struct Stream(u64);

impl Stream {
    fn next(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        (z ^ (z >> 31)) as f64 / u64::MAX as f64
    }
}

/// Zones of 0.5 to 8 ha, 15 % of pairs not allowed, supplies for 60 to 160 % of an even split,
/// no line above 30 % of the ground, least share 0.3.
pub(super) fn instance(zones: usize, lines: usize, seed: u64) -> Programme {
    let mut stream = Stream(seed);
    let zones: Vec<_> = (0..zones)
        .map(|_| ZoneOffers {
            area_ha: 0.5 + 7.5 * stream.next(),
            offers: (0..lines)
                .map(|_| {
                    let worth_per_ha = stream.next();
                    let plants_per_ha = 1_000.0 + 1_000.0 * stream.next();
                    (stream.next() > 0.15).then_some(Offer {
                        worth_per_ha,
                        plants_per_ha,
                        ..Offer::default()
                    })
                })
                .collect(),
            ..ZoneOffers::default()
        })
        .collect();
    let area: f64 = zones.iter().map(|zone| zone.area_ha).sum();
    let even = area / lines as f64 * 1_500.0;
    let lines = (0..lines)
        .map(|_| LineLimit { supply: Some(even * (0.6 + stream.next())), ..LineLimit::default() })
        .collect();
    Programme {
        min_share: 0.3,
        line_cap: 0.3,
        gap: 1e-4,
        time_limit_s: 60.0,
        ..Programme::new(zones, lines)
    }
}

#[test]
fn a_hundred_zones_and_six_lines_come_within_a_thousandth() {
    for seed in 0..4 {
        let answer = solved(&Programme { gap: 1e-3, ..instance(100, 6, seed) });
        assert!(answer.gap <= 1e-3, "seed {seed}: {}", answer.gap);
        assert!(!answer.binding.is_empty());
    }
}

/// The same with worth in tenths, one plant density, and plants for little more than half.
fn tied_and_scarce(mut programme: Programme) -> Programme {
    for offer in programme.zones.iter_mut().flat_map(|zone| zone.offers.iter_mut().flatten()) {
        offer.worth_per_ha = (offer.worth_per_ha * 10.0).round() / 10.0;
        offer.plants_per_ha = 1_100.0;
    }
    for line in &mut programme.lines {
        line.supply = line.supply.map(|supply| supply * 0.45);
    }
    programme
}

/// The same over three winters with every rule on: supplies by season, smallest lots, budgets that
/// bind, weeks in flower, ground worth leaving and some that must be planted.
fn every_rule(programme: Programme) -> Programme {
    let mut stream = Stream(programme.zones.len() as u64);
    let lines = programme.lines.len();
    let mut programme = Programme { seasons: 3, wait: 0.03, ..programme };
    for (line, limit) in programme.lines.iter_mut().enumerate() {
        let supply = limit.supply.unwrap_or_default();
        limit.by_season =
            [0.3, 0.3, 0.5].map(|part| Some(supply * part * (0.5 + stream.next()))).to_vec();
        limit.min_lot = [0.0, 2_000.0, 10_000.0][line % 3];
    }
    for (at, zone) in programme.zones.iter_mut().enumerate() {
        zone.left_worth_per_ha = if at % 3 == 0 { 0.2 } else { 0.0 };
        zone.must_plant = at % 50 == 7;
        for (line, offer) in zone.offers.iter_mut().enumerate() {
            let Some(offer) = offer else { continue };
            let first = 40 + 8 * line as u32 / lines as u32 + u32::from(stream.next() > 0.5);
            offer.weeks = Weeks::span(first, first + 3);
            offer.cost_per_ha = offer.plants_per_ha * (0.8 + 0.6 * stream.next());
        }
    }
    let dear = programme.area_ha() * 1_650.0;
    Programme {
        budget: Some(dear * 0.7),
        season_budget: Some(dear * 0.27),
        flowering: Some(InFlower { weeks: 11, least_ha: programme.area_ha() * 0.02 }),
        ..programme
    }
}

/// The same, each zone whole or not at all.
fn whole(programme: Programme) -> Programme {
    Programme { min_share: 1.0, ..programme }
}

/// One programme from another.
type Make = fn(Programme) -> Programme;

#[test]
#[ignore = "for release builds"]
fn by_hand_times() {
    let same = |programme: Programme| programme;
    let kinds: [(&str, Make); 4] = [
        ("plain", same),
        ("tied and scarce", tied_and_scarce),
        ("whole zones", whole),
        ("every rule", every_rule),
    ];
    let sizes = [(100, 5), (500, 12), (2_000, 12), (5_000, 20)];
    let sizes = if std::env::var_os("HARD").is_some() { &sizes[1..] } else { &sizes };
    for &(zones, lines) in sizes {
        for (kind, make) in
            kinds.into_iter().skip(if std::env::var_os("HARD").is_some() { 3 } else { 0 })
        {
            for seed in 0..2 {
                let gap = if zones > 1_000 { 1e-2 } else { 1e-3 };
                let programme = Programme { gap, ..make(instance(zones, lines, seed)) };
                let start = Instant::now();
                let answer = solved(&programme);
                println!(
                    "{zones} × {lines}, {kind}: {:.3} s, gap {:.5} %, {} limits bind, early {}",
                    start.elapsed().as_secs_f64(),
                    100.0 * answer.gap,
                    answer.binding.len(),
                    answer.stopped_early,
                );
            }
        }
    }
}
