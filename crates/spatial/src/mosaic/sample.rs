//! Prices of a large programme from a sample of its zones.

use super::decisions::Rules;
use super::guess::Prices;
use super::model::Model;
use super::search::Search;
use super::{Clock, InFlower, LineLimit, Programme};

/// Zones up to which a programme is solved without looking at a sample first.
const SMALL: usize = 160;
/// One zone in so many is looked at.
const ONE_IN: usize = 4;

/// Prices of whole limits that are nearly right: those of every fourth zone, which shares the limits
/// by its area. A sample that is still large is begun from a sample of its own.
pub(super) fn sample_prices(programme: &Programme, clock: &Clock) -> Prices {
    if programme.zones.len() <= SMALL {
        return Prices::new();
    }
    let (sample, part) = sample(programme);
    if part <= 0.0 {
        return Prices::new();
    }
    let known = sample_prices(&sample, clock);
    let rules = Rules::new(&sample);
    let model = Model::new(&sample, &rules, &rules.open());
    let nothing = vec![0.0; model.columns.len()];
    let mut search = Search::new(&model, nothing, programme.gap / 10.0);
    search.relax(f64::NEG_INFINITY, &known, clock);
    // A whole limit is worth as many times more as there are more zones.
    let whole = |(limit, price)| (limit, price / part);
    search.prices().into_iter().map(whole).collect()
}

/// Every fourth zone, with its share of the limits, and how large that share is.
fn sample(programme: &Programme) -> (Programme, f64) {
    let zones: Vec<_> = programme.zones.iter().step_by(ONE_IN).cloned().collect();
    let area = |zones: &[super::ZoneOffers]| zones.iter().map(|zone| zone.area_ha).sum::<f64>();
    let part = area(&zones) / programme.area_ha().max(f64::MIN_POSITIVE);
    let of = |amount: &Option<f64>| amount.map(|amount| amount * part);
    let line = |line: &LineLimit| LineLimit {
        supply: of(&line.supply),
        by_season: line.by_season.iter().map(of).collect(),
        min_lot: line.min_lot * part,
    };
    let in_flower = |rule: InFlower| InFlower { least_ha: rule.least_ha * part, ..rule };
    let sample = Programme {
        lines: programme.lines.iter().map(line).collect(),
        budget: of(&programme.budget),
        season_budget: of(&programme.season_budget),
        season_days: of(&programme.season_days),
        flowering: programme.flowering.filter(|_| part > 0.0).map(in_flower),
        zones,
        ..*programme
    };
    (sample, part)
}
