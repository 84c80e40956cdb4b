//! The sheet of a laboratory: DHA and sugar in the nectar of single trees.

mod heading;
mod impossible;
mod pool;
mod row;
mod shape;

use std::path::{Path, PathBuf};

use sourcing::amount::Basis;
use stock::table_rows;

use super::Day;
use crate::faults::Faults;
use crate::problem::Problem;
use crate::sheet::{Row, Sheet};
use crate::site::{LARGEST_SHEET, TextFile};
use row::Reader;

/// How messages speak of the file.
const FILE: TextFile = TextFile {
    item: "lab sheet",
    form: "CSV",
    instead: "name a CSV file of samples",
    missing: "name the CSV file with a row for each sample",
};

/// Its columns; `note` is for people and is not read.
const SHEET: Sheet = Sheet {
    noun: "tree",
    id: "tree_id",
    required: &["tree_id", "date"],
    optional: &[
        "dha",
        "dha_unit",
        "sugar",
        "sugar_unit",
        "glucose",
        "glucose_unit",
        "fructose",
        "fructose_unit",
        "sucrose",
        "sucrose_unit",
        "ratio_mg_per_mg",
        "normalised_mg_per_kg",
        "trees",
        "lab_id",
        "note",
        "easting_m",
        "northing_m",
    ],
    has_decimals: true,
};

/// One sample of one tree.
#[derive(Debug, Clone, PartialEq)]
pub struct LabSample {
    /// Its tree.
    pub tree_id: String,
    /// Line in the file, from 1.
    pub row: usize,
    /// Day on which it was taken.
    pub date: Day,
    /// Year in which its flowering season ends: a season runs from July to June.
    pub season: i32,
    /// DHA over sugar, mg/mg: above 0, at most 1.
    pub ratio: f64,
    /// Its sugar in the unit of its basis (mg in a kg, a litre, a flower or a sample); `None` where the
    /// sheet tells a ratio alone.
    pub sugar: Option<(f64, Basis)>,
    /// Whether the DHA was below what the laboratory can tell, and half of that stands for it.
    pub below_limit: bool,
    /// Easting and northing, metres, where the sheet has them.
    pub at: Option<[f64; 2]>,
}

/// What a laboratory reports.
#[derive(Debug, Clone, PartialEq)]
pub struct LabSheet {
    /// Samples, in the order of the file.
    pub samples: Vec<LabSample>,
    /// What to look at before they are believed.
    pub warnings: Vec<Problem>,
    /// The file.
    pub file: PathBuf,
    /// Columns of the tree and of its easting, from 1, for messages.
    pub(super) columns: [usize; 2],
}

/// Reads a lab sheet: a first row with the names of the columns, then a row for each sample, with commas,
/// semicolons or tabs. A tree may come again.
///
/// DHA is told as `dha` with `sugar` (or `glucose`, `fructose` and `sucrose`, which are added up), each with
/// its unit in the heading or in a column such as `dha_unit`; or as `ratio_mg_per_mg`; or as
/// `normalised_mg_per_kg`, at 80 °Brix. A figure such as `<5` counts as half of it (common practice, no
/// source) and is warned of.
///
/// # Errors
/// Every fault, each with its line and column. Samples of several trees are refused: a pool tells nothing
/// of its trees.
pub fn read_lab(file: &Path) -> Result<LabSheet, Vec<Problem>> {
    let text = FILE.read_up_to(file, LARGEST_SHEET)?;
    let mut rows = table_rows(&text);
    let mut faults = Faults::new(file);
    if rows.is_empty() {
        return nothing(faults, file);
    }
    let (line, names) = rows.remove(0);
    let columns = SHEET.header_by(&names, line, &mut faults, heading::column);
    let mut warnings = Vec::new();
    let shape = shape::shape(&names, line, &columns, &mut faults, &mut warnings);
    let places = ["tree_id", "easting_m"].map(|name| columns.column(name));
    let mut reader = Reader::new(&shape, faults, warnings, rows.len());
    for (line, record) in &rows {
        reader.take(&Row::new(record, *line, &columns));
    }
    let Reader { samples, faults, warnings, .. } = reader;
    if faults.is_sound() && samples.is_empty() {
        return nothing(faults, file);
    }
    let warnings = warnings.into_iter().map(|warning| warning.file(file)).collect();
    faults.or(LabSheet { samples, warnings, file: file.to_path_buf(), columns: places })
}

fn nothing(mut faults: Faults<'_>, file: &Path) -> Result<LabSheet, Vec<Problem>> {
    let problem = Problem::error(FILE.item).found("no sample");
    let problem = problem.expected(
        "a first row such as tree_id,date,dha (mg/kg),sugar (°Brix), then a row for each sample",
    );
    faults.report(1, 1, problem.remedy("check that it is the file that the laboratory sent"));
    let file = file.to_path_buf();
    faults.or(LabSheet { samples: Vec::new(), warnings: Vec::new(), file, columns: [1, 1] })
}
