//! Cargo, started from cargo.

use std::env;
use std::path::PathBuf;
use std::process::{Command, Stdio};

use crate::stop::Stop;
use crate::{json, process, repository};

pub(crate) use crate::process::capture;

/// Cargo in the repository, with what it set for this program alone taken away again: build
/// scripts that read such variables would run anew each time.
pub(crate) fn command<const N: usize>(arguments: [&str; N]) -> Command {
    let program = env::var_os("CARGO").unwrap_or_else(|| "cargo".into());
    let mut command = Command::new(program);
    command.args(arguments).current_dir(repository::root());
    for (name, _) in env::vars_os() {
        if name.to_str().is_some_and(is_about_this_package) {
            command.env_remove(name);
        }
    }
    command
}

fn is_about_this_package(variable: &str) -> bool {
    ["CARGO_MANIFEST_", "CARGO_PKG_", "CARGO_BIN_", "CARGO_CRATE_", "CARGO_PRIMARY_"]
        .iter()
        .any(|prefix| variable.starts_with(prefix))
}

/// How the command line is built.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Profile {
    /// Quick to build.
    Dev,
    /// Quick to run.
    Release,
}

/// Builds `hillweave` and says where the program is.
pub(crate) fn build(profile: Profile) -> Result<PathBuf, Stop> {
    executable(command(["build", "--package", "hillweave", "--bin", "hillweave"]), profile)
}

/// Builds an example, quick to run, and says where it is.
pub(crate) fn example(package: &str, name: &str) -> Result<PathBuf, Stop> {
    executable(command(["build", "--package", package, "--example", name]), Profile::Release)
}

fn executable(mut command: Command, profile: Profile) -> Result<PathBuf, Stop> {
    if profile == Profile::Release {
        command.arg("--release");
    }
    command.arg("--message-format=json-render-diagnostics");
    let output = command
        .stdin(Stdio::null())
        .stderr(Stdio::inherit())
        .output()
        .map_err(|error| Stop::unusable("cargo build", &error))?;
    if !output.status.success() {
        return Err(Stop::finding(format!("failed: {}", process::line(&command))));
    }
    json::text(&String::from_utf8_lossy(&output.stdout), "executable")
        .map(PathBuf::from)
        .ok_or_else(|| Stop::unready("cargo build names no executable"))
}

#[cfg(test)]
mod tests {
    use super::is_about_this_package;

    #[test]
    fn only_what_is_about_this_package_is_taken_away() {
        assert!(is_about_this_package("CARGO_PKG_VERSION"));
        assert!(is_about_this_package("CARGO_MANIFEST_DIR"));
        assert!(!is_about_this_package("CARGO_TARGET_DIR"));
        assert!(!is_about_this_package("CARGO_HOME"));
    }
}
