//! Where things are.

use std::fs;
use std::path::{Path, PathBuf};

use crate::stop::Stop;
use crate::{cargo, json};

/// The repository this program was started from.
///
/// Cargo names it when it runs the program; a target folder shared by several clones may hold a
/// program that another clone built, so the path known at build time comes second.
pub(crate) fn root() -> PathBuf {
    let own = std::env::var_os("CARGO_MANIFEST_DIR")
        .map_or_else(|| PathBuf::from(env!("CARGO_MANIFEST_DIR")), PathBuf::from);
    own.parent().map_or_else(|| own.clone(), PathBuf::from)
}

/// Writes a file of the repository and says so; the folders above it are made.
pub(crate) fn write(file: &Path, text: &str) -> Result<(), Stop> {
    let made = file.parent().map_or(Ok(()), fs::create_dir_all);
    made.and_then(|()| fs::write(file, text))
        .map_err(|error| Stop::unusable(file.display(), &error))?;
    println!("wrote {}", file.display());
    Ok(())
}

/// Where cargo builds, whether an environment variable or a configuration file says so.
pub(crate) fn target_folder() -> Result<PathBuf, Stop> {
    let mut metadata = cargo::command(["metadata", "--no-deps", "--offline"]);
    let told = cargo::capture(metadata.args(["--format-version", "1"]))?;
    json::text(&told, "target_directory")
        .map(PathBuf::from)
        .ok_or_else(|| Stop::unready("cargo metadata names no target directory"))
}
