//! Checksums of what was read.

use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::io::{Error, Read};
use std::path::{Path, PathBuf};

use sha2::{Digest, Sha256};

use super::refusal::not_read;
use crate::plan::InputRecord;
use crate::problem::Problem;

/// Bytes read at a time.
const CHUNK: usize = 1 << 16;

/// One record for each distinct file, in the order first named; a file of several roles has them
/// joined by commas. Paths are relative to the site's folder where they can be.
///
/// Of a format kept in several files (a shapefile) only the file that is named is summed; of a
/// format kept in a folder, every file in it, in the order of their names.
///
/// # Errors
/// When a file cannot be read to its end.
pub(crate) fn records(
    folder: &Path,
    files: &[(String, PathBuf)],
) -> Result<Vec<InputRecord>, Vec<Problem>> {
    let mut order: Vec<&PathBuf> = Vec::new();
    let mut roles: BTreeMap<&PathBuf, Vec<&str>> = BTreeMap::new();
    for (role, file) in files {
        let known = roles.entry(file).or_insert_with(|| {
            order.push(file);
            Vec::new()
        });
        if !known.contains(&role.as_str()) {
            known.push(role);
        }
    }
    let mut records = Vec::new();
    let mut problems = Vec::new();
    for file in order {
        let role = roles.get(file).map(|all| all.join(", ")).unwrap_or_default();
        match checksum(file) {
            Ok(sha256) => {
                let file = file.strip_prefix(folder).unwrap_or(file).to_path_buf();
                records.push(InputRecord { role, file, sha256 });
            }
            Err(error) => {
                problems.push(not_read(Problem::error(role).file(file), error));
            }
        }
    }
    if problems.is_empty() { Ok(records) } else { Err(problems) }
}

/// SHA-256 of a file or a folder of files, hexadecimal (FIPS 180-4).
///
/// # Errors
/// When it cannot be read to its end.
pub(crate) fn checksum(path: &Path) -> Result<String, Error> {
    let mut sum = Sha256::new();
    if path.is_dir() {
        let mut inside: Vec<_> = std::fs::read_dir(path)?
            .map(|entry| Ok(entry?.path()))
            .collect::<Result<_, Error>>()?;
        inside.sort();
        for file in inside.iter().filter(|file| file.is_file()) {
            add(file, &mut sum)?;
        }
    } else {
        add(path, &mut sum)?;
    }
    let mut text = String::with_capacity(64);
    for byte in sum.finalize() {
        // Writing to a string cannot fail.
        let _ = write!(text, "{byte:02x}");
    }
    Ok(text)
}

fn add(path: &Path, sum: &mut Sha256) -> Result<(), Error> {
    let mut file = std::fs::File::open(path)?;
    let mut chunk = vec![0; CHUNK];
    loop {
        match file.read(&mut chunk)? {
            0 => return Ok(()),
            read => sum.update(&chunk[..read]),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::read::fixture::Folder;

    #[test]
    fn sums_agree_with_the_standard_and_roles_are_joined() {
        let folder = Folder::new();
        // The sum of "abc": NIST, example values for FIPS 180-4.
        let file = folder.text("abc.txt", "abc");
        let sum = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";
        let files = [("boundary".to_owned(), file.clone()), ("cover".to_owned(), file.clone())];
        let found = records(file.parent().unwrap(), &files).unwrap();
        assert_eq!(found.len(), 1);
        assert_eq!(found[0].sha256, sum);
        assert_eq!(found[0].role, "boundary, cover");
        assert_eq!(found[0].file, Path::new("abc.txt"));
    }

    #[test]
    fn more_than_a_chunk_is_read_and_a_missing_file_is_a_problem() {
        let folder = Folder::new();
        // A million times "a": NIST, example values for FIPS 180-4.
        let file = folder.text("a.txt", &"a".repeat(1_000_000));
        let sum = "cdc76e5c9914fb9281a1c7e284d73e67f1809a48a497200e046d39ccc7112cd0";
        assert_eq!(checksum(&file).unwrap(), sum);
        let missing = [("cover".to_owned(), folder.path("none"))];
        assert!(records(Path::new("."), &missing).is_err());
    }
}
