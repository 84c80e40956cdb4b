//! Where things are.

use std::path::PathBuf;

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

/// Where cargo builds, whether an environment variable or a configuration file says so.
pub(crate) fn target_folder() -> Result<PathBuf, Stop> {
    let mut metadata = cargo::command(["metadata", "--no-deps", "--offline"]);
    let told = cargo::capture(metadata.args(["--format-version", "1"]))?;
    json::text(&told, "target_directory")
        .map(PathBuf::from)
        .ok_or_else(|| Stop::unready("cargo metadata names no target directory"))
}
