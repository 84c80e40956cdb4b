//! The CSV form: rows are turned into the TOML that says the same, cell by cell, so that both forms
//! are held to the same rules; faults are told by row and column.

use std::collections::BTreeSet;
use std::fmt::Write;

use csv::StringRecord;

use super::faults::{Cell, Faults, Wrong};
use super::section::nearest;
use crate::columns::{Column, WKT_COLUMN, columns, find, unguarded};
use crate::table::table_rows;
use crate::write::plain;
use crate::{Shape, Stock, StockFault, ValueKind, wkt};

/// Every stock of a CSV text, in its order, at least one, with unique ids.
pub(crate) fn library(text: &str) -> Result<Vec<Stock>, Vec<StockFault>> {
    let mut table = Table::default();
    let mut header: Option<Vec<Option<Column>>> = None;
    for (line, record) in table_rows(text) {
        match &header {
            None => header = Some(table.header(&record, line)),
            Some(columns) => table.row(&record, columns, line),
        }
    }
    table.finish()
}

/// Most columns that are looked at: a table of stock has some sixty, and one more for each winter.
const MOST_COLUMNS: usize = 1_000;

/// The TOML so far, where each piece of it comes from, and what could not be turned.
#[derive(Default)]
struct Table {
    toml: String,
    cells: Vec<Cell>,
    /// Row, column and what is wrong.
    wrong: Vec<(usize, usize, Wrong)>,
    rows: usize,
}

impl Table {
    /// The column that each cell of the first row names; `None` where it names none.
    fn header(&mut self, record: &StringRecord, line: usize) -> Vec<Option<Column>> {
        let mut seen = BTreeSet::new();
        let mut header = Vec::new();
        if record.len() > MOST_COLUMNS {
            self.wrong.push((line, MOST_COLUMNS + 1, too_wide(record.len())));
        }
        for (at, name) in record.iter().map(str::trim).enumerate().take(MOST_COLUMNS) {
            let column = find(name);
            if column.is_none() {
                self.wrong.push((line, at + 1, unknown(name)));
            } else if !seen.insert(name.to_owned()) {
                let found = format!("`{name}` a second time");
                let expected = "each column once".to_owned();
                let remedy = "take one of the two out".to_owned();
                let wrong = Wrong { item: format!("column `{name}`"), found, expected, remedy };
                self.wrong.push((line, at + 1, wrong));
            }
            header.push(column);
        }
        header
    }

    fn row(&mut self, record: &StringRecord, columns: &[Option<Column>], line: usize) {
        self.rows += 1;
        self.cells.push(Cell { start: self.toml.len(), line, column: 1 });
        self.toml.push_str("[[stock]]\n");
        let filled = record.iter().map(str::trim).enumerate().filter(|(_, cell)| !cell.is_empty());
        let mut supply: Option<usize> = None;
        for (at, cell) in filled {
            let Some(Some(column)) = columns.get(at) else {
                if at >= columns.len() {
                    self.wrong.push((line, at + 1, beyond(self.rows, cell, columns.len())));
                }
                continue;
            };
            if column.path == "supply" {
                supply = Some(at + 1);
            } else if let Some(total) = supply.filter(|_| column.path.starts_with("supply.")) {
                self.wrong.push((line, total, twice_supplied(self.rows)));
                continue;
            }
            self.cells.push(Cell { start: self.toml.len(), line, column: at + 1 });
            match entry(column, cell) {
                // Writing to a String cannot fail.
                Some(entry) => drop(writeln!(self.toml, "{entry}")),
                None => self.wrong.push((line, at + 1, no_shape(self.rows, cell))),
            }
        }
    }

    fn finish(self) -> Result<Vec<Stock>, Vec<StockFault>> {
        let mut faults = Faults::of_cells(&self.toml, self.cells);
        for (line, column, wrong) in self.wrong {
            faults.report_at(line, column, wrong);
        }
        if self.rows == 0 {
            let expected = "a first row with the names of the columns, and a row for each line";
            let wrong = Wrong {
                item: "the file".to_owned(),
                found: "no stock".to_owned(),
                expected: expected.to_owned(),
                remedy: "`hillweave stock FILE -o stock.csv` writes one to begin with".to_owned(),
            };
            faults.report_at(1, 1, wrong);
            return faults.or(Vec::new());
        }
        super::stocks(&self.toml, faults)
    }
}

/// The TOML line of a cell; `None` when a shape cannot be read.
fn entry(column: &Column, cell: &str) -> Option<String> {
    if column.name == WKT_COLUMN {
        return Some(match wkt::parsed(cell)? {
            Shape::Point(position) => format!("origin.point = {position:?}"),
            Shape::Polygon(rings) => format!("origin.polygon = {rings:?}"),
        });
    }
    let is_text = matches!(column.kind, ValueKind::Id | ValueKind::Text | ValueKind::Word(_));
    let value = number(cell)
        .filter(|_| !is_text)
        .unwrap_or_else(|| toml_edit::Value::from(unguarded(cell)).to_string());
    Some(format!("{} = {value}", column.path))
}

/// A cell as a TOML number, when it is one.
fn number(cell: &str) -> Option<String> {
    if let Ok(whole) = cell.parse::<i64>() {
        return Some(whole.to_string());
    }
    let number = cell.parse().ok().filter(|number: &f64| number.is_finite())?;
    let text = plain(number);
    // A point or an exponent keeps it from passing as a whole number.
    Some(if text.contains(['.', 'e']) { text } else { format!("{text}.0") })
}

fn unknown(name: &str) -> Wrong {
    let names: Vec<&str> = columns().iter().map(|column| column.name.as_str()).collect();
    let remedy = match nearest(name, &names) {
        Some(near) => format!("did you mean `{near}`?"),
        None => "take the column out, or name it".to_owned(),
    };
    Wrong {
        item: format!("column `{name}`"),
        found: "an unknown column".to_owned(),
        expected: "columns of docs/stock-keys.md, or `supply_` and a year".to_owned(),
        remedy,
    }
}

fn too_wide(columns: usize) -> Wrong {
    Wrong {
        item: "first row".to_owned(),
        found: format!("{columns} columns"),
        expected: format!("at most {MOST_COLUMNS}"),
        remedy:
            "check that lines end where rows do, and take out columns that are not of the table"
                .to_owned(),
    }
}

fn beyond(row: usize, cell: &str, columns: usize) -> Wrong {
    Wrong {
        item: format!("stock number {row}"),
        found: format!("`{cell}` beyond the last column"),
        expected: format!("{columns} cells, as in the first row"),
        remedy: "put text that holds the separator in quotation marks".to_owned(),
    }
}

fn twice_supplied(row: usize) -> Wrong {
    Wrong {
        item: format!("stock number {row}, supply"),
        found: "one figure and figures by season".to_owned(),
        expected: "one of the two".to_owned(),
        remedy: "empty `supply`, or the cells of the seasons".to_owned(),
    }
}

fn no_shape(row: usize, cell: &str) -> Wrong {
    let cut: String = cell.chars().take(40).collect();
    Wrong {
        item: format!("stock number {row}, {WKT_COLUMN}"),
        found: format!("`{cut}`"),
        expected:
            "well-known text such as POINT (1801250 5672300) or POLYGON ((0 0, 9 0, 9 9, 0 0))"
                .to_owned(),
        remedy: "close each ring with its first position again, and leave heights out".to_owned(),
    }
}
