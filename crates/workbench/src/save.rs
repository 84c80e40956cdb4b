//! Files as a person would have written them: each whole, all or none.

use std::fs;
use std::io::Write as _;
use std::path::{Path, PathBuf};

use spatial::problem::Problem;
use spatial::write::beside;
use tempfile::NamedTempFile;

use crate::files::{Files, Places};

/// Writes what differs from what was saved last. Every text is on the disk beside its file before the first takes
/// its place; where one then cannot, those that did are put back.
///
/// # Errors
/// When another has changed a file of the site since it was read, or the disk refuses. The files are then as they were.
pub(crate) fn save(places: &Places, now: &Files, saved: &Files) -> Result<Vec<PathBuf>, Problem> {
    unchanged(places, saved)?;
    let mut staged = Vec::new();
    for ((file, text), (_, was)) in places.with(now).into_iter().zip(places.with(saved)) {
        if text != was {
            // What stands behind a link is written, and the link stays.
            let file = fs::canonicalize(file).unwrap_or_else(|_| file.to_path_buf());
            staged.push(Staged::new(&file, text, was)?);
        }
    }
    let mut done: Vec<(PathBuf, Option<&str>)> = Vec::new();
    for Staged { file, text, was } in staged {
        if let Err(problem) = take_place(&file, text) {
            // Best effort: the first problem is the one to tell.
            for (file, was) in done {
                let _ = put_back(&file, was);
            }
            return Err(problem);
        }
        done.push((file, was));
    }
    Ok(done.into_iter().map(|(file, _)| file).collect())
}

/// Holds the files of the site against what was read or saved last.
///
/// # Errors
/// When another has changed one of them since, or one cannot be read.
pub(crate) fn unchanged(places: &Places, saved: &Files) -> Result<(), Problem> {
    let there = places.read()?;
    let pairs = places.with(saved).into_iter().zip(places.with(&there));
    for ((file, was), (_, found)) in pairs {
        if found != was {
            return Err(Problem::error("files of the site")
                .file(file)
                .found("a file that has changed since the bench read it")
                .expected("the file as it was opened or last saved")
                .remedy("keep a copy of that change, open the site again and make it there"));
        }
    }
    Ok(())
}

/// A text on its way into its place.
struct Staged<'a> {
    file: PathBuf,
    /// On the disk, beside its place; `None`: the file goes.
    text: Option<NamedTempFile>,
    was: Option<&'a str>,
}

impl<'a> Staged<'a> {
    fn new(file: &Path, text: Option<&str>, was: Option<&'a str>) -> Result<Self, Problem> {
        let text = text.map(|text| written(file, text)).transpose()?;
        Ok(Self { file: file.to_path_buf(), text, was })
    }
}

fn take_place(file: &Path, text: Option<NamedTempFile>) -> Result<(), Problem> {
    match text {
        Some(text) => text.persist(file).map(drop).map_err(|error| refused(file, &error.error)),
        None => fs::remove_file(file).map_err(|error| refused(file, &error)),
    }
}

fn put_back(file: &Path, was: Option<&str>) -> Result<(), Problem> {
    take_place(file, was.map(|text| written(file, text)).transpose()?)
}

/// A text on the disk, beside the file whose place it will take, with that file's permissions.
fn written(file: &Path, text: &str) -> Result<NamedTempFile, Problem> {
    let folder = file.parent().unwrap_or(Path::new("."));
    let write = || {
        let mut beside = beside(folder)?;
        beside.write_all(text.as_bytes())?;
        beside.as_file().sync_all()?;
        if let Ok(about) = fs::metadata(file) {
            beside.as_file().set_permissions(about.permissions())?;
        }
        Ok(beside)
    };
    write().map_err(|error: std::io::Error| refused(file, &error))
}

fn refused(file: &Path, error: &std::io::Error) -> Problem {
    Problem::error("save")
        .file(file)
        .found(error.to_string())
        .expected("a folder that can be written")
        .remedy("see that there is room on the disk and that the folder can be written")
}
