//! Why a zone is one, and why it is small or narrow, in a sentence.

use std::fmt::Write;

use super::rows::ClassRow;
use crate::fit::percent;
use crate::site::Site;
use crate::units::M2_PER_HA;
use crate::zones::{Neighbour, Zone};

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
