//! The columns of the CSV form, which follow from the table of keys and from the factors.

use std::sync::LazyLock;

use crate::keys::{STOCK_KEYS, ValueKind};
use crate::{DRAINAGE_CLASSES, Factor};

/// A column that a row may have.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Column {
    /// Its name: the path with `_` for dots.
    pub(crate) name: String,
    /// The key that it fills.
    pub(crate) path: String,
    /// What its cells hold.
    pub(crate) kind: ValueKind,
}

/// Column of a point or a polygon, as well-known text.
pub(crate) const WKT_COLUMN: &str = "origin_wkt";

/// Ends of a range, in rising order.
pub(crate) const ENDS: [&str; 4] = ["none_below", "full_from", "full_to", "none_above"];

/// Path of the supply of one season.
pub(crate) fn season_path(year: i32) -> String {
    format!("supply.{year}")
}

/// Name of the column that a path is written to.
pub(crate) fn name_of(path: &str) -> String {
    match path {
        "origin.point" | "origin.polygon" => WKT_COLUMN.to_owned(),
        path => path.replace('.', "_"),
    }
}

/// Every column but those of single seasons, in the order in which they are written.
pub(crate) fn columns() -> &'static [Column] {
    static COLUMNS: LazyLock<Vec<Column>> = LazyLock::new(made);
    &COLUMNS
}

fn made() -> Vec<Column> {
    let has_column = |kind| !matches!(kind, ValueKind::Table | ValueKind::Polygon);
    let keys = STOCK_KEYS.iter().filter(|key| has_column(key.kind));
    let mut columns: Vec<_> = keys.map(|key| column(key.path.to_owned(), key.kind)).collect();
    for factor in Factor::NUMERIC {
        let [least, greatest] = factor.plausible();
        let kind = ValueKind::Number(least, greatest, factor.unit());
        columns.extend(ENDS.map(|end| column(format!("tolerance.{}.{end}", factor.key()), kind)));
    }
    let share = ValueKind::Number(0.0, 1.0, "");
    let drainage = Factor::Drainage.key();
    columns.extend(
        DRAINAGE_CLASSES.map(|class| column(format!("tolerance.{drainage}.{class}"), share)),
    );
    columns
}

/// The column with a name, a season's included.
pub(crate) fn find(name: &str) -> Option<Column> {
    let season = name.strip_prefix("supply_").and_then(|year| year.parse::<i32>().ok());
    if let Some(year) = season {
        return Some(column(season_path(year), ValueKind::Count(0, u64::MAX, "plants")))
            .filter(|column| column.name == name);
    }
    columns().iter().find(|column| column.name == name).cloned()
}

/// A text with an apostrophe before it, when it begins so that a spreadsheet would run it as a formula.
pub(crate) fn guarded(text: &str) -> String {
    if text.starts_with(RUN) { format!("'{text}") } else { text.to_owned() }
}

/// The text of a cell without the apostrophe that [`guarded`] puts before it.
pub(crate) fn unguarded(cell: &str) -> &str {
    cell.strip_prefix('\'').filter(|text| text.starts_with(RUN)).unwrap_or(cell)
}

/// What formulas begin with, and the apostrophe itself, so that each text has one guarded form.
const RUN: [char; 5] = ['=', '+', '-', '@', '\''];

fn column(path: String, kind: ValueKind) -> Column {
    Column { name: name_of(&path), path, kind }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_column_has_its_own_name() {
        let mut names: Vec<_> = columns().iter().map(|column| column.name.clone()).collect();
        assert!(names.iter().all(|name| find(name).is_some()));
        let all = names.len();
        names.sort();
        names.dedup();
        assert_eq!(names.len(), all);
        assert!(names.contains(&WKT_COLUMN.to_owned()));
    }

    #[test]
    fn a_text_that_a_spreadsheet_would_run_is_guarded_and_comes_back() {
        for (text, cell) in [
            ("Amber", "Amber"),
            ("=1+1", "'=1+1"),
            ("-x", "'-x"),
            ("@a", "'@a"),
            ("'=1", "''=1"),
            ("'", "''"),
            ("", ""),
        ] {
            assert_eq!(guarded(text), cell);
            assert_eq!(unguarded(cell), text);
        }
        assert_eq!(unguarded("'Amber"), "'Amber", "as its writer put it");
    }

    #[test]
    fn a_season_is_a_column_of_its_own() {
        let season = find("supply_2027").unwrap();
        assert_eq!((season.path.as_str(), season.name.as_str()), ("supply.2027", "supply_2027"));
        assert_eq!(
            (find("supply_+2027"), find("supply_02027"), find("supply_soon")),
            (None, None, None)
        );
    }
}
