//! What the plan itself wants looked at.

use super::assemble::Parts;
use super::rounded;
use super::rows::{Reach, Totals};
use crate::counts::{Holding, LineOrder};
use crate::mosaic::{Assignment, Stop};
use crate::problem::Problem;
use crate::units::{M2_PER_HA, PlanHectares};

/// Every warning of the plan.
pub(super) fn plan_warnings(parts: &Parts, totals: &Totals) -> Vec<Problem> {
    let mut warnings = Vec::new();
    warnings.extend(stopped(parts));
    warnings.extend(regenerating(parts, totals.left_open_plan_ha));
    warnings.extend(fixed_against_fit(parts));
    warnings.extend(rounded::warnings(parts));
    warnings.extend(unsure(parts));
    let merging = &parts.zones.merging;
    let rules = &parts.site.zones;
    let short = [
        (
            "zones.min_area_ha",
            merging.below_minimum,
            "smaller",
            format!("{} ha or more", rules.min_area_m2 / M2_PER_HA),
        ),
        (
            "zones.min_width_m",
            merging.below_width,
            "narrower",
            format!("{} m somewhere", rules.min_width.0),
        ),
    ];
    for (key, count, what, expected) in short.into_iter().filter(|(_, count, ..)| *count > 0) {
        let zones = if count == 1 { "zone is" } else { "zones are" };
        warnings.push(
            Problem::warning(key)
                .found(format!("{count} {zones} {what}; short_reason says why of each"))
                .expected(expected)
                .remedy("look at them on the map: plant them with a neighbour, or leave them"),
        );
    }
    warnings
}

/// A search that ended before it proved the gap that was asked for, by its own gap: joins that give
/// worth up afterwards are not its doing.
fn stopped(parts: &Parts) -> Option<Problem> {
    let Assignment { gap, stopped, .. } = &parts.mosaic.assignment;
    let gap = parts.mosaic.joined.as_ref().map_or(*gap, |joined| joined.gap_before);
    let (by, remedy) = match (*stopped)? {
        Stop::Time => ("out of time", "give it more time: mosaic.time_limit_s"),
        Stop::Effort => (
            "after as much as it ever tries",
            "more time would not help: take the plan with that gap, or raise mosaic.gap; fewer lots, weeks \
             in flower and choices by hand are easier to keep",
        ),
    };
    let problem = Problem::warning("mosaic")
        .found(format!("the solver stopped {by} at a gap of {:.2} %", gap * 100.0));
    let expected = format!("{:.2} % or less", parts.site.mosaic.gap * 100.0);
    Some(problem.expected(expected).remedy(remedy))
}

/// Ground that is left because leaving it counts for something: what that does and does not do.
///
/// Source: common practice, no source; the nectar of wild stands is that of their own plants.
fn regenerating(parts: &Parts, left: PlanHectares) -> Option<Problem> {
    let left = left.0;
    let counts = parts.reach == Reach::Orders && parts.site.mosaic.regenerate_worth > 0.0;
    (counts && left > 0.05).then(|| {
        Problem::warning("mosaic.regenerate_worth")
            .found(format!("{left:.1} ha of map open to planting are left to regenerate"))
            .expected(
                "cover from it, not better honey: regeneration, assisted or wild, covers ground and \
                 does not raise the quality of honey",
            )
            .remedy(
                "look whether seed sources, weeds and stock let it regenerate, and count no honey on \
                 it; 0 plants wherever a line fits",
            )
    })
}

/// Orders that live up to their number with less than the chance asked for, all in one warning.
fn unsure(parts: &Parts) -> Option<Problem> {
    let asked = parts.site.order.confidence;
    let told = |order: &LineOrder| {
        let by = order.held_by.filter(|_| order.chance < asked)?;
        let name = &parts.library.stocks()[order.stock].name;
        let winter = parts.seasons.year(order.season);
        let in_winter = winter.map_or(String::new(), |year| format!(" in {year}"));
        let by = match by {
            Holding::Supply => "its supply",
            Holding::Budget => "the budget",
        };
        let (plants, lacks) = (order.plants, order.asked.needed.saturating_sub(order.plants));
        let chance = order.chance * 100.0;
        Some(format!(
            "{plants} plants of {name}{in_winter}, {lacks} too few because of {by}: {chance:.0} %"
        ))
    };
    let short: Vec<String> = parts.orders.iter().filter_map(told).collect();
    (!short.is_empty()).then(|| {
        Problem::warning("order.confidence")
            .file(&parts.site.file)
            .found(format!("as many as are planted live with a lower chance: {}", short.join("; ")))
            .expected(format!("a chance of {:.0} %", asked * 100.0))
            .remedy(
                "raise the supply or the budget, plant less of the line, or expect to fill gaps \
                 later",
            )
    })
}

/// Lines fixed by hand where the rules would not have planted them.
fn fixed_against_fit(parts: &Parts) -> Vec<Problem> {
    let told = |(zone, choice): &(usize, crate::overrides::Override)| {
        let line = choice.line?;
        let (id, name) = (&parts.zones.zones[*zone].id, &parts.library.stocks()[line].name);
        let fit = &parts.fits[*zone][line];
        let found = if parts.demands[*zone].lines[line].plants <= 0.0 {
            format!("{name} is fixed in {id}, where nothing is open to planting")
        } else if let Some(bar) = parts.sourcing.bar(*zone, line) {
            format!("{name} is fixed in {id}, and {bar}")
        } else if fit.fit < parts.site.mosaic.fit_floor {
            format!("{name} is fixed in {id}, where it fits {:.2}, {}", fit.fit, fit.sentence())
        } else {
            return None;
        };
        let problem = Problem::warning("zone.line").found(found);
        let problem = match &parts.site.mosaic.overrides {
            Some(file) => problem.file(file).place(choice.line_in_file, 1),
            None => problem,
        };
        let floor = parts.site.mosaic.fit_floor;
        let expected = format!("open ground, a fit of {floor} or more, and seed from near enough");
        Some(problem.expected(expected).remedy("it stands as chosen: look at it once more"))
    };
    parts.overrides.placed.iter().filter_map(told).collect()
}
