//! A sheet: a title, notes, a heading that stays in sight, rows, and totals beneath.

use rust_xlsxwriter::utility::row_col_to_cell;
use rust_xlsxwriter::{
    DataValidation, DataValidationRule, Format, FormatAlign, FormatBorder, Formula, Worksheet,
    XlsxError,
};

use crate::plan::Plan;

/// Row of the heading, counted from 0; three rows of title and notes stand above it.
const HEADING_ROW: u32 = 3;
/// First row of the table, counted from 0.
pub(super) const FIRST_ROW: u32 = HEADING_ROW + 1;
/// Characters that a cell holds. Source: limits of Excel workbooks (from memory).
const LONGEST: usize = 32_767;
/// Two lines of the note, points.
const NOTE_HEIGHT: f64 = 32.0;
/// ISO A4 among the paper sizes of ECMA-376 (from memory).
const A4: u8 = 9;

/// Whole numbers with a comma at each thousand.
pub(super) const WHOLE: &str = "#,##0";
/// A year, a number of a card.
pub(super) const NUMBER: &str = "0";
/// One decimal.
pub(super) const TENTHS: &str = "#,##0.0";
/// Two decimals.
pub(super) const HUNDREDTHS: &str = "#,##0.00";
/// A share in hundredths.
pub(super) const PERCENT: &str = "0 %";
/// Degrees with 7 decimals.
pub(super) const DEGREES: &str = "0.0000000";

/// What stands in a cell.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Cell {
    /// Not known, or nothing to say.
    Empty,
    /// To be filled in by hand.
    Asked,
    /// Words.
    Text(String),
    /// A count.
    Whole(u64),
    /// A measure.
    Real(f64),
    /// What a formula comes to, and the formula.
    Reckoned(String, Box<Cell>),
}

impl Cell {
    /// A count that may not be known.
    pub(super) fn whole(count: Option<u64>) -> Self {
        count.map_or(Self::Empty, Self::Whole)
    }

    /// A measure that may not be known.
    pub(super) fn real(number: Option<f64>) -> Self {
        number.map_or(Self::Empty, Self::Real)
    }

    /// A winter.
    pub(super) fn year(season: Option<i32>) -> Self {
        Self::whole(season.and_then(|year| u64::try_from(year).ok()))
    }

    /// Words.
    pub(super) fn text(words: impl Into<String>) -> Self {
        Self::Text(words.into())
    }

    /// What a formula comes to.
    fn result(&self) -> &Self {
        match self {
            Self::Reckoned(_, result) => result.result(),
            other => other,
        }
    }

    /// As the cached result of a formula.
    fn words(&self) -> String {
        match self.result() {
            Self::Whole(count) => count.to_string(),
            Self::Real(number) => number.to_string(),
            Self::Text(words) => words.clone(),
            Self::Empty | Self::Asked | Self::Reckoned(..) => String::new(),
        }
    }
}

/// Whether a column is added up.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Total {
    /// It is not.
    No,
    /// It is.
    Sum,
    /// It is where every row has a figure: a sum of some would mislead.
    SumOfAll,
    /// It is where the figure of the sheet is known.
    SumByFigure,
}

/// A column: its heading with its unit, its width in characters, how its numbers are shown, and whether it is added up.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Heading {
    pub(super) words: String,
    pub(super) width: f64,
    pub(super) shown: &'static str,
    pub(super) total: Total,
}

impl Heading {
    pub(super) fn new(
        words: impl Into<String>,
        width: f64,
        shown: &'static str,
        total: Total,
    ) -> Self {
        Self { words: words.into(), width, shown, total }
    }
}

/// A sheet with one table.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Sheet {
    /// Its name: at most 31 letters, none of `[]:*?/\`.
    pub(super) name: &'static str,
    /// What it says, in a sentence or two.
    pub(super) note: String,
    /// A figure that formulas of the table take, with its name; it stands in the third row.
    pub(super) figure: Option<(&'static str, Cell)>,
    /// The columns.
    pub(super) headings: Vec<Heading>,
    /// The rows.
    pub(super) rows: Vec<Vec<Cell>>,
    /// Columns in which only whole numbers from 0 to a column beside it, or to anything, may be written.
    pub(super) asked: Vec<(u16, Option<u16>)>,
}

/// Where the figure of a sheet stands, with dollar signs.
pub(super) const FIGURE: &str = "$C$3";

/// The name of a cell, such as `B7`: column from 0, row of the table from 0.
pub(super) fn at(column: u16, row: usize) -> String {
    row_col_to_cell(FIRST_ROW.saturating_add(row as u32), column)
}

impl Sheet {
    /// Writes it into a worksheet of its own.
    pub(super) fn write(&self, sheet: &mut Worksheet, plan: &Plan) -> Result<(), XlsxError> {
        sheet.set_name(self.name)?;
        set_up(sheet, plan, self.name);
        sheet.set_repeat_rows(HEADING_ROW, HEADING_ROW)?;
        sheet.set_freeze_panes(FIRST_ROW, 0)?;
        put(sheet, (0, 0), &Cell::text(format!("{}: {}", plan.site, self.name)), &title())?;
        let last = self.headings.len().saturating_sub(1) as u16;
        sheet.merge_range(1, 0, 1, last, &fitted(&self.note), &wrapped())?;
        sheet.set_row_height(1, NOTE_HEIGHT)?;
        if let Some((name, cell)) = &self.figure {
            put(sheet, (2, 0), &Cell::text(*name), &Format::new())?;
            put(sheet, (2, 2), cell, &asked().set_num_format(NUMBER))?;
        }
        for (column, heading) in (0_u16..).zip(&self.headings) {
            sheet.set_column_width(column, heading.width)?;
            put(sheet, (HEADING_ROW, column), &Cell::text(heading.words.clone()), &head())?;
            let shown = Format::new().set_num_format(heading.shown).set_align(FormatAlign::Top);
            for (row, cells) in (FIRST_ROW..).zip(&self.rows) {
                let Some(cell) = cells.get(usize::from(column)) else { continue };
                let format = if matches!(cell, Cell::Text(_)) { wrapped() } else { shown.clone() };
                put(sheet, (row, column), cell, &format)?;
            }
        }
        if !self.rows.is_empty() {
            sheet.autofilter(HEADING_ROW, 0, self.last_row(), last)?;
            self.validate(sheet)?;
        }
        self.write_totals(sheet)
    }

    /// Last row of the table, counted from 0.
    fn last_row(&self) -> u32 {
        HEADING_ROW.saturating_add(self.rows.len() as u32)
    }

    /// Only whole numbers may be written where people count.
    fn validate(&self, sheet: &mut Worksheet) -> Result<(), XlsxError> {
        for (column, most) in &self.asked {
            let rule = match most {
                None => DataValidation::new()
                    .allow_whole_number(DataValidationRule::GreaterThanOrEqualTo(0)),
                Some(most) => {
                    let highest = Formula::new(format!("={}", at(*most, 0)));
                    DataValidation::new().allow_whole_number_formula(DataValidationRule::Between(
                        Formula::new("=0"),
                        highest,
                    ))
                }
            };
            let words = "A whole number of plants: from 0, and no more alive than were counted.";
            let rule = rule.set_error_message(words)?;
            sheet.add_data_validation(FIRST_ROW, *column, self.last_row(), *column, &rule)?;
        }
        Ok(())
    }

    fn write_totals(&self, sheet: &mut Worksheet) -> Result<(), XlsxError> {
        let row = self.last_row().saturating_add(1);
        put(sheet, (row, 0), &Cell::text("total"), &total_row())?;
        for (column, heading) in (0_u16..).zip(&self.headings).skip(1) {
            let cell = self.total(column, heading.total);
            put(sheet, (row, column), &cell, &total_row().set_num_format(heading.shown))?;
        }
        Ok(())
    }

    /// The total of a column; empty where it has none.
    pub(super) fn total(&self, column: u16, total: Total) -> Cell {
        let cells =
            || self.rows.iter().filter_map(|row| row.get(usize::from(column))).map(Cell::result);
        let is_known = |cell: &Cell| matches!(cell, Cell::Whole(_) | Cell::Real(_));
        let is_all_known = cells().all(is_known);
        if total == Total::No || (total == Total::SumOfAll && !is_all_known) {
            return Cell::Empty;
        }
        let Some(last) = self.rows.len().checked_sub(1) else { return Cell::Whole(0) };
        let sum = format!("SUM({}:{})", at(column, 0), at(column, last));
        if total == Total::SumByFigure {
            let figure =
                if is_all_known { Cell::Real(cells().map(real_of).sum()) } else { Cell::Empty };
            return Cell::Reckoned(format!("=IF(N({FIGURE})<=0,\"\",{sum})"), Box::new(figure));
        }
        let formula = format!("={sum}");
        let is_whole = cells().all(|cell| !matches!(cell, Cell::Real(_)));
        let sum = if is_whole {
            Cell::Whole(cells().map(whole_of).fold(0, u64::saturating_add))
        } else {
            Cell::Real(cells().map(real_of).sum())
        };
        Cell::Reckoned(formula, Box::new(sum))
    }
}

fn whole_of(cell: &Cell) -> u64 {
    if let Cell::Whole(count) = cell { *count } else { 0 }
}

fn real_of(cell: &Cell) -> f64 {
    match cell {
        Cell::Whole(count) => *count as f64,
        Cell::Real(number) => *number,
        _ => 0.0,
    }
}

/// Paper, margins, and what stands at the head and foot of each page.
pub(super) fn set_up(sheet: &mut Worksheet, plan: &Plan, name: &str) {
    // An ampersand begins a command there.
    let site: String = plan.site.chars().take(80).collect::<String>().replace('&', "&&");
    // What a formula comes to is given with each; nothing stands for nothing.
    sheet.set_formula_result_default("");
    sheet.set_landscape();
    sheet.set_paper_size(A4);
    sheet.set_print_fit_to_pages(1, 0);
    sheet.set_header(format!("&L{site}&R{name}"));
    sheet.set_footer(format!("&Lhillweave {}&RPage &P of &N", plan.version));
}

/// Puts a cell in its place.
pub(super) fn put(
    sheet: &mut Worksheet,
    (row, column): (u32, u16),
    cell: &Cell,
    format: &Format,
) -> Result<(), XlsxError> {
    match cell {
        Cell::Empty => {
            sheet.write_blank(row, column, format)?;
        }
        Cell::Asked => {
            sheet.write_blank(row, column, &asked())?;
        }
        Cell::Text(words) => {
            sheet.write_string_with_format(row, column, fitted(words), format)?;
        }
        Cell::Whole(count) => {
            sheet.write_number_with_format(row, column, *count as f64, format)?;
        }
        Cell::Real(number) => {
            sheet.write_number_with_format(row, column, *number, format)?;
        }
        Cell::Reckoned(formula, result) => {
            let formula = Formula::new(formula.clone()).set_result(result.words());
            sheet.write_formula_with_format(row, column, formula, format)?;
        }
    }
    Ok(())
}

/// A text that a cell holds, cut with a sign where it is longer.
fn fitted(words: &str) -> String {
    match words.char_indices().nth(LONGEST) {
        None => words.to_owned(),
        Some(_) => words.chars().take(LONGEST - 1).chain(['…']).collect(),
    }
}

/// The title of a sheet.
pub(super) fn title() -> Format {
    Format::new().set_bold().set_font_size(14)
}

/// A heading.
pub(super) fn head() -> Format {
    Format::new()
        .set_bold()
        .set_text_wrap()
        .set_align(FormatAlign::Top)
        .set_background_color("#E6E6E6")
        .set_border_bottom(FormatBorder::Thin)
}

/// Words that may take several lines.
pub(super) fn wrapped() -> Format {
    Format::new().set_text_wrap().set_align(FormatAlign::Top)
}

/// A cell to write in.
fn asked() -> Format {
    Format::new().set_border(FormatBorder::Thin).set_num_format(WHOLE)
}

fn total_row() -> Format {
    Format::new().set_bold().set_border_top(FormatBorder::Thin)
}
