//! The stock file, read from text. Every fault is reported, not the first alone.

mod csv;
mod faults;
mod flowering;
mod nectar;
mod origin;
mod section;
mod stock;
mod supply;
mod tolerance;

pub(crate) use csv::library as library_of_csv;

use std::collections::BTreeMap;

use toml_edit::{Document, Item, TableLike};

use self::faults::{Faults, Wrong};
use self::section::Section;
use self::stock::stock;
use crate::{Stock, StockFault};

/// Every stock of a stock file, in its order, at least one, with unique ids.
pub(crate) fn library(text: &str) -> Result<Vec<Stock>, Vec<StockFault>> {
    stocks(text, Faults::new(text))
}

fn stocks(text: &str, mut faults: Faults<'_>) -> Result<Vec<Stock>, Vec<StockFault>> {
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
