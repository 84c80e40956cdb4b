//! A text file that appears whole or not at all.

use std::io::{self, Write as _};
use std::path::Path;

use tempfile::NamedTempFile;

use super::folder::cannot_write;
use crate::problem::Problem;

/// Writes a text beside its target and moves it into place.
///
/// # Errors
/// When the target is there and `overwrite` is not set, is no plain file, or the disk refuses.
pub fn write_text(target: &Path, text: &str, overwrite: bool) -> Result<(), Problem> {
    let refused = |error: std::io::Error| cannot_write(target, &error);
    match target.symlink_metadata() {
        Ok(found) if !found.is_file() => {
            return Err(taken(target, "something that is no plain file"));
        }
        Ok(_) if !overwrite => return Err(taken(target, "a file that is there already")),
        _ => {}
    }
    let parent = match target.parent() {
        Some(parent) if !parent.as_os_str().is_empty() => parent,
        _ => Path::new("."),
    };
    let mut stage = beside(parent).map_err(refused)?;
    stage.write_all(text.as_bytes()).map_err(refused)?;
    stage.as_file().sync_all().map_err(refused)?;
    let moved = if overwrite { stage.persist(target) } else { stage.persist_noclobber(target) };
    moved.map(drop).map_err(|error| refused(error.error))
}

/// An empty file in a folder, hidden, for what is to take its place there whole; readers are those of any new file: what
/// the user's mask leaves of it. It goes with the value.
///
/// # Errors
/// When the disk refuses.
pub fn beside(folder: &Path) -> io::Result<NamedTempFile> {
    let mut builder = tempfile::Builder::new();
    builder.prefix(".hillweave.partial-");
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt as _;
        builder.permissions(std::fs::Permissions::from_mode(0o666));
    }
    builder.tempfile_in(folder)
}

fn taken(target: &Path, found: &str) -> Problem {
    Problem::error("--output")
        .file(target)
        .found(found)
        .expected("a name that is free, or with `--overwrite` a file to replace")
        .remedy("name another file, or pass `--overwrite`")
}
