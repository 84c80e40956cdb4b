//! The gates of every change.

use std::process::Command;

use crate::stop::Stop;
use crate::{cargo, process, reference, repository, setup, test_run};

/// Runs every gate, whatever the ones before it found, then the tests unless told otherwise.
pub(crate) fn run(gates_only: bool) -> Result<(), Stop> {
    setup::build()?;
    let failures = gates();
    if !gates_only {
        return test_run::run_after(failures);
    }
    for failure in &failures {
        eprintln!("failed: {failure}");
    }
    if failures.is_empty() { Ok(()) } else { Err(Stop::told()) }
}

/// Runs the gates and returns what failed.
fn gates() -> Vec<String> {
    let mut failures = Vec::new();
    let mut gate = |name: &str, outcome: Result<(), Stop>| match outcome {
        Ok(()) => eprintln!("{name}: good"),
        Err(stop) => {
            eprintln!("{name}: {}", stop.message());
            failures.push(name.to_owned());
        }
    };
    gate("formatting", process::run(&mut formatting()));
    gate("lints", process::run(&mut lints()));
    gate("documentation", process::run(&mut documentation()));
    gate("reference pages", reference::run(true));
    match setup::deny() {
        Ok(()) => {
            gate("dependencies", process::run(&mut dependencies()));
            gate("versions of the fuzz targets", process::run(&mut fuzz_lock()));
        }
        // A machine without a network builds and tests what it has; what may come into the build is looked at elsewhere.
        Err(stop) => eprintln!("dependencies: not looked at: {}", stop.message()),
    }
    failures
}

fn formatting() -> Command {
    cargo::command(["fmt", "--all", "--check"])
}

fn lints() -> Command {
    cargo::command(["clippy", "--workspace", "--all-targets", "--", "-D", "warnings"])
}

/// Licences, crates and features that may not come in, and where crates come from, by `deny.toml`.
fn dependencies() -> Command {
    cargo::command(["deny", "check", "licenses", "bans", "sources"])
}

/// The fuzz targets are a workspace of their own, whose lock file nothing else here would find behind the crates it names.
fn fuzz_lock() -> Command {
    let manifest = repository::root().join("tests/fuzz/Cargo.toml");
    let mut command = cargo::command(["update", "--workspace", "--locked", "--manifest-path"]);
    command.arg(manifest);
    command
}

fn documentation() -> Command {
    let mut command = cargo::command(["doc", "--workspace", "--no-deps"]);
    command.arg("--document-private-items").env("RUSTDOCFLAGS", "-D warnings");
    command
}
