//! A sheet: a table whose first row names its columns, filled in by people.

use std::collections::HashMap;

use csv::StringRecord;

use crate::faults::Faults;
use crate::problem::Problem;
use crate::site::nearest;

/// A kind of sheet: what its rows are about and which columns it may have.
pub(crate) struct Sheet {
    /// What a row is about: `plot`.
    pub noun: &'static str,
    /// Column that names it.
    pub id: &'static str,
    /// Columns that must be there.
    pub required: &'static [&'static str],
    /// Columns that may be there.
    pub optional: &'static [&'static str],
    /// Whether its cells are figures with decimals. A decimal comma that parts one in two moves what
    /// follows by a cell, so that even a blank cell beyond the last column is a fault.
    pub has_decimals: bool,
}

/// Most columns that are looked at: no sheet that people fill in has as many.
const MOST_COLUMNS: usize = 1_000;

/// Where the named columns of a sheet stand.
pub(crate) struct Columns<'s> {
    sheet: &'s Sheet,
    /// Name and place of each; so few that looking them through is fastest.
    places: Vec<(&'static str, usize)>,
    /// Cells in the first row.
    width: usize,
}

/// One row of a sheet.
#[derive(Clone, Copy)]
pub(crate) struct Row<'r> {
    record: &'r StringRecord,
    /// Line in the file, from 1.
    pub line: usize,
    columns: &'r Columns<'r>,
}

/// What was found, what was expected, the remedy.
pub(crate) type Wrong = [String; 3];

impl Faults<'_> {
    /// Keeps what is wrong with a cell.
    pub(crate) fn cell(
        &mut self,
        row: &Row<'_>,
        name: &str,
        [found, expected, remedy]: [impl Into<String>; 3],
    ) {
        let problem = Problem::error(row.item(name)).found(found).expected(expected).remedy(remedy);
        self.report(row.line, row.column(name), problem);
    }
}

impl Sheet {
    /// Every column, those first that must be there.
    pub(crate) fn columns(&self) -> impl Iterator<Item = &'static str> {
        self.required.iter().chain(self.optional).copied()
    }

    /// Reads the first row, whose cells are names of columns.
    pub(crate) fn header(
        &self,
        record: &StringRecord,
        line: usize,
        faults: &mut Faults<'_>,
    ) -> Columns<'_> {
        self.header_by(record, line, faults, |name| self.columns().find(|column| *column == name))
    }

    /// Reads the first row, whose cells stand for columns as `column` says.
    pub(crate) fn header_by(
        &self,
        record: &StringRecord,
        line: usize,
        faults: &mut Faults<'_>,
        column: impl Fn(&str) -> Option<&'static str>,
    ) -> Columns<'_> {
        let mut columns = Columns { sheet: self, places: Vec::new(), width: record.len() };
        if record.len() > MOST_COLUMNS {
            faults.report(line, MOST_COLUMNS + 1, too_wide(record.len()));
        }
        for (at, name) in record.iter().map(str::trim).enumerate().take(MOST_COLUMNS) {
            match column(name) {
                None => faults.report(line, at + 1, self.unknown(name)),
                Some(column) if columns.has(column) => {
                    faults.report(line, at + 1, again(name, column));
                }
                Some(column) => columns.places.push((column, at)),
            }
        }
        for name in self.required.iter().filter(|name| !columns.has(name)) {
            let problem = Problem::error(format!("column `{name}`")).found("nothing");
            let problem = problem.expected(format!("the columns {}", self.required.join(", ")));
            let remedy = "add it to the first row, and fill it in every row";
            faults.report(line, 1, problem.remedy(remedy));
        }
        columns
    }

    fn unknown(&self, name: &str) -> Problem {
        let remedy = nearest(name, self.columns()).map_or_else(
            || "take the column out, or write what is in it as `note`".to_owned(),
            |near| format!("did you mean `{near}`?"),
        );
        let expected = format!("one of {}", self.columns().collect::<Vec<_>>().join(", "));
        let problem = Problem::error(format!("column `{name}`")).found("an unknown column");
        problem.expected(expected).remedy(remedy)
    }
}

/// A first row of more columns than a sheet has.
fn too_wide(columns: usize) -> Problem {
    Problem::error("first row")
        .found(format!("{columns} columns"))
        .expected(format!("at most {MOST_COLUMNS}"))
        .remedy(
            "check that lines end where rows do, and take out columns that are not of the sheet",
        )
}

/// A column that was there before.
fn again(name: &str, column: &str) -> Problem {
    let found = if name == column {
        "the same name again".to_owned()
    } else {
        format!("another column of `{column}`")
    };
    let problem = Problem::error(format!("column `{name}`")).found(found);
    problem.expected("each column once").remedy("take one of the two out")
}

impl Columns<'_> {
    pub(crate) fn has(&self, name: &str) -> bool {
        self.place(name).is_some()
    }

    /// Where a column stands, from 0.
    pub(crate) fn place(&self, name: &str) -> Option<usize> {
        self.places.iter().find(|(one, _)| *one == name).map(|(_, at)| *at)
    }

    /// Where a column stands, from 1; 1 for one that is not there.
    pub(crate) fn column(&self, name: &str) -> usize {
        self.place(name).map_or(1, |at| at + 1)
    }
}

impl<'r> Row<'r> {
    pub(crate) fn new(record: &'r StringRecord, line: usize, columns: &'r Columns<'r>) -> Self {
        Self { record, line, columns }
    }

    /// What stands in a column; empty where nothing does.
    pub(crate) fn cell(&self, name: &str) -> &'r str {
        self.columns.place(name).and_then(|at| self.record.get(at)).unwrap_or_default().trim()
    }

    /// Whether the sheet has a column.
    pub(crate) fn has(&self, name: &str) -> bool {
        self.columns.has(name)
    }

    /// Where a column stands, from 1.
    pub(crate) fn column(&self, name: &str) -> usize {
        self.columns.column(name)
    }

    /// How messages speak of a cell.
    pub(crate) fn item(&self, name: &str) -> String {
        let sheet = self.columns.sheet;
        match self.cell(sheet.id) {
            "" => name.to_owned(),
            id => format!("{} `{id}`, {name}", sheet.noun),
        }
    }

    /// A name that must be there.
    pub(crate) fn name(&self, column: &str, faults: &mut Faults<'_>) -> Option<&'r str> {
        let cell = self.cell(column);
        if cell.is_empty() && self.has(column) {
            faults.cell(self, column, ["nothing", "a name", "fill the cell"]);
        }
        (!cell.is_empty()).then_some(cell)
    }

    /// Reports a row whose name came before; a blank name is another fault. `seen` has the line of each.
    pub(crate) fn once(
        &self,
        seen: &mut HashMap<&'r str, usize>,
        remedy: &str,
        faults: &mut Faults<'_>,
    ) {
        let sheet = self.columns.sheet;
        let id = self.cell(sheet.id);
        if id.is_empty() {
            return;
        }
        if let Some(before) = seen.insert(id, self.line) {
            let found = format!("`{id}` again, as in row {before}");
            faults.cell(self, sheet.id, [&found, &format!("each {} once", sheet.noun), remedy]);
        }
    }

    /// Whether no cell lies beyond the last column, filled or, where figures have decimals, blank; the first
    /// that does is reported.
    pub(crate) fn check_width(&self, faults: &mut Faults<'_>) -> bool {
        let (sheet, width) = (self.columns.sheet, self.columns.width);
        let mut beyond = self.record.iter().enumerate().skip(width);
        let is_told = |cell: &str| sheet.has_decimals || !cell.trim().is_empty();
        let Some((at, cell)) = beyond.find(|(_, cell)| is_told(cell)) else { return true };
        let found = match cell.trim() {
            "" => "a blank cell beyond the last column".to_owned(),
            cell => format!("`{cell}` beyond the last column"),
        };
        let remedy = if sheet.has_decimals {
            "write decimals with a point, and put text that holds the separator in quotation marks"
        } else {
            "put text that holds the separator in quotation marks"
        };
        let problem = Problem::error("row").found(found);
        let problem = problem.expected(format!("{width} cells, as in the first row"));
        faults.report(self.line, at + 1, problem.remedy(remedy));
        false
    }
}

#[cfg(test)]
mod tests {
    use std::path::Path;

    use super::*;

    #[test]
    fn a_row_that_never_ends_is_told_once() {
        let sheet = Sheet {
            noun: "plot",
            id: "plot_id",
            required: &["plot_id"],
            optional: &[],
            has_decimals: false,
        };
        let header = |columns: usize| {
            let mut names = vec!["plot_id"];
            names.resize(columns, "x");
            let mut faults = Faults::new(Path::new("sheet.csv"));
            sheet.header(&StringRecord::from(names), 1, &mut faults);
            faults.or(()).unwrap_err()
        };
        let wide = |problem: &&Problem| problem.item == "first row";
        assert_eq!(header(MOST_COLUMNS).iter().filter(wide).count(), 0);
        let told = header(300_000);
        let told: Vec<_> = told.iter().filter(wide).collect();
        assert_eq!((told.len(), told[0].found.as_str()), (1, "300000 columns"));
    }
}
