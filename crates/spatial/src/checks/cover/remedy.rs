//! What would protect a part of the ground by the target year, and what it costs.

use cover::{Planting, SPACED_TREES_CUT, StandCurve, diameter_needed_m, plants_needed};
use serde::Serialize;
use stock::Library;

use super::future::{Future, HORIZON};
use super::kinds::Part;
use super::planted::{alive, open_per_ha};
use crate::site::{CoverRules, Measure, Site};
use crate::units::M2_PER_HA;

/// A way to protect ground that will not be.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Remedy {
    /// More plants in the winter of the plan.
    CloserSpacing,
    /// More plants some winters later, in the gaps; on ground that the plan leaves, its first plants.
    Infill,
    /// Spaced poles in the first planting winter.
    Poles,
    /// Stock kept out, and time.
    LeaveToRegenerate,
}

impl Remedy {
    /// Every remedy.
    pub const ALL: [Self; 4] =
        [Self::CloserSpacing, Self::Infill, Self::Poles, Self::LeaveToRegenerate];

    /// Its word in files.
    #[must_use]
    pub fn word(self) -> &'static str {
        ["closer_spacing", "infill", "poles", "leave_to_regenerate"][self as usize]
    }

    /// Its words for people.
    #[must_use]
    pub fn words(self) -> &'static str {
        ["closer spacing", "infill", "poles", "leave to regenerate"][self as usize]
    }
}

/// What one remedy takes and gives on some ground.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(super) struct Offer {
    /// New Zealand dollars.
    pub(super) nzd: f64,
    /// Plants to order beyond the plan, losses included, or poles to set.
    pub(super) plants: f64,
    /// Years after the first planting winter in which the target is reached.
    pub(super) years: i32,
}

/// The remedies of a part, in the order of [`Remedy::ALL`]; `None`: it does not serve there.
pub(super) fn remedies(
    part: &Part,
    future: &Future<'_>,
    (line, wait): (Option<usize>, f64),
    plan: Option<(&Site, &Library)>,
) -> [Option<Offer>; 4] {
    let rules = future.footing.rules;
    let ha = part.plan_m2 / M2_PER_HA;
    let more = |winters: f64| {
        let (line, (site, library)) = (line?, plan?);
        plant_more(part, future, (line, winters), site, library, ha)
    };
    let first = || future.stems.iter().map(|planting| planting.year).reduce(f64::min);
    [
        first().and_then(more),
        more(first().unwrap_or(0.0) + wait),
        poles(rules, ha),
        part.kind.is_seeded.then(|| regenerate(future, rules, ha)).flatten(),
    ]
}

/// More plants of a line in a winter; none where nothing is open, where the line has no price, or where even
/// a plant on each square metre is too few.
fn plant_more(
    part: &Part,
    future: &Future<'_>,
    (line, year): (usize, f64),
    site: &Site,
    library: &Library,
    ha: f64,
) -> Option<Offer> {
    let rules = future.footing.rules;
    if future.gaps <= 0.0 {
        return None;
    }
    let price = library.stocks()[line].price_nzd?;
    let alive = alive(part, line, future.footing, site, library);
    let together = |years: f64, planted_per_ha: f64| {
        let mut plantings = future.stems.clone();
        plantings.push(Planting { year, planted_per_ha, alive });
        future.with(rules.measure, years, &plantings)
    };
    let by = f64::from(rules.by_years);
    let reached = |more: f64| together(by, more);
    // Where the year is too early for any number, as many as serve in the end are reckoned.
    let more = plants_needed(rules.target, reached)
        .or_else(|| plants_needed(rules.target, |more| together(f64::from(HORIZON), more)))?;
    let more = more.max(open_per_ha_if_bare(part, future, line, site, library));
    if more <= 0.0 {
        return None; // it gets there by itself, later: more plants in that winter would not hasten it
    }
    let years = future.reaches(|years| together(years, more))?;
    let plants = more * future.gaps * ha;
    let nzd = plants * (site.mosaic.planting_nzd + price / alive);
    Some(Offer { nzd, plants: plants / alive, years })
}

/// Ground that the plan leaves is planted at no less than its rules say.
fn open_per_ha_if_bare(
    part: &Part,
    future: &Future<'_>,
    line: usize,
    site: &Site,
    library: &Library,
) -> f64 {
    if future.stems.is_empty() {
        open_per_ha(part, line, future.footing, site, library)
    } else {
        0.0
    }
}

/// Poles in the first planting winter, from when their stems are thick enough.
fn poles(rules: &CoverRules, ha: f64) -> Option<Offer> {
    let diameter_m = diameter_needed_m(rules.pole_site, rules.pole_sph);
    let years = (diameter_m / rules.pole_diameter_m_per_year).ceil() as i32;
    let serves = rules.target <= SPACED_TREES_CUT && years <= HORIZON;
    let plants = rules.pole_sph * ha;
    serves.then_some(Offer { nzd: plants * rules.pole_nzd, plants, years })
}

/// A stand that comes by itself protects as those that were measured did.
fn regenerate(future: &Future<'_>, rules: &CoverRules, ha: f64) -> Option<Offer> {
    let curve = match rules.measure {
        Measure::Stand(curve) => curve,
        Measure::Crown | Measure::Roots => StandCurve::Bergin1993,
    };
    let wait = f64::from(rules.regenerate_wait_years);
    // What is left is not cleared: all that protects today stays.
    let share = |years: f64| future.today + (1.0 - future.today) * curve.at(years - wait);
    let years = future.reaches(share)?;
    Some(Offer { nzd: rules.regenerate_nzd_per_ha * ha, plants: 0.0, years })
}

/// The cheapest remedy that serves by the target year, and where none does, the one that serves first;
/// among equals the first of [`Remedy::ALL`]. Each must serve on every part, and sooner than the ground gets there
/// by itself.
pub(super) fn best(
    parts: &[[Option<Offer>; 4]],
    by_years: i32,
    by_itself: Option<i32>,
) -> Option<(Remedy, Offer)> {
    let whole = |at: usize| {
        parts.iter().try_fold(Offer::default(), |sum, offers| {
            let one = offers[at]?;
            Some(Offer {
                nzd: sum.nzd + one.nzd,
                plants: sum.plants + one.plants,
                years: sum.years.max(one.years),
            })
        })
    };
    let offers = Remedy::ALL.into_iter().enumerate();
    let offers: Vec<(Remedy, Offer)> = offers
        .filter_map(|(at, remedy)| Some((remedy, whole(at)?)))
        .filter(|(_, offer)| by_itself.is_none_or(|years| offer.years < years))
        .collect();
    let in_time = offers.iter().filter(|(_, offer)| offer.years <= by_years);
    let cheapest = in_time.min_by(|a, b| a.1.nzd.total_cmp(&b.1.nzd));
    let soonest = || {
        let order = |offer: &Offer| (offer.years, offer.nzd);
        offers.iter().min_by(|a, b| {
            order(&a.1).partial_cmp(&order(&b.1)).unwrap_or(std::cmp::Ordering::Equal)
        })
    };
    cheapest.or_else(soonest).copied()
}
