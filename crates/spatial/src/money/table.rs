//! The site's own tables of income and of carbon, from CSV.

use std::path::Path;

use ledger::{CarbonTable, Range, TableFault};
use stock::table_rows;

use crate::faults::Faults;
use crate::problem::Problem;
use crate::sheet::{Row, Sheet};
use crate::site::TextFile;

/// A row of the table of income: so much a year and planted hectare of map, from one age of the planting to
/// another, both taken in.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Income {
    /// What it is for, in the site's words.
    pub(super) what: String,
    /// First and last year after planting.
    pub(super) years: [usize; 2],
    /// NZ$ a year and planted hectare of map.
    pub(super) nzd_per_ha: Range,
}

const INCOME: TextFile = TextFile {
    item: "income table",
    form: "CSV",
    instead: "name a CSV file in `money.income`",
    missing: "check `money.income`, or take the key out: no income is then counted",
};

const CARBON: TextFile = TextFile {
    item: "carbon table",
    form: "CSV",
    instead: "name a CSV file in `money.carbon`",
    missing: "check `money.carbon`, or take the key out: no carbon is then counted",
};

const INCOME_SHEET: Sheet = Sheet {
    noun: "income",
    id: "what",
    required: &[
        "what",
        "year_from",
        "year_to",
        "low_nzd_per_ha",
        "middle_nzd_per_ha",
        "high_nzd_per_ha",
    ],
    optional: &["note"],
    has_decimals: true,
};

const CARBON_SHEET: Sheet = Sheet {
    noun: "age",
    id: "age_years",
    required: &["age_years", "tco2_per_ha"],
    optional: &["note"],
    has_decimals: true,
};

/// Latest year after planting that a table may name.
const LAST_YEAR: f64 = 300.0;
/// More than any hectare brings or holds.
const MOST: f64 = 1e7;

/// Reads a table of income.
///
/// # Errors
/// Every fault, each with its line and column.
pub(super) fn read_income(file: &Path) -> Result<Vec<Income>, Vec<Problem>> {
    let mut rows = Vec::new();
    let mut faults = Faults::new(file);
    each_row(&INCOME, &INCOME_SHEET, file, &mut faults, |row, faults| {
        let what = row.name("what", faults);
        let from = number(row, "year_from", LAST_YEAR, true, faults);
        let to = number(row, "year_to", LAST_YEAR, true, faults);
        let amount = |name: &str, faults: &mut Faults<'_>| number(row, name, MOST, false, faults);
        let low = amount("low_nzd_per_ha", faults);
        let middle = amount("middle_nzd_per_ha", faults);
        let high = amount("high_nzd_per_ha", faults);
        if let (Some(from), Some(to)) = (from, to)
            && to < from
        {
            let wrong = [
                format!("{to}, before `year_from`, {from}"),
                "the same year or a later one".to_owned(),
                "set the years in order".to_owned(),
            ];
            faults.cell(row, "year_to", wrong);
        }
        let (Some(low), Some(middle), Some(high)) = (low, middle, high) else { return };
        let Some(nzd_per_ha) = Range::new(low, middle, high) else {
            let found = format!("{low}, {middle}, {high}");
            let expected = "low, middle and high, none below the one before";
            faults.cell(row, "middle_nzd_per_ha", [found.as_str(), expected, "set them in order"]);
            return;
        };
        if let (Some(what), Some(from), Some(to)) = (what, from, to) {
            let years = [from as usize, to as usize];
            rows.push(Income { what: what.to_owned(), years, nzd_per_ha });
        }
    })?;
    faults.or(rows)
}

/// Reads a table of carbon by age.
///
/// # Errors
/// Every fault, each with its line and column.
pub(super) fn read_carbon(file: &Path) -> Result<CarbonTable, Vec<Problem>> {
    let mut faults = Faults::new(file);
    let (mut rows, mut lines) = (Vec::new(), Vec::new());
    each_row(&CARBON, &CARBON_SHEET, file, &mut faults, |row, faults| {
        let age = number(row, "age_years", LAST_YEAR, false, faults);
        let amount = number(row, "tco2_per_ha", MOST, false, faults);
        if let (Some(age), Some(amount)) = (age, amount) {
            rows.push((age, amount));
            lines.push((row.line, row.column("age_years"), row.column("tco2_per_ha")));
        }
    })?;
    if !faults.is_sound() {
        return Err(faults.or(()).err().unwrap_or_default());
    }
    CarbonTable::new(&rows).map_err(|fault| {
        let place = |at: usize| lines.get(at).copied().unwrap_or((1, 1, 1));
        let problem = match fault {
            TableFault::Empty => Problem::error(CARBON.item).found("no rows").place(1, 1),
            TableFault::Age(at) => Problem::error("age_years")
                .found(rows.get(at).map_or_else(String::new, |(age, _)| age.to_string()))
                .place(place(at).0, place(at).1),
            TableFault::Amount(at) => Problem::error("tco2_per_ha")
                .found(rows.get(at).map_or_else(String::new, |(_, amount)| amount.to_string()))
                .place(place(at).0, place(at).2),
        };
        vec![
            problem
                .file(file)
                .expected("one row an age, ages rising, amounts from 0 up")
                .remedy("sort the rows by age, and take out ages that come twice"),
        ]
    })
}

/// Hands out every row that is as wide as the first.
fn each_row(
    text: &TextFile,
    sheet: &Sheet,
    file: &Path,
    faults: &mut Faults<'_>,
    mut read: impl FnMut(&Row<'_>, &mut Faults<'_>),
) -> Result<(), Vec<Problem>> {
    let table = text.read(file)?;
    let rows = table_rows(&table);
    let mut count = 0;
    if let Some(((line, names), rows)) = rows.split_first() {
        let columns = sheet.header(names, *line, faults);
        if !faults.is_sound() {
            return Ok(()); // cells of columns that are not there would be reported row by row
        }
        count = rows.len();
        for (line, record) in rows {
            let row = Row::new(record, *line, &columns);
            if row.check_width(faults) {
                read(&row, faults);
            }
        }
    }
    if count == 0 && faults.is_sound() {
        let expected = format!("a first row {}, then a row each", sheet.required.join(","));
        let problem = Problem::error(text.item).found("no rows").expected(expected);
        faults.report(1, 1, problem.remedy(text.missing));
    }
    Ok(())
}

/// A number from 0 to `most`, whole if asked for.
fn number(
    row: &Row<'_>,
    name: &str,
    most: f64,
    is_whole: bool,
    faults: &mut Faults<'_>,
) -> Option<f64> {
    let cell = row.cell(name);
    let is_plain = cell.bytes().all(|byte| byte.is_ascii_digit() || b".-+eE".contains(&byte));
    let number = if is_plain { cell.parse::<f64>().ok() } else { None };
    let sound = number
        .filter(|number| (0.0..=most).contains(number) && !(is_whole && number.fract() > 0.0));
    if sound.is_none() {
        let kind = if is_whole { "a whole number" } else { "a number" };
        let found = if cell.is_empty() { "nothing".to_owned() } else { format!("`{cell}`") };
        let expected = format!("{kind} from 0 to {most}");
        let remedy = "write digits alone, with a point for decimals: no unit, no NZ$, no separators of thousands";
        faults.cell(row, name, [found, expected, remedy.to_owned()]);
    }
    sound
}
