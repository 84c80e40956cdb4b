//! What to be careful of.

use crate::ask_first::is_ask_first;
use crate::document::{Piece, Section};
use crate::form::Form;
use crate::gather::Dossier;
use crate::record::Record;

/// Zones that a caution names one by one; of more, their number is told.
const NAMED: usize = 12;
/// The same on the first page.
const NAMED_IN_BRIEF: usize = 4;

/// Ask-first distances that the first page tells in full; of more, what they are about.
const IN_FULL: usize = 2;
/// Cautions of other kinds on the first page.
const OTHERS: usize = 1;
/// What every caution of a plan ends with.
const WHO_DECIDES: &str = "; local rules and licensed people decide";

pub(super) fn cautions(dossier: &Dossier) -> Section {
    Section {
        id: "cautions",
        title: "Cautions",
        pieces: vec![
            Piece::Mind(
                "Local rules and licensed people decide. Nobody goes on steep ground alone, under or above bluffs, or on \
                 ground that moves; work stops when anything old or wired is met."
                    .to_owned(),
            ),
            Piece::List(all(dossier, NAMED)),
        ],
    }
}

/// Every caution of the plan, the cover and the calendar, each thing said once; as many zones as `named` one by one.
fn all(dossier: &Dossier, named: usize) -> Vec<(String, String)> {
    let mut items = of_plan(&dossier.plan, named);
    if let Some(site) = &dossier.of_site {
        let made = [&site.cover, &site.calendar].into_iter().filter_map(|told| told.as_ref().ok());
        for (about, words) in made.flat_map(|(record, _)| super::cautions_of(record)) {
            let said = words.trim_end_matches('.');
            if !items.iter().any(|(_, known)| known.contains(said)) {
                items.push((about, words));
            }
        }
    }
    items
}

/// Cautions for the first page: steep ground as one, then all that is asked first, then how many more there are.
pub(super) fn brief(dossier: &Dossier) -> Vec<(String, String)> {
    let all = all(dossier, NAMED_IN_BRIEF);
    let plan = &dossier.plan;
    let about = |at: usize| plan.text(&format!("/cautions/{at}/about"));
    let (mut steep, mut asks, mut others) = (Vec::new(), Vec::new(), Vec::new());
    for (at, item) in all.iter().enumerate() {
        if about(at).starts_with("slopes over ") {
            steep.push(item);
        } else if is_ask_first(about(at)) {
            asks.push((about(at), item));
        } else {
            others.push(item);
        }
    }
    let mut items = Vec::new();
    if !steep.is_empty() {
        let part = |(about, words): &&(String, String)| {
            let about = about.strip_prefix("slopes ").unwrap_or(about);
            format!("{about}: {}", words.strip_suffix(WHO_DECIDES).unwrap_or(words))
        };
        let parts: Vec<String> = steep.iter().map(part).collect();
        items.push(("Slopes".to_owned(), parts.join("; ") + WHO_DECIDES));
    }
    items.extend(asks.iter().take(IN_FULL).map(|(_, item)| (*item).clone()));
    if asks.len() > IN_FULL {
        let names: Vec<&str> = asks[IN_FULL..].iter().map(|(about, _)| *about).collect();
        items.push(("Ask first too".to_owned(), names.join("; ") + ", under Cautions"));
    }
    items.extend(others.iter().take(OTHERS).map(|item| (*item).clone()));
    match others.len().saturating_sub(OTHERS) {
        0 => {}
        more => items.push((String::new(), format!("and {more} more under Cautions"))),
    }
    items
}

/// Cautions of a plan: what about, on how much and where, and what to do.
fn of_plan(plan: &Record, named: usize) -> Vec<(String, String)> {
    let row = |row: String| {
        let zones: Vec<&str> = plan.texts(&format!("{row}/zones")).collect();
        let place = match zones.len() {
            0 => String::new(),
            count if count > named => format!(" ({count} zones)"),
            _ => format!(" ({})", zones.join(", ")),
        };
        let ha = plan.at(&format!("{row}/plan_area_ha"));
        let area = match ha.as_f64() {
            Some(ha) if ha > 0.0 => format!(", {} ha of map", Form::Fixed(1).words(&ha.into())),
            _ => String::new(),
        };
        let about = plan.text(&format!("{row}/about"));
        (format!("{about}{area}{place}"), plan.text(&format!("{row}/text")).to_owned())
    };
    plan.rows("/cautions").map(row).collect()
}

#[cfg(test)]
mod tests {
    use serde_json::json;

    use super::*;
    use crate::sections::tests::dossier;

    #[test]
    fn the_first_page_keeps_all_that_is_asked_first_and_counts_the_rest() {
        let caution = |about: &str| json!({"about": about, "zones": ["Z001"], "plan_area_ha": 1.0, "text": format!("mind {about}{WHO_DECIDES}")});
        let asks =
            ["pit", "grave", "line", "pipe", "mast"].map(|name| format!("within 20 m of {name}"));
        let slopes = ["slopes over 15°", "slopes over 22°", "slopes over 35°"].map(str::to_owned);
        let others = ["drop points", "fire", "plant health"].map(str::to_owned);
        // What is asked first may come last.
        let abouts = slopes.iter().chain(&others).chain(&asks);
        let cautions: Vec<_> = abouts.map(|about| caution(about)).collect();
        let told = brief(&dossier(json!({"cautions": cautions})));
        assert_eq!(told[0].0, "Slopes");
        assert_eq!(told[0].1.matches("licensed people").count(), 1);
        assert!(
            told[0].1.contains("over 15°, 1.0 ha of map (Z001): mind")
                && told[0].1.contains("over 35°")
        );
        let words: Vec<String> =
            told.into_iter().flat_map(|(about, words)| [about, words]).collect();
        let words = words.join("\n");
        for ask in &asks {
            assert!(words.contains(ask.as_str()), "{ask}\n{words}");
        }
        assert!(words.ends_with("and 2 more under Cautions"), "{words}");
    }
}
