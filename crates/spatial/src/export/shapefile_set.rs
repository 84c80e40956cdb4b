//! The files beside a shapefile, held to what they must be: what reads the shapes passes over a table without its end, a
//! coordinate system or a page of letters that was lost.
//!
//! Sources: Esri 1998, Shapefile Technical Description; the structure of a dBASE III table from memory.

use std::path::Path;

use super::read_back::differs;
use crate::problem::Problem;

/// Bytes of the part of a table's header that tells of the whole.
const HEAD: usize = 32;
/// Ends the list of columns.
const END_OF_COLUMNS: u8 = 0x0D;
/// Ends the table.
const END_OF_TABLE: u8 = 0x1A;

/// Holds the files beside the shapefile of a layer with so many rows.
///
/// # Errors
/// When one is not there, empty or cut short.
pub(super) fn check(path: &Path, layer: &str, rows: usize) -> Result<(), Problem> {
    let beside = |ending: &str| {
        let file = path.with_extension(ending);
        let bytes = std::fs::read(&file);
        let bytes = bytes.map_err(|error| {
            differs(&file, layer, &error.to_string(), "a file that can be read")
        })?;
        Ok::<_, Problem>((file, bytes))
    };
    let (file, letters) = beside("cpg")?;
    if letters.trim_ascii() != b"UTF-8" {
        return Err(differs(&file, layer, &format!("{} bytes", letters.len()), "`UTF-8`"));
    }
    let (file, crs) = beside("prj")?;
    if !crs.trim_ascii().ends_with(b"]") {
        return Err(differs(
            &file,
            layer,
            &format!("{} bytes", crs.len()),
            "a coordinate system to its end",
        ));
    }
    let (file, table) = beside("dbf")?;
    if is_whole_table(&table, rows) == Some(true) {
        return Ok(());
    }
    Err(differs(
        &file,
        layer,
        "a table without its parts or its end",
        &format!("a table of {rows} rows"),
    ))
}

/// Whether a dBASE table has as many rows and bytes as its head tells, and both its ends; `None`: not even a head.
fn is_whole_table(table: &[u8], rows: usize) -> Option<bool> {
    let head = table.get(..HEAD)?;
    let told_rows = u32::from_le_bytes(head.get(4..8)?.try_into().ok()?) as usize;
    let [header, row] = [8, 10].map(|at| usize::from(u16::from_le_bytes([head[at], head[at + 1]])));
    let columns_end = table.get(header.checked_sub(1)?)?;
    let whole = header + rows * row + 1;
    let ends = (*columns_end, table.last().copied());
    Some(told_rows == rows && table.len() == whole && ends == (END_OF_COLUMNS, Some(END_OF_TABLE)))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// One column of four bytes, two rows.
    fn table() -> Vec<u8> {
        let mut table = vec![0_u8; HEAD];
        (table[4], table[8], table[10]) = (2, 65, 5);
        table.extend([0; HEAD]);
        table.push(END_OF_COLUMNS);
        table.extend(b" aaaa bbbb");
        table.push(END_OF_TABLE);
        table
    }

    #[test]
    fn what_was_lost_beside_a_shapefile_is_noticed() {
        let room = tempfile::tempdir().unwrap();
        let path = room.path().join("zones.shp");
        let sound =
            [("cpg", b"UTF-8".to_vec()), ("prj", b"PROJCS[\"x\"]".to_vec()), ("dbf", table())];
        for (ending, bytes) in &sound {
            std::fs::write(path.with_extension(ending), bytes).unwrap();
        }
        check(&path, "zones", 2).unwrap();
        assert!(check(&path, "zones", 3).is_err());
        for (ending, bytes) in &sound {
            let file = path.with_extension(ending);
            for cut in 0..bytes.len() {
                std::fs::write(&file, &bytes[..cut]).unwrap();
                let problem = check(&path, "zones", 2).unwrap_err();
                assert_eq!(problem.file.as_ref(), Some(&file), "{ending} of {cut} bytes");
            }
            std::fs::remove_file(&file).unwrap();
            assert!(check(&path, "zones", 2).is_err(), "no {ending}");
            std::fs::write(&file, bytes).unwrap();
        }
        let mut torn = table();
        torn[64] = END_OF_TABLE;
        std::fs::write(path.with_extension("dbf"), torn).unwrap();
        assert!(check(&path, "zones", 2).is_err());
    }
}
