//! Why ground is below the target, what mends it, and what to be careful of, in words.

use std::collections::BTreeMap;

use super::future::Future;
use super::judge::{Held, Seen, What};
use super::remedy::{Offer, Remedy};
use crate::units::{PlanHectares, thousands};

/// Why ground is below the target.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Because {
    /// Plants on an old slip scar.
    Scar { planted_per_ha: f64, alive: f64, winters: f64 },
    /// Plants elsewhere: too few, too small, or too late.
    Thin { planted_per_ha: f64, alive: f64, winters: f64 },
    /// Nothing is planted.
    Left,
    /// A kept stand that protects less than all of its ground.
    Stand,
    /// A setback.
    Clear,
}

impl Because {
    pub(super) fn of(what: &What, future: &Future<'_>, is_scar: bool) -> Self {
        match what {
            What::Stand => return Self::Stand,
            What::Clear(..) => return Self::Clear,
            What::Zone(_) | What::All => {}
        }
        let planted_per_ha: f64 = future.stems.iter().map(|one| one.planted_per_ha).sum();
        if planted_per_ha <= 0.0 {
            return Self::Left;
        }
        let alive = future.living_per_ha() / planted_per_ha;
        let winters = future.stems.iter().map(|one| one.year).fold(0.0, f64::max);
        if is_scar {
            Self::Scar { planted_per_ha, alive, winters }
        } else {
            Self::Thin { planted_per_ha, alive, winters }
        }
    }

    /// A number of its own below 8.
    pub(super) fn code(&self) -> u32 {
        match self {
            Self::Scar { .. } => 0,
            Self::Thin { .. } => 1,
            Self::Left => 2,
            Self::Stand => 3,
            Self::Clear => 4,
        }
    }
}

/// Why a piece is below, by the part that holds most of it.
pub(super) fn reason_words(seen: &Seen, held: &Held<'_>) -> String {
    let percent = |share: f64| format!("{:.0} %", (share * 100.0).floor());
    let then = percent(seen.then);
    let planted = |planted_per_ha: f64, alive: f64, winters: f64| {
        let late = match winters as i32 {
            0 => String::new(),
            1 => ", the last a winter after the first".to_owned(),
            winters => format!(", the last {winters} winters after the first"),
        };
        format!(
            "{} plants to a map hectare of open ground, {} of them expected to live{late}: {then} protected",
            thousands(planted_per_ha.round() as u64),
            percent(alive)
        )
    };
    let owner = &held.owners[seen.part.owner];
    match seen.because.as_ref() {
        None => String::new(),
        Some(Because::Scar { planted_per_ha, alive, winters }) => format!(
            "old slip scar, where plants stay smaller and more of them die: {}",
            planted(*planted_per_ha, *alive, *winters)
        ),
        Some(Because::Thin { planted_per_ha, alive, winters }) => {
            planted(*planted_per_ha, *alive, *winters)
        }
        Some(Because::Left) => {
            let why = match &owner.what {
                What::Zone(zone) => held.planted.left.get(*zone).filter(|why| !why.is_empty()),
                _ => None,
            };
            let stays = if seen.then > 0.0 {
                format!("; what stands there protects {then}")
            } else {
                String::new()
            };
            match why {
                Some(why) => format!("nothing is planted here: {why}{stays}"),
                None => format!("nothing is planted here{stays}"),
            }
        }
        Some(Because::Stand) => format!("the stand that is kept protects {then}"),
        Some(Because::Clear) => match &owner.what {
            What::Clear(rules, _) => format!("kept clear: {rules}; {then} protected"),
            _ => format!("kept clear; {then} protected"),
        },
    }
}

/// What mends a piece, in a sentence.
pub(super) fn remedy_words(
    remedy: Option<(Remedy, Offer)>,
    what: Option<&What>,
    (by_years, wait): (i32, f64),
    by_itself: Option<i32>,
) -> String {
    let Some((remedy, offer)) = remedy else {
        return match (what, by_itself) {
            (Some(What::Clear(_, authority)), _) => {
                format!("nothing is planted here until it is settled with: {authority}")
            }
            (Some(What::Stand), _) => "fences, pest control and time: nothing is planted or set in a kept stand \
                                       without asking those who know it"
                .to_owned(),
            (_, Some(years)) => {
                format!("no remedy is sooner: it gets there by itself {years} years after the first planting")
            }
            _ => "none of closer spacing, infill, poles or natural return reaches the target: ask an erosion \
                  adviser"
                .to_owned(),
        };
    };
    let count = thousands(offer.plants.ceil() as u64);
    let nzd = thousands(offer.nzd.round() as u64);
    let does = match remedy {
        Remedy::CloserSpacing => {
            format!("plant closer: order {count} plants more, if they can be had")
        }
        Remedy::Infill if wait > 0.0 => {
            format!(
                "fill in {wait:.0} winters later: order {count} plants more, if they can be had"
            )
        }
        Remedy::Infill => format!("plant it: order {count} plants, if they can be had"),
        Remedy::Poles => format!("set {count} spaced poles"),
        Remedy::LeaveToRegenerate => {
            "leave it to regenerate from the stand nearby, with stock and goats kept out".to_owned()
        }
    };
    let late = if offer.years > by_years { ", too late for the target year" } else { "" };
    format!(
        "{does}, about NZ$ {nzd}; reaches the target {} years after the first planting{late}",
        offer.years
    )
}

/// What to be careful of on a piece, by its slope and whose it is; what lies near is added later.
pub(super) fn caution_words(
    groups: &BTreeMap<&'static str, PlanHectares>,
    what: Option<&What>,
) -> String {
    let over = [("G", 35), ("F", 25), ("E", 20), ("D", 15)];
    let steepest = over.into_iter().find(|(group, _)| groups.contains_key(group));
    let steep = steepest.map(|(group, degrees)| match group {
        "G" => format!("over {degrees}°: site safety plan first"),
        _ => format!("over {degrees}°: no machine without a site safety plan"),
    });
    let ask = match what {
        Some(What::Clear(..)) => Some("a setback: ask before anything is planted or dug"),
        Some(What::Stand) => Some("a kept stand: ask before anything is done in it"),
        _ => None,
    };
    steep.into_iter().chain(ask.map(str::to_owned)).collect::<Vec<_>>().join("; ")
}
