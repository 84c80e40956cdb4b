//! A sheet that was filled in is not written over.

use std::path::Path;

use gdal::Dataset;
use gdal::vector::LayerAccess;
use stock::table_rows;

use super::columns::BLANK;
use super::write_sites::{FIELD_SHEET_CSV, FIELD_SHEET_GPKG, MOTHER_TREES};
use crate::problem::Problem;

/// Refuses a folder whose field sheet has anything in the columns that are filled in at the trees:
/// replacing it would lose a round of work.
///
/// # Errors
/// When the table or the GeoPackage in it was filled in.
pub fn refuse_filled(folder: &Path) -> Result<(), Problem> {
    let filled = [
        (FIELD_SHEET_CSV, filled_csv as fn(&Path) -> Option<String>),
        (FIELD_SHEET_GPKG, filled_gpkg),
    ];
    for (name, look) in filled {
        let file = folder.join(name);
        if let Some(found) = file.is_file().then(|| look(&file)).flatten() {
            return Err(Problem::error("output folder")
                .file(file)
                .found(found)
                .expected("a sheet that nobody has written in, as `--overwrite` deletes it")
                .remedy("name another folder, or move the sheet to a safe place first"));
        }
    }
    Ok(())
}

fn filled_csv(file: &Path) -> Option<String> {
    let bytes = std::fs::read(file).ok()?;
    let rows = table_rows(&String::from_utf8_lossy(&bytes));
    let (_, header) = rows.first()?;
    let is_blank = |name: &str| BLANK.contains(&name.trim());
    let blank: Vec<usize> =
        header.iter().enumerate().filter(|(_, name)| is_blank(name)).map(|(at, _)| at).collect();
    if blank.len() < BLANK.len() {
        return Some("a table with other columns than were written".to_owned());
    }
    rows.iter().skip(1).find_map(|(line, row)| {
        let cell = |at: &usize| row.get(*at).map(str::trim).filter(|cell| !cell.is_empty());
        let (at, cell) = blank.iter().find_map(|at| Some((*at, cell(at)?)))?;
        Some(format!("`{cell}` under {} in row {line}", header.get(at).unwrap_or_default()))
    })
}

fn filled_gpkg(file: &Path) -> Option<String> {
    let dataset = Dataset::open(file).ok()?;
    let mut layer = dataset.layer_by_name(MOTHER_TREES).ok()?;
    layer.features().find_map(|feature| {
        BLANK.iter().find_map(|name| {
            let at = feature.field_index(name).ok()?;
            let text = feature.field_as_string(at).ok()??;
            (!text.trim().is_empty()).then(|| format!("`{text}` under {name}"))
        })
    })
}
