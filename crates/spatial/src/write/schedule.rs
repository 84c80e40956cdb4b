//! `schedule.csv`, one row a block, for the crew; `orders.csv`, one row a delivery, for the nursery.

use super::columns::{Column, ORDERS, schedule};
use super::value::Value;
use crate::plan::Plan;
use crate::problem::Problem;

/// Name of the schedule.
pub const SCHEDULE_CSV: &str = "schedule.csv";
/// Name of the orders.
pub(crate) const ORDERS_CSV: &str = "orders.csv";

/// The schedule as UTF-8 CSV after RFC 4180 (with plain line feeds): a header line, no totals row. Texts
/// that a spreadsheet would run as a formula are disarmed by an apostrophe.
///
/// # Errors
/// When a number is not finite.
pub fn schedule_csv(plan: &Plan) -> Result<Vec<u8>, Problem> {
    csv_of(&schedule(), plan.blocks.iter().map(alone), plan, SCHEDULE_CSV, [])
}

/// The orders, one row a delivery, in the same way.
///
/// # Errors
/// When a number is not finite.
pub(crate) fn orders_csv(plan: &Plan) -> Result<Vec<u8>, Problem> {
    let deliveries = plan.line_orders.iter().flat_map(|order| &order.deliveries);
    csv_of(&ORDERS, deliveries.map(alone), plan, ORDERS_CSV, [])
}

/// A row without further cells.
fn alone<Row>(row: &Row) -> (&Row, [String; 0]) {
    (row, [])
}

/// Rows as UTF-8 CSV after RFC 4180 (with plain line feeds), a header line, no totals row; after its columns
/// each row has cells under `further`.
///
/// Texts that a spreadsheet would run as a formula are disarmed: an apostrophe goes before a first `=`, `+`, `-`, `@`,
/// tab or line break.
///
/// # Errors
/// When a number is not finite.
pub(crate) fn csv_of<'r, Row: 'r, Whole, const FURTHER: usize>(
    columns: &[Column<Row, Whole>],
    rows: impl Iterator<Item = (&'r Row, [String; FURTHER])>,
    whole: &Whole,
    file: &str,
    further: [&str; FURTHER],
) -> Result<Vec<u8>, Problem> {
    let mut table = csv::Writer::from_writer(Vec::new());
    let header = columns.iter().map(|column| column.name).chain(further);
    table.write_record(header).map_err(|error| trouble(&error, file))?;
    for (row, more) in rows {
        let cell = |column: &Column<Row, Whole>| column.value(row, whole).map(text);
        let cells: Result<Vec<String>, Problem> = columns.iter().map(cell).collect();
        let cells = cells.map_err(|problem| problem.file(file))?;
        table.write_record(cells.into_iter().chain(more)).map_err(|error| trouble(&error, file))?;
    }
    table.into_inner().map_err(|error| trouble(error.error(), file))
}

/// A value as a cell.
pub(super) fn text(value: Value) -> String {
    match value {
        Value::Null => String::new(),
        Value::Text(text) => disarmed(text),
        Value::Integer(count) => count.to_string(),
        Value::Real(number) => number.to_string(),
    }
}

/// A text with an apostrophe before it when it begins with `=`, `+`, `-`, `@`, a tab or a line
/// break, so that a spreadsheet shows it and does not run it.
///
/// Source: OWASP, "CSV Injection" (the list of first characters is from memory).
pub(crate) fn disarmed(text: String) -> String {
    if text.starts_with(['=', '+', '-', '@', '\t', '\r', '\n']) { format!("'{text}") } else { text }
}

/// A row that CSV refuses.
pub(super) fn trouble(error: &impl std::error::Error, file: &str) -> Problem {
    Problem::error("table")
        .file(file)
        .found(error.to_string())
        .expected("rows that CSV can hold")
        .remedy("this is a fault of the program: please report it with the site folder")
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::write::fixture;

    fn rows(plan: &Plan) -> Vec<csv::StringRecord> {
        let bytes = schedule_csv(plan).unwrap();
        let mut reader = csv::ReaderBuilder::new().has_headers(false).from_reader(&bytes[..]);
        reader.records().map(Result::unwrap).collect()
    }

    #[test]
    fn one_row_a_block_under_the_header() {
        let plan = fixture::plan();
        let rows = rows(&plan);
        assert_eq!(rows.len(), plan.blocks.len() + 1);
        assert_eq!(&rows[0][3], "stock_name");
        assert_eq!(&rows[1][3], "mānuka, tall");
        assert_eq!(
            rows[1][5].parse::<f64>().unwrap().to_bits(),
            plan.blocks[0].plan_area_ha.0.to_bits()
        );
        assert_eq!(&rows[2][10], "0");
    }

    #[test]
    fn no_blocks_is_a_header_alone() {
        let mut plan = fixture::plan();
        plan.blocks.clear();
        assert_eq!(rows(&plan).len(), 1);
    }

    #[test]
    fn a_formula_is_shown_and_not_run() {
        let mut plan = fixture::plan();
        plan.blocks[0].stock_id = "=HYPERLINK(\"x\")".into();
        plan.orders[0].stock_id.clone_from(&plan.blocks[0].stock_id);
        plan.orders[0].name = "+1\n\"quoted\", and so on".into();
        let rows = rows(&plan);
        assert_eq!(&rows[1][2], "'=HYPERLINK(\"x\")");
        assert_eq!(&rows[1][3], "'+1\n\"quoted\", and so on");
    }

    #[test]
    fn a_stock_without_a_name_is_an_empty_cell() {
        let mut plan = fixture::plan();
        plan.orders.clear();
        assert_eq!(&rows(&plan)[1][3], "");
    }

    proptest! {
        #[test]
        fn any_name_comes_back(name in "\\PC*") {
            let mut plan = fixture::plan();
            plan.orders[0].name.clone_from(&name);
            let rows = rows(&plan);
            let read = rows[1][3].strip_prefix('\'').filter(|_| !name.starts_with('\''));
            prop_assert_eq!(read.unwrap_or(&rows[1][3]), name);
        }
    }
}
