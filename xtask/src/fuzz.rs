//! Puts bytes of every kind before every reader, for a time: `tests/fuzz` with cargo-fuzz and a nightly compiler.

use std::fs;
use std::path::PathBuf;
use std::process::Command;

use crate::stop::Stop;
use crate::{lasting, process, repository, setup};

/// What to fuzz, and for how long.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Options {
    /// Seconds for each target.
    pub(crate) seconds: u32,
    /// The targets; none: all.
    pub(crate) targets: Vec<String>,
}

impl Options {
    /// Reads `--seconds N` and names of targets.
    pub(crate) fn parse(options: &[&str]) -> Option<Self> {
        let (seconds, targets) = lasting::parse(options, "--seconds", 600)?;
        Some(Self { seconds, targets })
    }
}

/// Fuzzes each target; stops at the first finding, whose bytes libFuzzer names.
pub(crate) fn run(options: &Options) -> Result<(), Stop> {
    setup::build()?;
    if !process::succeeds(Command::new("cargo").args(["+nightly", "fuzz", "--version"])) {
        return Err(Stop::unready(
            "cargo-fuzz and a nightly compiler are missing: \
             `rustup toolchain install nightly && cargo install cargo-fuzz`"
                .to_owned(),
        ));
    }
    let folder = repository::root().join("tests/fuzz");
    let known = targets(&folder)?;
    if let Some(strange) = options.targets.iter().find(|name| !known.contains(name)) {
        return Err(Stop::unready(format!(
            "no target `{strange}`; there are {}",
            known.join(", ")
        )));
    }
    let asked = if options.targets.is_empty() { &known } else { &options.targets };
    // What is found on the way grows outside the repository; what is kept in it is put there by hand.
    let grown = repository::root().join("target/fuzz");
    for name in asked {
        let new = grown.join("corpus").join(name);
        fs::create_dir_all(&new)
            .map_err(|error| Stop::unusable(new.display().to_string(), &error))?;
        let mut command = Command::new("cargo");
        command.args(["+nightly", "fuzz", "run", "--fuzz-dir"]).arg(&folder);
        command.arg("--target-dir").arg(grown.join("build")).arg(name);
        command.arg(&new).arg(folder.join("corpus").join(name));
        // A hang of ten seconds is a finding, as is memory without bound.
        let limits = ["-timeout=10", "-rss_limit_mb=4096", "-print_final_stats=1"];
        command.arg("--").arg(format!("-max_total_time={}", options.seconds)).args(limits);
        process::run(&mut command)?;
    }
    Ok(())
}

/// Names of the targets, in order.
fn targets(folder: &std::path::Path) -> Result<Vec<String>, Stop> {
    let place: PathBuf = folder.join("targets");
    let entries = fs::read_dir(&place)
        .map_err(|error| Stop::unusable(place.display().to_string(), &error))?;
    let name =
        |entry: fs::DirEntry| Some(entry.file_name().to_str()?.strip_suffix(".rs")?.to_owned());
    let mut names: Vec<String> = entries.filter_map(Result::ok).filter_map(name).collect();
    names.sort();
    Ok(names)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn options_are_read() {
        let parse = |line: &str| Options::parse(&line.split_whitespace().collect::<Vec<_>>());
        assert_eq!(parse("").unwrap().seconds, 600);
        let some = parse("--seconds 20 site partition").unwrap();
        assert_eq!((some.seconds, some.targets.len()), (20, 2));
        for bad in ["--seconds", "--seconds 0", "--fast"] {
            assert_eq!(parse(bad), None, "{bad}");
        }
    }

    #[test]
    fn every_target_is_found() {
        let names = targets(&repository::root().join("tests/fuzz")).unwrap();
        assert!(names.contains(&"site".to_owned()) && names.len() > 8, "{names:?}");
    }
}
