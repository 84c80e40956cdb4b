//! Trees that are known already.

use std::collections::HashMap;
use std::path::Path;

use stock::table_rows;

use super::field::{SHEET, TREE_TWICE};
use super::place::place;
use crate::faults::Faults;
use crate::problem::Problem;
use crate::sheet::Row;
use crate::site::{LARGEST_SHEET, TextFile};

const FILE: TextFile = TextFile {
    item: "list of trees",
    form: "CSV",
    instead: "name a CSV file with a row for each tree",
    missing: "name the CSV file, or leave `--trees` out to look on a lattice",
};

/// A tree that is known already.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct ListedTree {
    /// Its name.
    pub(super) id: String,
    /// Easting and northing in the plan's coordinate system, metres.
    pub(super) at: [f64; 2],
}

/// Reads a list of trees: the columns of a field sheet, of which name and place must be there and the others
/// are not read.
///
/// # Errors
/// Every fault, each with its line and column.
pub(super) fn read_trees(file: &Path) -> Result<Vec<ListedTree>, Vec<Problem>> {
    let text = FILE.read_up_to(file, LARGEST_SHEET)?;
    let rows = table_rows(&text);
    let mut faults = Faults::new(file);
    let mut trees = Vec::with_capacity(rows.len());
    let mut seen = HashMap::with_capacity(rows.len());
    if let Some(((line, names), rows)) = rows.split_first() {
        let columns = SHEET.header(names, *line, &mut faults);
        for (line, record) in rows {
            let row = Row::new(record, *line, &columns);
            if !row.check_width(&mut faults) {
                continue; // its cells may be out of place
            }
            let id = row.name("tree_id", &mut faults);
            let at = place(&row, &mut faults);
            row.once(&mut seen, TREE_TWICE, &mut faults);
            trees.extend(id.zip(at).map(|(id, at)| ListedTree { id: id.to_owned(), at }));
        }
    }
    if faults.is_sound() && trees.is_empty() {
        let problem = Problem::error(FILE.item).found("no tree");
        let expected = "a first row tree_id,easting_m,northing_m, then a row for each tree";
        faults.report(1, 1, problem.expected(expected).remedy(FILE.missing));
    }
    faults.or(trees)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn trees_are_read_and_faults_have_their_place() {
        let folder = tempfile::tempdir().unwrap();
        let file = folder.path().join("trees.csv");
        let read = |text: &str| {
            std::fs::write(&file, text).unwrap();
            read_trees(&file)
        };
        let sound = "tree_id;easting_m;northing_m;note\nA;1800000.5;5600000;tall\n";
        let expected = ListedTree { id: "A".into(), at: [1_800_000.5, 5_600_000.0] };
        assert_eq!(read(sound).unwrap(), [expected]);
        let text = "tree_id,easting_m,northing_m\nA,1000,2000\nA,1000,2000\n,1000,2000\nB,x,inf\n";
        let places: Vec<_> = read(text).unwrap_err().iter().map(|problem| problem.place).collect();
        assert_eq!(places, [Some((3, 1)), Some((4, 1)), Some((5, 2)), Some((5, 3))]);
        for empty in ["", "tree_id,easting_m,northing_m\n"] {
            assert_eq!(read(empty).unwrap_err()[0].found, "no tree");
        }
        assert!(read_trees(&folder.path().join("none.csv")).unwrap_err()[0].remedy.contains("CSV"));
    }
}
