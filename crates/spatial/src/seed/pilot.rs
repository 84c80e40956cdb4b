//! What a first visit found: how much trees of a stand differ.

use std::collections::{BTreeMap, HashMap};
use std::path::Path;

use stock::table_rows;

use super::number::{Written, written};
use crate::faults::Faults;
use crate::problem::Problem;
use crate::sheet::{Row, Sheet};
use crate::site::{LARGEST_SHEET, TextFile, nearest};

const FILE: TextFile = TextFile {
    item: "pilot file",
    form: "CSV",
    instead: "name a CSV file with a row for each stand that was visited",
    missing: "name the CSV file, or share trees out with `--allocation proportional`",
};

/// Its columns; the last is for people and is not read.
const SHEET: Sheet = Sheet {
    noun: "stand",
    id: "stand_id",
    required: &["stand_id", "trees", "sd_ratio"],
    optional: &["note"],
    has_decimals: true,
};

/// Standard deviations of DHA over sugar between trees, by stand.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Pilot {
    by_stand: BTreeMap<String, f64>,
    pooled: f64,
}

impl Pilot {
    /// Reads a pilot: how many trees of a stand were tested, and the standard deviation between them.
    /// `stands`: every stand that can be sampled.
    ///
    /// # Errors
    /// Every fault, each with its line and column.
    pub(super) fn read(file: &Path, stands: &[&str]) -> Result<Self, Vec<Problem>> {
        let text = FILE.read_up_to(file, LARGEST_SHEET)?;
        let rows = table_rows(&text);
        let mut faults = Faults::new(file);
        let mut seen = HashMap::with_capacity(rows.len());
        let mut by_stand = BTreeMap::new();
        let (mut squares, mut freedom) = (0.0, 0.0);
        if let Some(((line, names), rows)) = rows.split_first() {
            let columns = SHEET.header(names, *line, &mut faults);
            for (line, record) in rows {
                let row = Row::new(record, *line, &columns);
                if !row.check_width(&mut faults) {
                    continue; // its cells may be out of place
                }
                let stand = known_stand(&row, stands, &mut faults);
                if stand.is_some() {
                    row.once(&mut seen, "take one of the two out", &mut faults);
                }
                let allows = |trees: f64| trees >= 2.0 && trees.fract() <= 0.0;
                let trees = number(&row, "trees", "a whole number, 2 or more", allows, &mut faults);
                let sd = number(&row, "sd_ratio", "a number over 0", |sd| sd > 0.0, &mut faults);
                if let (Some(stand), Some(trees), Some(sd)) = (stand, trees, sd) {
                    squares += (trees - 1.0) * sd * sd;
                    freedom += trees - 1.0;
                    by_stand.insert(stand.to_owned(), sd);
                }
            }
        }
        if faults.is_sound() && by_stand.is_empty() {
            let expected = format!("a first row {}, then a row a stand", SHEET.required.join(","));
            let problem = Problem::error(FILE.item).found("no stand").expected(expected);
            faults.report(1, 1, problem.remedy(FILE.missing));
        }
        faults.or(Self { by_stand, pooled: (squares / freedom).sqrt() })
    }

    /// Standard deviation of a stand over the pooled one; 1 for a stand that was not visited.
    ///
    /// The pooled one is that of all visited stands together, `√(Σ (n − 1) s² / Σ (n − 1))`.
    pub(super) fn relative_sd(&self, stand: &str) -> f64 {
        self.by_stand.get(stand).map_or(1.0, |sd| sd / self.pooled)
    }
}

/// A stand that is sampled.
fn known_stand<'r>(row: &Row<'r>, stands: &[&str], faults: &mut Faults<'_>) -> Option<&'r str> {
    let stand = row.name("stand_id", faults)?;
    if stands.contains(&stand) {
        return Some(stand);
    }
    let remedy = nearest(stand, stands.iter().copied()).map_or_else(
        || format!("the stands are {}", stands.join(", ")),
        |near| format!("did you mean `{near}`?"),
    );
    let found = format!("`{stand}`");
    faults.cell(row, "stand_id", [found.as_str(), "a stand that is sampled", &remedy]);
    None
}

/// A number that must be there, as a rule allows.
fn number(
    row: &Row<'_>,
    name: &str,
    expected: &str,
    allows: impl Fn(f64) -> bool,
    faults: &mut Faults<'_>,
) -> Option<f64> {
    let cell = row.cell(name);
    match written(cell) {
        Ok(Written::Plain(number)) if allows(number) => return Some(number),
        Ok(Written::Nothing) if row.has(name) => {
            faults.cell(row, name, ["nothing", expected, "fill the cell, or take the row out"]);
        }
        Ok(Written::Nothing) => {} // reported with the first row
        Ok(_) => {
            let found = format!("`{cell}`");
            faults.cell(row, name, [found.as_str(), expected, "check it, or take the row out"]);
        }
        Err(wrong) => faults.cell(row, name, wrong),
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str) -> Result<Pilot, Vec<Problem>> {
        let folder = tempfile::tempdir().unwrap();
        let file = folder.path().join("pilot.csv");
        std::fs::write(&file, text).unwrap();
        Pilot::read(&file, &["S001", "S002", "S003"])
    }

    /// By hand: (4 × 9 + 2 × 36) / 6 = 18.
    #[test]
    fn stands_that_were_not_visited_take_the_pooled_spread() {
        let pilot = read("stand_id,trees,sd_ratio\nS001,5,3\nS003,3,6\n").unwrap();
        let root = 18.0_f64.sqrt();
        assert!((pilot.relative_sd("S001") - 3.0 / root).abs() < 1e-12);
        assert!((pilot.relative_sd("S003") - 6.0 / root).abs() < 1e-12);
        assert!((pilot.relative_sd("S002") - 1.0).abs() < 1e-12);
    }

    #[test]
    fn every_fault_has_its_place_and_its_remedy() {
        let faults = [
            ("S01,5,3", 1, "did you mean `S001`?"),
            (",5,3", 1, "fill"),
            ("S001,1,3", 2, "check it"),
            ("S001,2.5,3", 2, "check it"),
            ("S001,5,0", 3, "check it"),
            ("S001,5,,", 4, "quotation"),
            ("S002,5,1", 1, "take one of the two out"),
        ];
        for (row, column, remedy) in faults {
            let text = format!("stand_id,trees,sd_ratio\nS002,4,1.5\n{row}\n");
            let problems = read(&text).unwrap_err();
            assert_eq!(problems.len(), 1, "{row}: {problems:?}");
            assert_eq!(problems[0].place, Some((3, column)), "{row}");
            assert!(problems[0].remedy.contains(remedy), "{row}: {}", problems[0]);
            assert!(!problems[0].expected.is_empty() && !problems[0].found.is_empty());
        }
    }

    #[test]
    fn a_table_of_other_columns_is_told() {
        let problems = read("stand_id,trees,sd_ratios\nS001,5,3\n").unwrap_err();
        assert!(problems[0].remedy.contains("`sd_ratio`"), "{}", problems[0]);
        assert_eq!(problems[1].item, "column `sd_ratio`");
        for empty in ["", "stand_id,trees,sd_ratio\n"] {
            assert!(read(empty).unwrap_err()[0].expected.contains("stand_id,trees,sd_ratio"));
        }
    }
}
