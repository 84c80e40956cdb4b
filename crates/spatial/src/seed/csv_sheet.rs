//! A table with named columns, read with the place of every fault.

use std::path::{Path, PathBuf};

use csv::StringRecord;
use stock::table_rows;

use crate::problem::Problem;
use crate::site::{TextFile, nearest};

/// A table and what is wrong with it so far.
pub(super) struct CsvSheet {
    file: PathBuf,
    columns: &'static [&'static str],
    /// Position of each column among the cells.
    at: Vec<Option<usize>>,
    rows: Vec<(usize, StringRecord)>,
    /// Faults found.
    pub(super) problems: Vec<Problem>,
}

/// One row of it.
#[derive(Clone, Copy)]
pub(super) struct CsvRow<'s> {
    sheet: &'s CsvSheet,
    line: usize,
    record: &'s StringRecord,
}

impl CsvSheet {
    /// Reads a file whose first row names `columns`, every one of which must be there; others are left
    /// alone. With commas, semicolons or tabs.
    ///
    /// # Errors
    /// When it cannot be read, or has no row below the first.
    pub(super) fn read(
        kind: &TextFile,
        file: &Path,
        columns: &'static [&'static str],
    ) -> Result<Self, Vec<Problem>> {
        let text = kind.read(file)?;
        let mut rows = table_rows(&text);
        if rows.len() < 2 {
            let problem = Problem::error(kind.item).file(file).place(1, 1);
            let found = if rows.is_empty() { "nothing" } else { "a first row alone" };
            let expected = format!("a first row {}, then a row for each", columns.join(","));
            return Err(problem.found(found).expected(expected).remedy("fill it in").into());
        }
        let (line, header) = rows.remove(0);
        let names: Vec<&str> = header.iter().map(str::trim).collect();
        let mut sheet =
            Self { file: file.to_path_buf(), columns, at: Vec::new(), rows, problems: Vec::new() };
        for column in columns {
            let mut found = names.iter().enumerate().filter(|(_, name)| *name == column);
            let first = found.next().map(|(at, _)| at);
            if let Some((again, _)) = found.next() {
                let problem = Problem::error(format!("column `{column}`"));
                let problem = problem.found("the same name again").expected("each column once");
                sheet.report(line, again + 1, problem.remedy("take one of the two out"));
            }
            if first.is_none() {
                let unused = names.iter().copied().filter(|name| !columns.contains(name));
                let remedy = nearest(column, unused).map_or_else(
                    || "add it to the first row, and fill it in every row".to_owned(),
                    |near| format!("is it `{near}`? then rename that"),
                );
                let problem = Problem::error(format!("column `{column}`")).found("nothing");
                let expected = format!("the columns {}", columns.join(", "));
                sheet.report(line, 1, problem.expected(expected).remedy(remedy));
            }
            sheet.at.push(first);
        }
        if sheet.problems.is_empty() { Ok(sheet) } else { Err(sheet.problems) }
    }

    fn report(&mut self, line: usize, column: usize, problem: Problem) {
        self.problems.push(problem.file(&self.file).place(line, column));
    }

    /// Its rows.
    pub(super) fn rows(&self) -> impl Iterator<Item = CsvRow<'_>> {
        self.rows.iter().map(|(line, record)| CsvRow { sheet: self, line: *line, record })
    }
}

impl CsvRow<'_> {
    /// Its line in the file, from 1.
    pub(super) fn line(&self) -> usize {
        self.line
    }

    fn column(&self, name: &str) -> Option<usize> {
        let at = self.sheet.columns.iter().position(|column| *column == name)?;
        self.sheet.at[at]
    }

    /// What stands in a column; empty where nothing does.
    pub(super) fn cell(&self, name: &str) -> &str {
        self.column(name).and_then(|at| self.record.get(at)).unwrap_or_default().trim()
    }

    /// A fault of a cell.
    pub(super) fn fault(&self, name: &str, expected: &str, remedy: &str) -> Problem {
        let cell = self.cell(name);
        let found = if cell.is_empty() { "nothing".to_owned() } else { format!("`{cell}`") };
        let problem = Problem::error(name).file(&self.sheet.file);
        let problem = problem.place(self.line, self.column(name).map_or(1, |at| at + 1));
        problem.found(found).expected(expected).remedy(remedy)
    }

    /// A name that must be there.
    pub(super) fn name(&self, name: &str) -> Result<String, Problem> {
        match self.cell(name) {
            "" => Err(self.fault(name, "a name", "fill the cell")),
            cell => Ok(cell.to_owned()),
        }
    }

    /// A finite number that a rule allows.
    pub(super) fn number(
        &self,
        name: &str,
        expected: &str,
        allows: impl Fn(f64) -> bool,
    ) -> Result<f64, Problem> {
        let number = self.cell(name).parse::<f64>().ok().filter(|one| one.is_finite());
        number.filter(|one| allows(*one)).ok_or_else(|| {
            self.fault(name, expected, "write a plain number with a point, without its unit")
        })
    }
}
