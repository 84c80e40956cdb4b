//! The CSV form.

use std::collections::{BTreeMap, BTreeSet};

use super::{Entry, entries, plain};
use crate::columns::{columns, find, guarded, name_of};
use crate::{Stock, wkt};

/// A text that [`crate::Library::parse_csv`] reads: RFC 4180 with line feeds, one row a stock.
///
/// Columns of the tolerance and the unit of nectar that no stock uses are left out.
pub(crate) fn csv(stocks: &[Stock]) -> String {
    let rows: Vec<BTreeMap<String, String>> = stocks.iter().map(row).collect();
    let header = header(&rows);
    let mut writer = csv::WriterBuilder::new().from_writer(Vec::new());
    // Writing to memory cannot fail, and every record has as many cells as the header.
    let _ = writer.write_record(&header);
    for row in &rows {
        let _ =
            writer.write_record(header.iter().map(|name| row.get(name).map_or("", String::as_str)));
    }
    let bytes = writer.into_inner().unwrap_or_default();
    String::from_utf8(bytes).unwrap_or_default()
}

/// Cells by column.
fn row(stock: &Stock) -> BTreeMap<String, String> {
    entries(stock).into_iter().map(|(path, entry)| (name_of(&path), cell(&entry))).collect()
}

fn cell(entry: &Entry) -> String {
    match entry {
        Entry::Text(text) => guarded(text),
        Entry::Number(number) => plain(*number),
        Entry::Whole(number) => number.to_string(),
        Entry::Shape(shape) => wkt::written(shape),
    }
}

/// The columns, those of the seasons after `supply`.
fn header(rows: &[BTreeMap<String, String>]) -> Vec<String> {
    let used: BTreeSet<&String> = rows.iter().flat_map(BTreeMap::keys).collect();
    let is_season = |name: &String| {
        name != "supply" && find(name).is_some_and(|column| column.path.starts_with("supply."))
    };
    let seasons: Vec<String> =
        used.iter().copied().filter(|name| is_season(name)).cloned().collect();
    let mut header = Vec::new();
    for column in columns() {
        let is_rare =
            ["tolerance.", "nectar.normalised"].iter().any(|part| column.path.starts_with(part));
        if !is_rare || used.contains(&column.name) {
            header.push(column.name.clone());
        }
        if column.path == "supply" {
            header.extend(seasons.iter().cloned());
        }
    }
    header
}
