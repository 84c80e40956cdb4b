//! Checksums of what was read.

use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::io::{Error, Read};
use std::path::{Path, PathBuf};
use std::time::SystemTime;

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

/// How files stand on the disk: they tell whether one was written to or replaced while it was read.
#[derive(Debug, PartialEq, Eq)]
pub(crate) struct Stands(Vec<(String, PathBuf, Option<Stamp>)>);

/// Size, times and number of a file, and of each file in a folder.
type Stamp = Vec<(u64, Option<SystemTime>, [i64; 3])>;

impl Stands {
    /// How they stand now.
    pub(crate) fn of(files: &[(String, PathBuf)]) -> Self {
        let one = |(role, file): &(String, PathBuf)| (role.clone(), file.clone(), stamp(file).ok());
        Self(files.iter().map(one).collect())
    }

    /// Every file that stands otherwise now.
    pub(crate) fn changed(&self) -> Vec<Problem> {
        let is_other =
            |(_, file, before): &&(_, PathBuf, Option<Stamp>)| stamp(file).ok() != *before;
        let changed = self.0.iter().filter(is_other);
        changed.map(|(role, file, _)| changed_meanwhile(role, file)).collect()
    }
}

/// A file that is no longer what was read.
pub(crate) fn changed_meanwhile(role: &str, file: &Path) -> Problem {
    Problem::error(role)
        .file(file)
        .found("a file that was changed while it was read")
        .expected(
            "one file from the first look at it to the last, so that its sum is of what was read",
        )
        .remedy("run again when no other program writes it")
}

fn stamp(path: &Path) -> Result<Stamp, Error> {
    let files = if path.is_dir() { files_in(path)? } else { vec![path.to_path_buf()] };
    files
        .iter()
        .map(|file| {
            file.metadata().map(|about| (about.len(), about.modified().ok(), number(&about)))
        })
        .collect()
}

/// What else the system tells of a file: its number, and when anything of it was changed last.
#[cfg(unix)]
fn number(about: &std::fs::Metadata) -> [i64; 3] {
    use std::os::unix::fs::MetadataExt as _;
    [about.ino() as i64, about.ctime(), about.ctime_nsec()]
}

#[cfg(not(unix))]
fn number(_: &std::fs::Metadata) -> [i64; 3] {
    [0; 3]
}

fn files_in(folder: &Path) -> Result<Vec<PathBuf>, Error> {
    let inside: Result<Vec<_>, Error> =
        std::fs::read_dir(folder)?.map(|entry| Ok(entry?.path())).collect();
    let mut files: Vec<_> = inside?.into_iter().filter(|file| file.is_file()).collect();
    files.sort();
    Ok(files)
}

/// SHA-256 of a file or a folder of files, hexadecimal (FIPS 180-4).
///
/// # Errors
/// When it cannot be read to its end.
pub(crate) fn checksum(path: &Path) -> Result<String, Error> {
    let mut sum = Sha256::new();
    if path.is_dir() {
        for file in files_in(path)? {
            add(&file, &mut sum)?;
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
    fn a_file_that_is_written_to_or_replaced_stands_otherwise() {
        let folder = Folder::new();
        let (kept, cut) = (folder.text("kept.tif", "1"), folder.text("cut.tif", "22"));
        let (swapped, gone) = (folder.text("swapped.tif", "3"), folder.text("gone.tif", "4"));
        let layers = folder.path("folder.gdb");
        std::fs::create_dir(&layers).unwrap();
        std::fs::write(layers.join("a"), "5").unwrap();
        let files = [&kept, &cut, &swapped, &gone, &layers];
        let files = files.map(|file| ("cover".to_owned(), file.clone()));
        let before = Stands::of(&files);
        assert!(before.changed().is_empty());
        std::fs::write(&cut, "2").unwrap();
        std::fs::rename(folder.text("other", "3"), &swapped).unwrap();
        std::fs::remove_file(&gone).unwrap();
        std::fs::write(layers.join("b"), "6").unwrap();
        let changed: Vec<_> = before.changed().into_iter().filter_map(|one| one.file).collect();
        assert_eq!(changed, [cut, swapped, gone, layers]);
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
