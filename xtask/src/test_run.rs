//! Every test: units, laws, documentation, the built program, and the checks against outside
//! libraries, which are `#[ignore]`d elsewhere because they need more than Rust.
//! Tests named `by_hand_…` are measurements, or need a prepared machine: they are never run here.

use std::env;
use std::io::{BufRead, BufReader};
use std::process::{Command, Stdio};

use crate::setup::Checkers;
use crate::stop::Stop;
use crate::tally::Tally;
use crate::{cargo, hunt, setup};

/// Prepares the machine, runs every test, and ends with one line: `N passed, N failed`.
pub(crate) fn run() -> Result<(), Stop> {
    run_after(Vec::new())
}

/// The same after other gates, whose failures are named before that line.
pub(crate) fn run_after(mut failures: Vec<String>) -> Result<(), Stop> {
    let checkers = setup::test()?;
    let (tally, succeeded) = stream(&mut command(&checkers))?;
    failures.extend(fault(tally, succeeded).map(str::to_owned));
    for failure in &failures {
        eprintln!("failed: {failure}");
    }
    if !tally.is_empty() {
        println!("{tally}");
    }
    if failures.is_empty() { Ok(()) } else { Err(Stop::told()) }
}

/// Default targets only: benchmarks are neither built nor run.
fn command(checkers: &Checkers) -> Command {
    let mut command = cargo::command(["test", "--workspace", "--no-fail-fast"]);
    command.args(["--", "--include-ignored", "--skip", "by_hand_"]);
    command.env("HILLWEAVE_PYTHON", &checkers.python);
    command.env("HILLWEAVE_GIS_PYTHON", &checkers.gis_python);
    command.env("HILLWEAVE_NODE", &checkers.node_modules);
    if env::var_os(hunt::SEED).is_none() {
        command.env(hunt::SEED, hunt::GATES);
    }
    command
}

/// Shows what a program prints while it runs, and counts.
fn stream(command: &mut Command) -> Result<(Tally, bool), Stop> {
    let unusable = |error| Stop::unusable("cargo test", &error);
    let mut child =
        command.stdin(Stdio::null()).stdout(Stdio::piped()).spawn().map_err(unusable)?;
    let mut tally = Tally::default();
    if let Some(stdout) = child.stdout.take() {
        for line in BufReader::new(stdout).split(b'\n') {
            let line = line.map_err(unusable)?;
            let line = String::from_utf8_lossy(&line);
            println!("{line}");
            tally.read(&line);
        }
    }
    Ok((tally, child.wait().map_err(unusable)?.success()))
}

/// What is wrong with a run: tests that fail, or no test at all.
fn fault(tally: Tally, succeeded: bool) -> Option<&'static str> {
    if !succeeded || tally.has_failures() {
        Some("cargo test")
    } else if tally.is_empty() {
        Some("cargo test: no test ran")
    } else {
        None
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn shell(script: &str) -> Option<&'static str> {
        let (tally, succeeded) = stream(Command::new("sh").args(["-c", script])).unwrap();
        fault(tally, succeeded)
    }

    #[test]
    fn a_run_passes_only_when_tests_ran_and_all_passed() {
        assert_eq!(shell("echo 'test result: ok. 2 passed; 0 failed;'"), None);
        assert_eq!(
            shell("echo 'test result: ok. 0 passed; 0 failed;'"),
            Some("cargo test: no test ran")
        );
    }

    #[test]
    fn failures_count_whatever_the_exit_status_says() {
        for script in [
            "echo 'test result: ok. 2 passed; 0 failed;'; exit 101",
            "echo 'test result: FAILED. 2 passed; 1 failed;'",
            "exit 101",
        ] {
            assert_eq!(shell(script), Some("cargo test"), "{script}");
        }
    }

    #[test]
    fn the_checks_against_outside_libraries_are_in() {
        let [python, gis_python, node_modules] = ["python", "gis", "node"].map(Into::into);
        let checkers = Checkers { python, gis_python, node_modules };
        let command = command(&checkers);
        // Under a seed of its own, or the one that the person gave.
        let is_set = command.get_envs().any(|(name, value)| name == hunt::SEED && value.is_some());
        assert!(is_set || env::var_os(hunt::SEED).is_some());
        let line = crate::process::line(&command);
        assert!(
            line.ends_with("test --workspace --no-fail-fast -- --include-ignored --skip by_hand_"),
            "{line}"
        );
    }
}
