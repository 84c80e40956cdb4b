//! `status`, `first_season` and `supply`.

use std::collections::BTreeMap;

use super::faults::Faults;
use super::section::Section;
use crate::keys::SEASONS;
use crate::{Status, Supply};

/// Whether it can be had; available when that is not said, or said wrongly and reported.
pub(super) fn status(section: &Section<'_>, faults: &mut Faults<'_>) -> Status {
    let being_raised = Status::KEYS[1];
    let said = section.word("status", faults).map(|at| Status::KEYS[at]);
    if said == Some(being_raised) {
        section.require("first_season", faults);
        let from = section.whole("first_season", faults).and_then(|year| i32::try_from(year).ok());
        return from.map_or_else(Status::default, |from| Status::BeingRaised { from });
    }
    if section.has("first_season") {
        let found = format!("a season for a line that is `{}`", said.unwrap_or(Status::KEYS[0]));
        let expected = format!("`first_season` with `status = \"{being_raised}\"` only");
        let remedy = format!("write `status = \"{being_raised}\"`, or take it out");
        section.wrong("first_season", found, expected, remedy, faults);
    }
    if said == Some(Status::KEYS[2]) { Status::Idea } else { Status::Available }
}

/// Plants that can be had: one figure, or one for each season.
pub(super) fn supply(section: &Section<'_>, status: Status, faults: &mut Faults<'_>) -> Supply {
    let none_or_any = "write 0 for none, or leave `supply` out for no limit";
    let by_season = section.item_at("supply").is_some_and(|item| item.as_table_like().is_some());
    if by_season {
        let table = section.table("supply", faults);
        return table.map_or(Supply::Unlimited, |table| seasons(&table, status, faults));
    }
    let said = section.expected("supply");
    let whole = section.count("supply", &said, none_or_any, faults);
    whole.map_or(Supply::Unlimited, Supply::Total)
}

fn seasons(table: &Section<'_>, status: Status, faults: &mut Faults<'_>) -> Supply {
    let said = "a whole number of plants, 0 or more";
    let mut seasons = BTreeMap::new();
    for key in table.keys() {
        let year = key.parse().ok().filter(|year| SEASONS.contains(year));
        let Some(year) = year.filter(|year: &i32| year.to_string() == key) else {
            let expected = format!("a year from {} to {}", SEASONS.start(), SEASONS.end());
            let remedy = "name each season by the calendar year of its winter";
            table.wrong(key, format!("`{key}`"), expected, remedy, faults);
            continue;
        };
        let plants = table.count(key, said, "write 0 for none", faults);
        if let Some(first) = status.first_season().filter(|first| year < *first)
            && plants.is_some_and(|plants| plants > 0)
        {
            let found = format!("plants in {year}");
            let expected = format!("none before `first_season = {first}`");
            table.wrong(key, found, expected, "mend one of the two", faults);
        }
        seasons.extend(plants.map(|plants| (year, plants)));
    }
    if table.is_empty() {
        let remedy = "write `supply = 0` for none, or leave it out for no limit";
        table.wrong("", "no season", "at least one season", remedy, faults);
    }
    Supply::Seasons(seasons)
}
