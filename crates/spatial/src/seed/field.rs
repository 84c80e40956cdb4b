//! The field sheet as it comes back: scores, capsules and permission, tree by tree.

use std::collections::HashMap;
use std::path::{Path, PathBuf};

use stock::table_rows;

use super::columns::field_columns;
use super::place::place;
use crate::faults::Faults;
use crate::problem::Problem;
use crate::sheet::{Row, Sheet};
use crate::site::{LARGEST_SHEET, TextFile};

/// How messages speak of the file.
const FILE: TextFile = TextFile {
    item: "field sheet",
    form: "CSV",
    instead: "name the field sheet, a CSV file",
    missing: "name the CSV file that went out as the field sheet and came back filled in",
};

/// Its columns; those that are not of [`FieldTree`] are for people and are not read.
pub(super) const SHEET: Sheet = Sheet {
    noun: "tree",
    id: "tree_id",
    required: &["tree_id", "easting_m", "northing_m"],
    optional: &[
        "stand_id",
        "stratum",
        "longitude_deg",
        "latitude_deg",
        "elevation_m",
        "slope_deg",
        "aspect_deg",
        "to_track_m",
        "caution",
        "vigour",
        "form",
        "flower_number",
        "flower_quality",
        "seed_capsules",
        "disease",
        "photo",
        "permission",
        "note",
    ],
    has_decimals: true,
};

/// What to do about a tree that comes twice.
pub(super) const TREE_TWICE: &str =
    "take one of the rows out, or give every tree a name of its own";

/// Most capsules of a tree: wide of any.
const MOST_CAPSULES: u32 = 1_000_000;

/// A tree as it was seen.
#[derive(Debug, Clone, PartialEq)]
pub struct FieldTree {
    /// Its name.
    pub tree_id: String,
    /// Line in the file, from 1.
    pub row: usize,
    /// Easting and northing, metres in the plan's coordinate system.
    pub at: [f64; 2],
    /// Vigour, 1 (poorest) to 5 (best); `None`: not scored, as with all that follow.
    pub vigour: Option<u8>,
    /// Form, 1 to 5.
    pub form: Option<u8>,
    /// How many flowers it bears, 1 to 5.
    pub flower_number: Option<u8>,
    /// How good they are, 1 to 5.
    pub flower_quality: Option<u8>,
    /// Capsules of the whole tree, at most a million.
    pub seed_capsules: Option<u32>,
    /// Disease, 0 (none) to 5 (dying).
    pub disease: Option<u8>,
    /// Whether seed may be taken.
    pub permission: Option<bool>,
}

/// A field sheet.
#[derive(Debug, Clone, PartialEq)]
pub struct FieldSheet {
    /// Its trees, in the order of the file, each once.
    pub trees: Vec<FieldTree>,
    /// The file.
    pub file: PathBuf,
    /// Columns of the tree and of its easting, from 1, for messages.
    pub(super) columns: [usize; 2],
}

/// Reads a field sheet: a first row with the names of the columns, then a row for each tree, with commas,
/// semicolons or tabs.
///
/// # Errors
/// Every fault, each with its line and column.
pub fn read_field(file: &Path) -> Result<FieldSheet, Vec<Problem>> {
    let text = FILE.read_up_to(file, LARGEST_SHEET)?;
    let rows = table_rows(&text);
    let mut faults = Faults::new(file);
    let mut trees = Vec::with_capacity(rows.len());
    let mut places = [1, 1];
    if let Some(((line, names), rows)) = rows.split_first() {
        let columns = SHEET.header(names, *line, &mut faults);
        places = ["tree_id", "easting_m"].map(|name| columns.column(name));
        let mut seen = HashMap::with_capacity(rows.len());
        for (line, record) in rows {
            let row = Row::new(record, *line, &columns);
            let tree = tree(&row, &mut faults);
            row.once(&mut seen, TREE_TWICE, &mut faults);
            trees.extend(tree);
        }
    }
    if faults.is_sound() && trees.is_empty() {
        let problem = Problem::error(FILE.item).found("no tree");
        let expected = field_columns().collect::<Vec<_>>().join(",");
        let problem = problem.expected(format!("a first row {expected}, then a row for each tree"));
        let remedy = "check that it is the sheet that came back from the field";
        faults.report(1, 1, problem.remedy(remedy));
    }
    faults.or(FieldSheet { trees, file: file.to_path_buf(), columns: places })
}

fn tree(row: &Row<'_>, faults: &mut Faults<'_>) -> Option<FieldTree> {
    if !row.check_width(faults) {
        return None; // its cells may be out of place
    }
    let tree_id = row.name("tree_id", faults);
    let at = place(row, faults);
    let mut score =
        |name, least| whole(row, name, [least, 5], "score", faults).map(|score| score as u8);
    let vigour = score("vigour", 1);
    let form = score("form", 1);
    let flower_number = score("flower_number", 1);
    let flower_quality = score("flower_quality", 1);
    let disease = score("disease", 0);
    let seed_capsules =
        whole(row, "seed_capsules", [0, MOST_CAPSULES], "number of capsules", faults);
    let permission = permission(row, faults);
    Some(FieldTree {
        tree_id: tree_id?.to_owned(),
        row: row.line,
        at: at?,
        vigour,
        form,
        flower_number,
        flower_quality,
        seed_capsules,
        disease,
        permission,
    })
}

/// A whole number that may be there.
fn whole(
    row: &Row<'_>,
    name: &str,
    [least, most]: [u32; 2],
    kind: &str,
    faults: &mut Faults<'_>,
) -> Option<u32> {
    let cell = row.cell(name);
    if cell.is_empty() {
        return None;
    }
    let is_digits = cell.bytes().all(|byte| byte.is_ascii_digit());
    let number = cell.parse().ok().filter(|number| is_digits && (least..=most).contains(number));
    if number.is_none() {
        let found = format!("`{cell}`");
        let expected = format!("a whole {kind} from {least} to {most}, or nothing");
        let remedy = "write digits alone, without fraction, sign or separator; leave blank what was not scored";
        faults.cell(row, name, [found.as_str(), &expected, remedy]);
    }
    number
}

fn permission(row: &Row<'_>, faults: &mut Faults<'_>) -> Option<bool> {
    match row.cell("permission").to_ascii_lowercase().as_str() {
        "" => None,
        "yes" | "y" => Some(true),
        "no" | "n" => Some(false),
        _ => {
            let found = format!("`{}`", row.cell("permission"));
            let remedy = "write `yes` where the owner lets seed be taken, `no` where not; the rest goes \
                          into `note`";
            faults.cell(row, "permission", [found.as_str(), "yes, no, y, n or nothing", remedy]);
            None
        }
    }
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::*;

    #[test]
    fn columns_are_those_that_go_out() {
        let read: BTreeSet<&str> = SHEET.columns().collect();
        assert_eq!(read, field_columns().collect());
        assert_eq!(SHEET.columns().count(), field_columns().count());
    }
}
