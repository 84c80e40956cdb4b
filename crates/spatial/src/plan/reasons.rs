//! Why a stock stands where it stands, in a sentence that a landowner can check.

use std::fmt::Write;

use stock::{Stock, StockKind};

use super::case::Case;
use super::holds::{Ground, Hold, holds};
use crate::counts::BlockCount;
use crate::fit::ZoneFit;
use crate::mosaic::{Limit, Moved};

/// A line beside its fit in one zone.
type Line<'a> = (&'a Stock, &'a ZoneFit);

/// Fits that differ by less look the same in a sentence.
const SAME_FIT: f64 = 0.005;
/// Worth below this share of a well-fitted hectare is rounding.
const ROUNDING_HA: f64 = 1e-9;

/// Why a zone's ground went to the stock of a block.
pub(super) fn why_planted(case: &Case, block: &BlockCount) -> String {
    let (zone, taken) = (block.zone, block.stock);
    let (stock, fit) = (&case.library.stocks()[taken], &case.fits[zone][taken]);
    let mut reason =
        format!("{} fits {:.2} ({}), {}", stock.name, fit.fit, fit.order.code(), fit.sentence());
    let fixed = case.overrides.of_zone(zone).find(|one| one.line == Some(taken));
    if let Some(choice) = fixed {
        reason.push_str("; fixed by hand");
        if !choice.note.is_empty() {
            let _ = write!(reason, ": {}", choice.note);
        }
    } else if let Some((gave_up, moved)) = gave_up(case, zone) {
        let more = if moved.loss > ROUNDING_HA { "more" } else { "no more" };
        let _ =
            write!(reason, "; joined with its neighbours: {gave_up} would count for {more} here");
    } else if stock.kind == StockKind::SeedLine {
        if let Some(why) = why_not_cultivar(case, block) {
            let _ = write!(reason, "; {why}");
        }
    } else if let Some((at, better, theirs)) = better(case, block) {
        let why = why_not(case, block, at);
        let _ = write!(reason, "; {} fits {:.2} but {why}", better.name, theirs.fit);
    }
    let _ = write!(reason, "{}", shared_with(case, block));
    reason
}

fn lines<'a>(case: &Case<'a>, zone: usize) -> impl Iterator<Item = (usize, Line<'a>)> {
    case.library.stocks().iter().zip(&case.fits[zone]).enumerate()
}

/// The line that a zone gave up for that of its neighbours, and what that cost.
fn gave_up<'a>(case: &Case<'a>, zone: usize) -> Option<(&'a str, Moved)> {
    let moved = case.mosaic.joined.as_ref()?.moved.iter().find(|moved| moved.zone == zone)?;
    let line = case.mosaic.assignment.runner_up[zone]?.line;
    Some((case.name(line), *moved))
}

/// Why a line that fits was passed over for the stock of a block.
fn why_not(case: &Case, block: &BlockCount, line: usize) -> String {
    if let Some(bar) = case.bar(block.zone, line) {
        return bar;
    }
    let offers = &case.mosaic.programme.zones[block.zone].offers;
    let Some(offer) = offers[line] else {
        return counts_for_nothing(case, line).to_owned();
    };
    let ground = Ground { zone: block.zone, share: block.share, under: Some(block) };
    let held = holds(case, ground, line);
    if held.contains(&Hold::Never) {
        return Hold::Never.words(case, line);
    }
    let worth = offers[block.stock].map_or(0.0, |taken| taken.worth_per_ha);
    if offer.worth_per_ha < worth {
        return "counts for less by the site's weights".to_owned();
    }
    if offer.worth_per_ha <= worth {
        return "counts for no more by the site's weights".to_owned();
    }
    if held.is_empty() {
        return "the plan as a whole counts for no more with it here".to_owned();
    }
    let words: Vec<String> = held.iter().map(|hold| hold.words(case, line)).collect();
    words.join(", ")
}

/// Why a line that fits and that nothing bars is not offered.
fn counts_for_nothing(case: &Case, line: usize) -> &'static str {
    let rules = &case.site.mosaic;
    let price = case.library.stocks()[line].price_nzd.unwrap_or(0.0) + rules.planting_nzd;
    if rules.aim.cost > 0.0 && price > 0.0 {
        "would cost more than it counts for"
    } else {
        "counts for nothing by the site's weights"
    }
}

/// A stock of the same kind that fits better than that of a block and is not in its zone, with its
/// place.
fn better<'a>(case: &Case<'a>, block: &BlockCount) -> Option<(usize, &'a Stock, &'a ZoneFit)> {
    let (stock, fit) =
        (&case.library.stocks()[block.stock], case.fits[block.zone][block.stock].fit);
    let others = lines(case, block.zone)
        .filter(|(at, (other, _))| other.kind == stock.kind && !case.stands_in(block.zone, *at));
    let (at, (stock, theirs)) = best_of(others)?;
    (theirs.fit > fit + SAME_FIT).then_some((at, stock, theirs))
}

/// Why local seed stands where a cultivar could; `None`: every cultivar that fits stands there too.
fn why_not_cultivar(case: &Case, block: &BlockCount) -> Option<String> {
    let floor = case.site.mosaic.fit_floor;
    let cultivars =
        || lines(case, block.zone).filter(|(_, (stock, _))| stock.kind == StockKind::Cultivar);
    let others = cultivars().filter(|(at, _)| !case.stands_in(block.zone, *at));
    let is_alone = cultivars().all(|(at, _)| !case.stands_in(block.zone, at));
    match best_of(others) {
        None if is_alone => Some("no cultivar is in the stock file".to_owned()),
        Some((_, (stock, fit))) if fit.fit < floor && is_alone => {
            Some(format!("no cultivar fits; the nearest is {}, {}", stock.name, fit.sentence()))
        }
        Some((at, (stock, fit))) if fit.fit >= floor => {
            let why = why_not(case, block, at);
            let (name, sentence) = (&stock.name, fit.sentence());
            let best = if is_alone { "the best cultivar here" } else { "the next best cultivar" };
            Some(format!("{name}, {best}, fits {:.2}, {sentence}, and {why}", fit.fit))
        }
        _ => None,
    }
}

/// The other blocks of a zone: lines that stand with this one, winters in which it is planted.
fn shared_with(case: &Case, block: &BlockCount) -> String {
    let winter = |season: usize| case.seasons.words(season);
    let others = || case.blocks_of(block.zone).filter(|other| other.stock != block.stock);
    let mut names: Vec<String> = Vec::new();
    for other in others() {
        let is_with = others().any(|one| one.stock == other.stock && one.season == block.season);
        let name = case.name(other.stock);
        let told =
            if is_with { name.to_owned() } else { format!("{name} ({})", winter(other.season)) };
        if !names.contains(&told) {
            names.push(told);
        }
    }
    let mut words = String::new();
    if !names.is_empty() {
        let _ = write!(words, "; planted as a mixture with {}", names.join(" and "));
    }
    let own = case.blocks_of(block.zone).filter(|other| other.stock == block.stock);
    let parts: Vec<String> = own.map(|part| format!("part in {}", winter(part.season))).collect();
    if parts.len() > 1 {
        let _ = write!(words, "; planted {}", parts.join(", "));
    }
    words
}

/// Why part of a zone is left; empty when nothing is.
pub(super) fn why_left(case: &Case, zone: usize, left_share: f64) -> String {
    if left_share <= 0.0 {
        return String::new();
    }
    if case.demands[zone].gap_share <= 0.0 {
        return "existing cover fills it".to_owned();
    }
    let why = why_not_planted(case, Ground { zone, share: left_share, under: None });
    if case.site.mosaic.regenerate_worth > 0.0 {
        return format!("left to regenerate: {why}");
    }
    why
}

fn why_not_planted(case: &Case, ground: Ground) -> String {
    let floor = case.site.mosaic.fit_floor;
    let all = || lines(case, ground.zone);
    let Some((_, (nearest, fit))) = best_of(all()) else {
        return "the stock file is empty".to_owned();
    };
    let fitting = || all().filter(|(_, (_, fit))| fit.fit >= floor && fit.fit > 0.0);
    let Some((barred, (stock, barred_fit))) = best_of(fitting()) else {
        return format!("no stock fits; the nearest is {}, {}", nearest.name, fit.sentence());
    };
    let Some((best, (best_stock, best_fit))) =
        best_of(fitting().filter(|(line, _)| case.bar(ground.zone, *line).is_none()))
    else {
        let bar = case.bar(ground.zone, barred).unwrap_or_default();
        return format!("{} fits {:.2}, but {bar}", stock.name, barred_fit.fit);
    };
    let offers = &case.mosaic.programme.zones[ground.zone];
    let offered: Vec<(usize, f64)> = offers
        .offers
        .iter()
        .enumerate()
        .filter_map(|(line, offer)| Some((line, (*offer)?.worth_per_ha)))
        .collect();
    let named = format!("{} fits {:.2}", best_stock.name, best_fit.fit);
    if offered.is_empty() {
        return format!("{named}, and {}", counts_for_nothing(case, best));
    }
    let worthwhile: Vec<usize> = offered
        .iter()
        .filter(|(_, worth)| *worth > offers.left_worth_per_ha)
        .map(|(line, _)| *line)
        .collect();
    if worthwhile.is_empty() {
        return format!("{named}, and counts for no more than leaving it");
    }
    held_back(case, ground, &worthwhile)
}

/// What keeps every line from ground on which it would count for more than nothing.
fn held_back(case: &Case, ground: Ground, lines: &[usize]) -> String {
    let mut all: Vec<(usize, Hold)> = Vec::new();
    for &line in lines {
        let held = holds(case, ground, line);
        if held.is_empty() {
            return "the plan as a whole counts for no more with it planted".to_owned();
        }
        all.extend(held.into_iter().map(|hold| (line, hold)));
    }
    // What cannot be had at all is the reason only where nothing else is.
    if all.iter().any(|(_, hold)| *hold != Hold::Never) {
        all.retain(|(_, hold)| *hold != Hold::Never);
    }
    let mut words: Vec<String> = Vec::new();
    for (line, hold) in all {
        let told = of_the_zone(case, line, hold);
        if !words.contains(&told) {
            words.push(told);
        }
    }
    words.join(", ")
}

/// What keeps lines from a zone, whichever line it is where that need not be told.
fn of_the_zone(case: &Case, line: usize, hold: Hold) -> String {
    match hold {
        Hold::Never => {
            "none of the stock that fits can be had in the winters of the plan".to_owned()
        }
        Hold::LeastShare => "what is left of it is less than the least share of a line".to_owned(),
        Hold::Limit(Limit::Supply { .. } | Limit::SeasonSupply { .. }) => {
            if hold.is_used_up(case) {
                "the stock that fits is used up".to_owned()
            } else {
                "what is left of the stock that fits is too little for a least share".to_owned()
            }
        }
        Hold::Limit(Limit::Cap { .. }) => "a line that fits has reached its cap".to_owned(),
        Hold::Limit(_) => hold.words(case, line),
        Hold::Later { .. } | Hold::Lot { .. } => {
            format!("{} fits, but {}", case.name(line), hold.words(case, line))
        }
    }
}

/// The line with the best fit; the first among equals.
pub(super) fn best_of<'a>(
    lines: impl Iterator<Item = (usize, Line<'a>)>,
) -> Option<(usize, Line<'a>)> {
    lines.reduce(|best, next| if next.1.1.fit > best.1.1.fit { next } else { best })
}
