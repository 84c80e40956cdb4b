//! A GeoPackage read back and held to its format and to what was put in.

use std::io::Read;
use std::path::Path;

use rusqlite::{Connection, OpenFlags};

use super::sql::{self, sql_problem};
use super::table::Outline;
use crate::problem::Problem;

/// Holds a file to its format and to what was put in: header, journal, soundness, and for each layer the
/// number of its features, its spatial index, its extent in the catalogue and its columns in words.
///
/// Source: OGC 12-128r17, GeoPackage Encoding Standard 1.3, requirements 2 (application id and version),
/// 7 (`integrity_check`), 13 to 15 (contents), 75 to 77 (R-tree), 93 to 100 (metadata), 103 to 106 (schema).
pub(super) fn check_file(path: &Path, layers: &[Outline]) -> Result<(), Problem> {
    check_header(path)?;
    let unread = |error| sql_problem(path, "reading back", &error);
    let file = sql::open(path, OpenFlags::SQLITE_OPEN_READ_ONLY).map_err(unread)?;
    let sound: Option<String> = sql::one(&file, "PRAGMA integrity_check").map_err(unread)?;
    if sound.as_deref() != Some("ok") {
        let found = sound.unwrap_or_else(|| "no answer".to_owned());
        return Err(differs(path, "integrity_check", found, "ok".to_owned()));
    }
    for layer in layers {
        check_table(&file, layer, path)?;
    }
    let columns: usize = layers.iter().map(|layer| layer.words.len()).sum();
    for (what, query, expected) in [
        ("columns in words", "SELECT count(*) FROM gpkg_data_columns", columns as u64),
        ("metadata documents", "SELECT count(*) FROM gpkg_metadata_reference", 1),
    ] {
        check_count(&file, path, (path_name(path).as_str(), what), query, expected)?;
    }
    drop(file);
    no_side_files(path)
}

fn path_name(path: &Path) -> String {
    path.file_name().unwrap_or_default().to_string_lossy().into_owned()
}

/// Bytes of the file by themselves: what `SQLite` is told that this is, and which journal it keeps.
fn check_header(path: &Path) -> Result<(), Problem> {
    let mut header = [0_u8; 100];
    let read = std::fs::File::open(path).and_then(|mut file| file.read_exact(&mut header));
    read.map_err(|error| differs(path, "header", error.to_string(), "100 bytes".to_owned()))?;
    // SQLite file format: application id at byte 68, user version at byte 60, journal at bytes 18 and 19.
    let parts = [
        ("application id", &header[68..72], &b"GPKG"[..]),
        ("version", &header[60..64], &10_300_u32.to_be_bytes()[..]),
        ("journal", &header[18..20], &[1, 1][..]),
    ];
    match parts.into_iter().find(|(_, found, expected)| found != expected) {
        None => Ok(()),
        Some((what, found, expected)) => {
            Err(differs(path, what, format!("{found:?}"), format!("{expected:?}")))
        }
    }
}

/// A file that was left beside it would have to travel with it.
fn no_side_files(path: &Path) -> Result<(), Problem> {
    for end in ["-wal", "-shm", "-journal"] {
        let mut beside = path.as_os_str().to_owned();
        beside.push(end);
        if Path::new(&beside).exists() {
            let found = format!("a file `{}{end}`", path_name(path));
            return Err(differs(path, "journal", found, "a closed file".to_owned()));
        }
    }
    Ok(())
}

fn check_table(file: &Connection, layer: &Outline, path: &Path) -> Result<(), Problem> {
    let (name, rows) = (layer.name, layer.sides.len() as u64);
    let counts = [
        ("features", format!("SELECT count(*) FROM {name}"), rows),
        ("rows in the spatial index", format!("SELECT count(*) FROM rtree_{name}_geom"), rows),
        (
            "registrations of the spatial index",
            format!(
                "SELECT count(*) FROM gpkg_extensions WHERE extension_name = 'gpkg_rtree_index' \
                 AND table_name = '{name}' AND column_name = 'geom'"
            ),
            1,
        ),
        (
            "rows in the catalogue with the coordinate system of its geometry",
            format!(
                "SELECT count(*) FROM gpkg_contents JOIN gpkg_geometry_columns USING (table_name, srs_id) \
                 JOIN gpkg_spatial_ref_sys USING (srs_id) WHERE table_name = '{name}'"
            ),
            1,
        ),
        // GDAL goes on where it cannot make these, and says nothing.
        (
            "rows with its number of features, which GDAL keeps",
            format!(
                "SELECT count(*) FROM gpkg_ogr_contents WHERE table_name = '{name}' AND feature_count = {rows}"
            ),
            1,
        ),
        (
            "triggers that keep that number",
            format!(
                "SELECT count(*) FROM sqlite_master WHERE type = 'trigger' AND name IN \
                 ('trigger_insert_feature_count_{name}', 'trigger_delete_feature_count_{name}')"
            ),
            2,
        ),
        (
            "sets of the six triggers that keep the spatial index, or more",
            format!(
                "SELECT count(*) >= 6 FROM sqlite_master WHERE type = 'trigger' AND tbl_name = '{name}' \
                 AND name LIKE 'rtree_{name}_geom_%'"
            ),
            1,
        ),
    ];
    for (what, query, expected) in counts {
        check_count(file, path, (name, what), &query, expected)?;
    }
    check_extent(file, layer, path)
}

fn check_count(
    file: &Connection,
    path: &Path,
    (item, what): (&str, &str),
    query: &str,
    expected: u64,
) -> Result<(), Problem> {
    let found: Option<u64> =
        sql::one(file, query).map_err(|error| sql_problem(path, item, &error))?;
    if found == Some(expected) {
        return Ok(());
    }
    let found = found.map_or_else(|| "no count".to_owned(), |count| count.to_string());
    Err(differs(path, item, format!("{found} {what}"), format!("{expected} {what}")))
}

/// The extent in the catalogue, to which a mapping package zooms.
fn check_extent(file: &Connection, layer: &Outline, path: &Path) -> Result<(), Problem> {
    let Some(extent) = layer.extent() else { return Ok(()) };
    let query = format!(
        "SELECT min_x, min_y, max_x, max_y FROM gpkg_contents WHERE table_name = '{}'",
        layer.name
    );
    let sides = |row: &rusqlite::Row<'_>| -> rusqlite::Result<[Option<f64>; 4]> {
        Ok([row.get(0)?, row.get(1)?, row.get(2)?, row.get(3)?])
    };
    let found =
        sql::all(file, &query, sides).map_err(|error| sql_problem(path, layer.name, &error))?;
    let (low, high) = (extent.min(), extent.max());
    let expected = [low.x, low.y, high.x, high.y].map(Some);
    if found == [expected] {
        return Ok(());
    }
    let shown = |sides: &[Option<f64>]| {
        let sides = sides.iter().map(|side| side.map_or("none".to_owned(), |at| at.to_string()));
        format!("extent {}", sides.collect::<Vec<_>>().join(", "))
    };
    let found = found.first().map_or_else(|| "no extent".to_owned(), |sides| shown(sides));
    Err(differs(path, layer.name, found, shown(&expected)))
}

/// What was read back is not what was written.
pub(super) fn differs(path: &Path, item: &str, found: String, expected: String) -> Problem {
    Problem::error(item)
        .file(path)
        .found(found)
        .expected(expected)
        .remedy("see that there is room on the disk, and run again")
}
