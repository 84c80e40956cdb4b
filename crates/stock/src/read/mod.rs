//! The stock file, read from text. Every fault is reported, not the first alone.

mod faults;
mod section;
mod tolerance;

use std::collections::BTreeMap;

use toml_edit::{Document, Item, TableLike};

use self::faults::{Faults, Wrong};
use self::section::{Bounds, Section};
use crate::{Stock, StockFault, StockKind, Tolerance};

const KEYS: [&str; 6] = ["id", "name", "kind", "supply", "price_nzd", "tolerance"];
const ID_LENGTH: usize = 24;

/// Every stock of a stock file, in its order, at least one, with unique ids.
pub(crate) fn library(text: &str) -> Result<Vec<Stock>, Vec<StockFault>> {
    let mut faults = Faults::new(text);
    let document = match Document::parse(text) {
        Ok(document) => document,
        Err(error) => {
            let at = error.span().map_or(0, |span| span.start);
            faults.report(at, not_toml(error.message()));
            return faults.or(Vec::new());
        }
    };
    Section::new(document.as_table(), 0, "").refuse_unknown(&["stock"], &mut faults);
    let mut stocks = Vec::new();
    let mut seen = BTreeMap::new();
    for (index, (table, at)) in tables(document.get("stock"), &mut faults).iter().enumerate() {
        let owner = owner(*table, index);
        let section = Section::new(*table, *at, &owner);
        stocks.extend(stock(&section, &mut faults));
        refuse_twice(&section, table.get("id"), &mut seen, &mut faults);
    }
    faults.or(stocks)
}

fn not_toml(message: &str) -> Wrong {
    Wrong {
        item: "the file".to_owned(),
        found: message.lines().collect::<Vec<_>>().join(" "),
        expected: "TOML".to_owned(),
        remedy: "mend this line; faults after it show only then".to_owned(),
    }
}

/// The tables under `stock` with the byte where each begins.
fn tables<'t>(item: Option<&'t Item>, faults: &mut Faults<'_>) -> Vec<(&'t dyn TableLike, usize)> {
    let at = item.and_then(Item::span).map_or(0, |span| span.start);
    let mut found: Vec<(&dyn TableLike, usize)> = Vec::new();
    if let Some(array) = item.and_then(Item::as_array_of_tables) {
        found.extend(array.iter().map(|table| {
            let table_at = table.span().map_or(at, |span| span.start);
            (table as &dyn TableLike, table_at)
        }));
    }
    let empty_list = item.and_then(Item::as_array).is_some_and(toml_edit::Array::is_empty);
    if found.is_empty() {
        let (what, remedy) = match item {
            Some(item) if !empty_list => {
                (format!("the {}", item.type_name()), "begin each stock with `[[stock]]`")
            }
            _ => ("no stock".to_owned(), "add a `[[stock]]` with `id`, `name` and `kind`"),
        };
        let expected = "at least one `[[stock]]`".to_owned();
        let (item, remedy) = ("stock".to_owned(), remedy.to_owned());
        faults.report(at, Wrong { item, found: what, expected, remedy });
    }
    found
}

/// What a stock is called in faults: by its id, or by its place in the file.
fn owner(table: &dyn TableLike, index: usize) -> String {
    match table.get("id").and_then(Item::as_str) {
        Some(id) if !id.is_empty() => format!("stock `{id}`"),
        _ => format!("stock number {}", index + 1),
    }
}

/// One stock; `None` when a part that it cannot be without is faulty.
fn stock(section: &Section<'_>, faults: &mut Faults<'_>) -> Option<Stock> {
    section.refuse_unknown(&KEYS, faults);
    let id = id(section, faults);
    let name = name(section, faults);
    let kind = kind(section, faults);
    let supply = section.count("supply", "a whole number of plants, 0 or more", faults);
    let said = "a price in New Zealand dollars, 0 or more".to_owned();
    let dollars = Bounds { least: 0.0, greatest: f64::MAX, said };
    let price_nzd = section.number("price_nzd", &dollars, faults).map(f64::abs);
    let tolerance = section
        .section("tolerance", "a table of factors", faults)
        .map_or_else(Tolerance::unlimited, |table| tolerance::tolerance(&table, faults));
    Some(Stock { id: id?, name: name?, kind: kind?, supply, price_nzd, tolerance })
}

fn id(section: &Section<'_>, faults: &mut Faults<'_>) -> Option<String> {
    let expected = "a small letter, then small letters, digits or `_`, at most 24 characters";
    let id = section.text("id", expected, faults)?;
    let sound = id.starts_with(|first: char| first.is_ascii_lowercase())
        && id.chars().all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '_')
        && id.len() <= ID_LENGTH;
    if !sound {
        let remedy = "shorten or respell it; the full name goes in `name`";
        section.wrong("id", format!("`{id}`"), expected, remedy, faults);
    }
    sound.then(|| id.to_owned())
}

fn name(section: &Section<'_>, faults: &mut Faults<'_>) -> Option<String> {
    let expected = "the name as people say it, on one line";
    let name = section.text("name", expected, faults)?;
    let sound = !name.trim().is_empty() && !name.chars().any(char::is_control);
    if !sound {
        section.wrong("name", format!("{name:?}"), expected, "write a name", faults);
    }
    sound.then(|| name.trim().to_owned())
}

fn kind(section: &Section<'_>, faults: &mut Faults<'_>) -> Option<StockKind> {
    let expected = "`cultivar` or `seed_line`";
    let text = section.text("kind", expected, faults)?;
    let kind = StockKind::ALL.into_iter().find(|kind| kind.key() == text);
    if kind.is_none() {
        let remedy = "`cultivar` for a bought line, `seed_line` for seed of known mother trees";
        section.wrong("kind", format!("`{text}`"), expected, remedy, faults);
    }
    kind
}

/// Reports an id that an earlier stock has.
fn refuse_twice(
    section: &Section<'_>,
    id: Option<&Item>,
    seen: &mut BTreeMap<String, usize>,
    faults: &mut Faults<'_>,
) {
    let Some(id) = id.and_then(Item::as_str) else { return };
    let number = seen.len() + 1;
    if seen.insert(id.to_owned(), number).is_some() {
        let found = format!("`{id}` a second time");
        section.wrong("id", found, "an id that no other stock has", "give it another id", faults);
    }
}
