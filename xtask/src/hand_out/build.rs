//! Builds the program so that its bytes do not tell where.

use std::path::{Path, PathBuf};

use super::{PROGRAM, cargo_home};
use crate::stop::Stop;
use crate::{cargo, process};

/// Builds the program from these sources and says where it is. Paths of this machine are written as `/hillweave` and
/// `/cargo`; crates are those of `Cargo.lock`; what the caller set for his own builds does not count.
pub(super) fn program(sources: &Path, target: &Path) -> Result<PathBuf, Stop> {
    let mut command = cargo::command([
        "build",
        "--locked",
        "--profile",
        "dist",
        "--package",
        PROGRAM,
        "--bin",
        PROGRAM,
    ]);
    command.current_dir(sources).env("CARGO_TARGET_DIR", target);
    command.env_remove("RUSTFLAGS").env("CARGO_ENCODED_RUSTFLAGS", flags(sources, &cargo_home()?));
    process::run(&mut command)?;
    Ok(target.join("dist").join(PROGRAM))
}

/// What the compiler is told, in cargo's own form, which leaves spaces in paths alone.
fn flags(sources: &Path, cargo_home: &Path) -> String {
    let written = |from: &Path, to: &str| format!("--remap-path-prefix={}={to}", from.display());
    [written(sources, "/hillweave"), written(cargo_home, "/cargo")].join("\u{1f}")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn paths_with_spaces_stay_one_word() {
        let flags = flags(Path::new("/a b/c"), Path::new("/home/x/.cargo"));
        let words: Vec<&str> = flags.split('\u{1f}').collect();
        assert_eq!(
            words,
            ["--remap-path-prefix=/a b/c=/hillweave", "--remap-path-prefix=/home/x/.cargo=/cargo"]
        );
    }
}
