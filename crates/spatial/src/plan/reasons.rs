//! Why a stock stands where it stands, in a sentence that a landowner can check.

use std::fmt::Write;

use stock::{Library, Stock, StockKind};

use super::rows::ClassRow;
use crate::fit::{ZoneFit, percent};
use crate::site::Site;
use crate::units::M2_PER_HA;
use crate::zones::{Neighbour, Zone};

/// A line beside its fit in one zone.
type Line<'a> = (&'a Stock, &'a ZoneFit);

/// Why a zone's ground went to the stock at `taken`.
pub(super) fn why_planted(
    taken: usize,
    fits: &[ZoneFit],
    library: &Library,
    site: &Site,
    mixed: bool,
) -> String {
    let lines: Vec<Line> = library.stocks().iter().zip(fits).collect();
    let (stock, fit) = lines[taken];
    let mut reason =
        format!("{} fits {:.2} ({}), {}", stock.name, fit.fit, fit.order.code(), fit.sentence());
    if stock.kind == StockKind::SeedLine {
        reason.push_str("; ");
        reason.push_str(&why_not_cultivar(&lines, site));
    } else if let Some((better, theirs)) = better(&lines, taken) {
        let _ = write!(
            reason,
            "; {} fits {:.2} but its supply is needed elsewhere",
            better.name, theirs.fit
        );
    }
    if mixed {
        reason.push_str("; planted as a mixture with the other line of this zone");
    }
    reason
}

/// A stock of the same kind that fits better than the one taken.
fn better<'a>(lines: &[Line<'a>], taken: usize) -> Option<Line<'a>> {
    let (stock, fit) = lines[taken];
    let same_kind = lines.iter().filter(|(other, _)| other.kind == stock.kind);
    let best = best_of(same_kind.copied())?;
    (best.1.fit > fit.fit + 0.005).then_some(best)
}

/// Why local seed stands where a cultivar could.
fn why_not_cultivar(lines: &[Line], site: &Site) -> String {
    let cultivars = lines.iter().filter(|(stock, _)| stock.kind == StockKind::Cultivar).copied();
    match best_of(cultivars) {
        None => "no cultivar is in the stock file".to_owned(),
        Some((stock, fit)) if fit.fit < site.mosaic.fit_floor => {
            format!("no cultivar fits; the nearest is {}, {}", stock.name, fit.sentence())
        }
        Some((stock, fit)) => format!(
            "{}, the best cultivar here, fits {:.2} ({}) and does more elsewhere",
            stock.name,
            fit.fit,
            fit.sentence()
        ),
    }
}

/// Why part of a zone is left; empty when nothing is.
pub(super) fn why_left(
    left_share: f64,
    gap_share: f64,
    fits: &[ZoneFit],
    library: &Library,
    site: &Site,
) -> String {
    if left_share <= 0.0 {
        return String::new();
    }
    if gap_share <= 0.0 {
        return "existing cover fills it".to_owned();
    }
    match best_of(library.stocks().iter().zip(fits)) {
        None => "the stock file is empty".to_owned(),
        Some((stock, fit)) if fit.fit < site.mosaic.fit_floor => {
            format!("no stock fits; the nearest is {}, {}", stock.name, fit.sentence())
        }
        Some(_) => "the stock that fits is used up or capped".to_owned(),
    }
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
