//! Why a stock stands where it stands, in a sentence that a landowner can check.

use std::fmt::Write;

use stock::{Stock, StockKind};

use super::assemble::Parts;
use super::rows::ClassRow;
use crate::fit::{ZoneFit, percent};
use crate::mosaic::{Limit, ZoneOffers};
use crate::site::Site;
use crate::units::M2_PER_HA;
use crate::zones::{Neighbour, Zone};

/// A line beside its fit in one zone.
type Line<'a> = (&'a Stock, &'a ZoneFit);

/// Why a zone's ground went to the stock at `taken`.
pub(super) fn why_planted(parts: &Parts, zone: usize, taken: usize, mixed: bool) -> String {
    let lines: Vec<Line> = lines(parts, zone);
    let (stock, fit) = lines[taken];
    let mut reason =
        format!("{} fits {:.2} ({}), {}", stock.name, fit.fit, fit.order.code(), fit.sentence());
    let fixed = parts.overrides.of_zone(zone).find(|one| one.line == Some(taken));
    if let Some(choice) = fixed {
        reason.push_str("; fixed by hand");
        if !choice.note.is_empty() {
            let _ = write!(reason, ": {}", choice.note);
        }
    } else if let Some(gave_up) = gave_up(parts, zone) {
        let _ = write!(reason, "; joined with its neighbours: {gave_up} would count for more here");
    } else if stock.kind == StockKind::SeedLine {
        reason.push_str("; ");
        reason.push_str(&why_not_cultivar(parts, zone, taken));
    } else if let Some((at, better, theirs)) = better(&lines, taken) {
        let why = why_not(parts, zone, at, taken);
        let _ = write!(reason, "; {} fits {:.2} but {why}", better.name, theirs.fit);
    }
    if mixed {
        reason.push_str("; planted as a mixture with the other line of this zone");
    }
    reason
}

fn lines<'a>(parts: &Parts<'a>, zone: usize) -> Vec<Line<'a>> {
    parts.library.stocks().iter().zip(&parts.fits[zone]).collect()
}

/// The line that a zone gave up for that of its neighbours.
fn gave_up<'a>(parts: &Parts<'a>, zone: usize) -> Option<&'a str> {
    let joined = parts.mosaic.joined.as_ref()?;
    joined.moved.binary_search(&zone).ok()?;
    let line = parts.mosaic.assignment.runner_up[zone]?.line;
    Some(&parts.library.stocks()[line].name)
}

/// Why a line that fits was passed over for another.
fn why_not(parts: &Parts, zone: usize, line: usize, taken: usize) -> String {
    if let Some(bar) = parts.bar(zone, line) {
        return bar;
    }
    let offers = &parts.mosaic.programme.zones[zone].offers;
    let worth = |line: usize| offers[line].map_or(0.0, |offer| offer.worth_per_ha);
    if worth(line) <= worth(taken) {
        return "counts for less by the site's weights".to_owned();
    }
    "its supply is needed elsewhere".to_owned()
}

/// A stock of the same kind that fits better than the one taken, with its place.
fn better<'a>(lines: &[Line<'a>], taken: usize) -> Option<(usize, &'a Stock, &'a ZoneFit)> {
    let (stock, fit) = lines[taken];
    let same_kind = lines.iter().enumerate().filter(|(_, (other, _))| other.kind == stock.kind);
    let placed = same_kind.map(|(at, (stock, fit))| (at, *stock, *fit));
    let best = placed.reduce(|best, next| if next.2.fit > best.2.fit { next } else { best })?;
    (best.2.fit > fit.fit + 0.005).then_some(best)
}

/// Why local seed stands where a cultivar could.
fn why_not_cultivar(parts: &Parts, zone: usize, taken: usize) -> String {
    let lines = lines(parts, zone);
    let cultivars = lines.iter().filter(|(stock, _)| stock.kind == StockKind::Cultivar).copied();
    match best_of(cultivars) {
        None => "no cultivar is in the stock file".to_owned(),
        Some((stock, fit)) if fit.fit < parts.site.mosaic.fit_floor => {
            format!("no cultivar fits; the nearest is {}, {}", stock.name, fit.sentence())
        }
        Some((stock, fit)) => {
            let at = lines.iter().position(|(other, _)| other.id == stock.id).unwrap_or(taken);
            let mut why = why_not(parts, zone, at, taken);
            if why.contains("needed elsewhere") {
                "does more elsewhere".clone_into(&mut why);
            }
            let (name, sentence) = (&stock.name, fit.sentence());
            format!("{name}, the best cultivar here, fits {:.2} ({sentence}) and {why}", fit.fit)
        }
    }
}

/// Why part of a zone is left; empty when nothing is.
pub(super) fn why_left(parts: &Parts, zone: usize, left_share: f64) -> String {
    if left_share <= 0.0 {
        return String::new();
    }
    if parts.demands[zone].gap_share <= 0.0 {
        return "existing cover fills it".to_owned();
    }
    let why = why_not_planted(parts, zone);
    if parts.site.mosaic.regenerate_worth > 0.0 {
        return format!("left to regenerate: {why}");
    }
    why
}

fn why_not_planted(parts: &Parts, zone: usize) -> String {
    let lines = lines(parts, zone);
    let floor = parts.site.mosaic.fit_floor;
    let Some((best, fit)) = best_of(lines.iter().copied()) else {
        return "the stock file is empty".to_owned();
    };
    if fit.fit < floor {
        return format!("no stock fits; the nearest is {}, {}", best.name, fit.sentence());
    }
    let fitting = || lines.iter().enumerate().filter(|(_, (_, fit))| fit.fit >= floor);
    if fitting().all(|(line, _)| parts.bar(zone, line).is_some()) {
        let barred =
            fitting().filter_map(|(line, (stock, fit))| Some((stock, fit, parts.bar(zone, line)?)));
        let best = barred.reduce(|best, next| if next.1.fit > best.1.fit { next } else { best });
        return best.map_or_else(String::new, |(stock, fit, bar)| {
            format!("{} fits {:.2}, but {bar}", stock.name, fit.fit)
        });
    }
    let offers = &parts.mosaic.programme.zones[zone];
    let worth = offers.offers.iter().flatten().map(|offer| offer.worth_per_ha);
    let most = worth.fold(f64::NEG_INFINITY, f64::max);
    if most < 0.0 {
        return "what fits would cost more than it counts for".to_owned();
    }
    if most <= offers.left_worth_per_ha {
        return format!(
            "{} fits {:.2}, and counts for no more than leaving it",
            best.name, fit.fit
        );
    }
    used_up(parts, offers)
}

/// The limits that hold back what is offered.
fn used_up(parts: &Parts, offers: &ZoneOffers) -> String {
    let offered = |line: usize| offers.offers[line].is_some();
    let binds = |is: &dyn Fn(&Limit) -> bool| {
        parts.mosaic.assignment.binding.iter().any(|binding| is(&binding.limit))
    };
    let whys = [
        (
            binds(
                &|limit| matches!(*limit, Limit::Supply { line } | Limit::SeasonSupply { line, .. } if offered(line)),
            ),
            "the stock that fits is used up",
        ),
        (
            binds(&|limit| matches!(*limit, Limit::Cap { line } if offered(line))),
            "a line that fits has reached its cap",
        ),
        (
            binds(&|limit| matches!(limit, Limit::Budget | Limit::SeasonBudget { .. })),
            "the budget is used up",
        ),
    ];
    let whys: Vec<&str> = whys.iter().filter(|(is, _)| *is).map(|(_, why)| *why).collect();
    if whys.is_empty() {
        return "what is left of the stock that fits is too little for a share or a lot".to_owned();
    }
    whys.join(", ")
}

/// The line with the best fit; the first among equals.
pub(super) fn best_of<'a>(lines: impl Iterator<Item = Line<'a>>) -> Option<Line<'a>> {
    lines.reduce(|best, next| if next.1.fit > best.1.fit { next } else { best })
}

/// Why a zone is one: the class that holds most of it, and what went into it.
pub(super) fn why_zone(made_of: &[ClassRow], is_drawn: bool) -> String {
    let by_hand = if is_drawn { "drawn by hand; " } else { "" };
    let Some(first) = made_of.first() else {
        return format!("{by_hand}ground of which little is known");
    };
    let named = |(factor, class): (&&str, &String)| {
        let factor = factor.trim_end_matches("_class").trim_end_matches("_treatment");
        format!("{} {class}", factor.replace('_', " "))
    };
    // As people speak of ground: how steep, how wet, how sunny, what grows there.
    let rank = |(factor, _): &(&&str, &String)| {
        let order = ["slope_group", "wetness_class", "sun_class", "exposure_class", "frost_class"];
        let last = if **factor == "cover_treatment" { 2 } else { 1 };
        order.iter().position(|one| one == *factor).unwrap_or(order.len() + last)
    };
    let mut classes: Vec<_> = first.classes.iter().collect();
    classes.sort_by_key(rank);
    let classes: Vec<String> = classes.into_iter().map(named).collect();
    let mut reason = format!("{by_hand}{} on {} of it", classes.join(", "), percent(first.share));
    let patches: usize = made_of.iter().map(|class| class.regions).sum();
    let kinds = made_of.iter().filter(|class| class.regions > 0).count();
    if patches > 1 {
        let kinds = if kinds == 1 { "one class".to_owned() } else { format!("{kinds} classes") };
        let _ = write!(reason, "; {patches} patches of {kinds} were merged");
    }
    reason
}

/// Why a zone is smaller or narrower than the site asks for; empty when it is not.
pub(super) fn why_short(zone: &Zone, site: &Site) -> String {
    let rules = &site.zones;
    let mut reason = String::new();
    if zone.is_small(rules) {
        let (own, least) = (zone.plan_m2 / M2_PER_HA, rules.min_area_m2 / M2_PER_HA);
        let _ = write!(reason, "{own:.3} ha of the {least} ha asked for");
    }
    if zone.is_narrow(rules) {
        let and = if reason.is_empty() { "" } else { ", " };
        let _ = write!(
            reason,
            "{and}{:.1} m of the {} m asked for at its widest",
            zone.shape.widest_m, rules.min_width.0
        );
    }
    if reason.is_empty() {
        return reason;
    }
    if zone.neighbours.contains_key(&Neighbour::Zone) {
        reason.push_str(": its cells come to it, exact borders take the rest");
        return reason;
    }
    let all: f64 = zone.neighbours.values().sum();
    let mut beside: Vec<_> = zone.neighbours.iter().collect();
    beside.sort_by(|a, b| b.1.total_cmp(a.1));
    let named = |(neighbour, length): (&Neighbour, &f64)| {
        format!("{} ({})", name_of(neighbour, site), percent(length / all))
    };
    let beside: Vec<String> = beside.into_iter().map(named).collect();
    reason.push_str(": no zone to join, closed in by ");
    reason.push_str(&beside.join(", "));
    reason
}

fn name_of(neighbour: &Neighbour, site: &Site) -> String {
    match neighbour {
        Neighbour::Zone => "another zone".to_owned(),
        Neighbour::Stand => "a kept stand".to_owned(),
        Neighbour::Setback(rules) => {
            let reasons = rules.iter().filter_map(|rule| site.keep_clear.get(*rule));
            let reasons: Vec<&str> = reasons.map(|rule| rule.reason.as_str()).collect();
            format!("setback: {}", reasons.join(" and "))
        }
        Neighbour::Never => "cover that is never planted".to_owned(),
        Neighbour::Unknown => "ground that is not known".to_owned(),
        Neighbour::Beyond => "the boundary".to_owned(),
    }
}
