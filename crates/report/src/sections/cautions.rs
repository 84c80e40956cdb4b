//! What to be careful of.

use crate::document::{Piece, Section};
use crate::form::Form;
use crate::gather::Dossier;
use crate::record::Record;

/// Zones that a caution names one by one; of more, their number is told.
const NAMED: usize = 12;

pub(super) fn cautions(dossier: &Dossier) -> Section {
    let mut items = in_brief(&dossier.plan);
    let mut add = |more: Vec<(String, String)>| {
        for (about, words) in more {
            if !items.iter().any(|(_, known)| known.contains(&words)) {
                items.push((about, words));
            }
        }
    };
    if let Some(site) = &dossier.of_site {
        for (record, _) in
            [&site.cover, &site.calendar].into_iter().filter_map(|told| told.as_ref().ok())
        {
            add(super::cautions_of(record));
        }
    }
    Section {
        id: "cautions",
        title: "Cautions",
        pieces: vec![
            Piece::Mind(
                "Local rules and licensed people decide. Nobody goes on steep ground alone, under or above bluffs, or on \
                 ground that moves; work stops when anything old or wired is met."
                    .to_owned(),
            ),
            Piece::List(items),
        ],
    }
}

/// Cautions of a plan: what about, on how much and where, and what to do.
pub(super) fn in_brief(plan: &Record) -> Vec<(String, String)> {
    let row = |row: String| {
        let zones: Vec<&str> = plan.texts(&format!("{row}/zones")).collect();
        let place = match zones.len() {
            0 => String::new(),
            count if count > NAMED => format!(" ({count} zones)"),
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
