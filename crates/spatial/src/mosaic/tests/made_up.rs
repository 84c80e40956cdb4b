//! Large programmes made up from a fixed stream of numbers, for tests and benchmarks.

use super::{InFlower, LineLimit, Offer, Programme, Weeks, ZoneOffers};

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
pub(crate) fn instance(zones: usize, lines: usize, seed: u64) -> Programme {
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

/// The same over three winters with every rule on: supplies by season, smallest lots, budgets that
/// bind, weeks in flower, ground worth leaving and some that must be planted.
pub(crate) fn every_rule(programme: Programme) -> Programme {
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
