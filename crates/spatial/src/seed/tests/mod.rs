//! Sheets as they come back, read whole.
#![expect(clippy::float_cmp, reason = "the tests ask for exact values")]

mod faults;
mod joining;
mod reading;
mod strange;

use std::path::Path;

use super::{FieldSheet, Joined, LabSheet, join, read_field, read_lab};
use crate::problem::Problem;

/// Columns of a lab sheet.
const LAB: &str = "tree_id,date,dha (mg/kg),sugar (°Brix),lab_id,trees,easting_m,northing_m\n";
/// Columns of a field sheet, as far as they are read.
const FIELD: &str = "tree_id,easting_m,northing_m,vigour,form,flower_number,flower_quality,\
    seed_capsules,disease,permission,note\n";

fn with_file<T>(bytes: &[u8], read: impl Fn(&Path) -> T) -> T {
    let room = tempfile::tempdir().unwrap();
    let file = room.path().join("sheet.csv");
    std::fs::write(&file, bytes).unwrap();
    read(&file)
}

fn lab(text: &str) -> Result<LabSheet, Vec<Problem>> {
    with_file(text.as_bytes(), read_lab)
}

fn field(text: &str) -> Result<FieldSheet, Vec<Problem>> {
    with_file(text.as_bytes(), read_field)
}

/// Both sheets from their rows.
fn joined(lab_rows: &str, field_rows: &str) -> Result<Joined, Vec<Problem>> {
    let lab = lab(&format!("{LAB}{lab_rows}")).unwrap();
    join(&lab, &field(&format!("{FIELD}{field_rows}")).unwrap())
}
