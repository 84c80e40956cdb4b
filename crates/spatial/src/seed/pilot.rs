//! What a first visit found: how much trees of a stand differ.

use std::collections::BTreeMap;
use std::path::Path;

use super::csv_sheet::CsvSheet;
use crate::problem::Problem;
use crate::site::{TextFile, nearest};

const FILE: TextFile = TextFile {
    item: "pilot file",
    form: "CSV",
    instead: "name a CSV file with a row for each stand that was visited",
    missing: "name the CSV file, or share trees out with `--allocation proportional`",
};

/// Columns that must be there.
const COLUMNS: [&str; 3] = ["stand_id", "trees", "sd_ratio"];

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
        let mut sheet = CsvSheet::read(&FILE, file, &COLUMNS)?;
        let mut lines: BTreeMap<String, usize> = BTreeMap::new();
        let (mut by_stand, mut problems) = (BTreeMap::new(), Vec::new());
        let (mut squares, mut freedom) = (0.0, 0.0);
        for row in sheet.rows() {
            let trees = row.number("trees", "a whole number of trees, 2 or more", |trees| {
                trees >= 2.0 && trees.fract() == 0.0
            });
            let sd = row.number("sd_ratio", "a number over 0", |sd| sd > 0.0);
            let stand = row.name("stand_id").and_then(|stand| {
                if let Some(before) = lines.insert(stand.clone(), row.line()) {
                    let expected = format!("each stand once; it is in row {before} too");
                    return Err(row.fault("stand_id", &expected, "take one of the two out"));
                }
                if stands.contains(&stand.as_str()) {
                    return Ok(stand);
                }
                let remedy = nearest(&stand, stands.iter().copied()).map_or_else(
                    || format!("the stands are {}", stands.join(", ")),
                    |near| format!("did you mean `{near}`?"),
                );
                Err(row.fault("stand_id", "a stand that is sampled", &remedy))
            });
            match (stand, trees, sd) {
                (Ok(stand), Ok(trees), Ok(sd)) => {
                    squares += (trees - 1.0) * sd * sd;
                    freedom += trees - 1.0;
                    by_stand.insert(stand, sd);
                }
                (stand, trees, sd) => {
                    problems.extend([stand.err(), trees.err(), sd.err()].into_iter().flatten());
                }
            }
        }
        sheet.problems.extend(problems);
        if sheet.problems.is_empty() {
            Ok(Self { by_stand, pooled: (squares / freedom).sqrt() })
        } else {
            Err(sheet.problems)
        }
    }

    /// Standard deviation of a stand over the pooled one; 1 for a stand that was not visited.
    ///
    /// The pooled one is that of all visited stands together, `√(Σ (n − 1) s² / Σ (n − 1))`.
    pub(super) fn relative_sd(&self, stand: &str) -> f64 {
        self.by_stand.get(stand).map_or(1.0, |sd| sd / self.pooled)
    }
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
            ("S001,1,3", 2, "plain number"),
            ("S001,2.5,3", 2, "plain number"),
            ("S001,5,0", 3, "plain number"),
            ("S001,5,NaN", 3, "plain number"),
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
        assert_eq!(problems.len(), 1);
        assert!(problems[0].remedy.contains("`sd_ratios`"), "{}", problems[0]);
        for empty in ["", "stand_id,trees,sd_ratio\n"] {
            assert!(read(empty).unwrap_err()[0].expected.contains("stand_id,trees,sd_ratio"));
        }
    }
}
