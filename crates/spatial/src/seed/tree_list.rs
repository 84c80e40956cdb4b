//! Trees that are known already.

use std::collections::BTreeMap;
use std::path::Path;

use super::csv_sheet::CsvSheet;
use crate::problem::Problem;
use crate::site::TextFile;

const FILE: TextFile = TextFile {
    item: "list of trees",
    form: "CSV",
    instead: "name a CSV file with a row for each tree",
    missing: "name the CSV file, or leave `--trees` out to look on a lattice",
};

/// Columns that must be there.
const COLUMNS: [&str; 3] = ["tree_id", "easting_m", "northing_m"];

/// A tree that is known already.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct ListedTree {
    /// Its name.
    pub(super) id: String,
    /// Easting and northing in the plan's coordinate system, metres.
    pub(super) at: [f64; 2],
}

/// Reads a list of trees.
///
/// # Errors
/// Every fault, each with its line and column.
pub(super) fn read_trees(file: &Path) -> Result<Vec<ListedTree>, Vec<Problem>> {
    let sheet = CsvSheet::read(&FILE, file, &COLUMNS)?;
    let (mut trees, mut problems) = (Vec::new(), Vec::new());
    let mut lines: BTreeMap<String, usize> = BTreeMap::new();
    for row in sheet.rows() {
        let id = row.name("tree_id").and_then(|id| match lines.insert(id.clone(), row.line()) {
            None => Ok(id),
            Some(before) => {
                let expected = format!("each tree once; it is in row {before} too");
                Err(row.fault("tree_id", &expected, "give each tree a name of its own"))
            }
        });
        let [east, north] =
            ["easting_m", "northing_m"].map(|name| row.number(name, "metres on the map", |_| true));
        match (id, east, north) {
            (Ok(id), Ok(east), Ok(north)) => trees.push(ListedTree { id, at: [east, north] }),
            (id, east, north) => {
                problems.extend([id.err(), east.err(), north.err()].into_iter().flatten());
            }
        }
    }
    if problems.is_empty() { Ok(trees) } else { Err(problems) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn trees_are_read_and_faults_have_their_place() {
        let folder = tempfile::tempdir().unwrap();
        let file = folder.path().join("trees.csv");
        std::fs::write(&file, "tree_id;easting_m;northing_m;note\nA;1.5;2;tall\n").unwrap();
        let expected = ListedTree { id: "A".into(), at: [1.5, 2.0] };
        assert_eq!(read_trees(&file).unwrap(), [expected]);
        let text = "tree_id,easting_m,northing_m\nA,1,2\nA,1,2\n,1,2\nB,x,inf\n";
        std::fs::write(&file, text).unwrap();
        let places: Vec<_> =
            read_trees(&file).unwrap_err().iter().map(|problem| problem.place).collect();
        assert_eq!(places, [Some((3, 1)), Some((4, 1)), Some((5, 2)), Some((5, 3))]);
        assert!(read_trees(&folder.path().join("none.csv")).unwrap_err()[0].remedy.contains("CSV"));
    }
}
