//! Tries the laws with cases that no gate has drawn: every property test of the engine, round after round, each under
//! another seed.

use std::process::Command;
use std::time::{Duration, Instant, SystemTime};

use crate::stop::Stop;
use crate::{cargo, lasting, process, setup};

/// What the seed of property tests is called; the gates set it to [`GATES`].
pub(crate) const SEED: &str = "PROPTEST_RNG_SEED";
/// The seed of the gates, so that whether a change passes is no matter of luck.
pub(crate) const GATES: &str = "1";

/// For how long, and which tests.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Options {
    /// Minutes after which no further round begins.
    pub(crate) minutes: u32,
    /// Parts of the names of tests; none: all.
    pub(crate) tests: Vec<String>,
}

impl Options {
    /// Reads `--minutes N` and parts of names.
    pub(crate) fn parse(options: &[&str]) -> Option<Self> {
        let (minutes, tests) = lasting::parse(options, "--minutes", 60)?;
        Some(Self { minutes, tests })
    }
}

/// Runs rounds until the time is over; stops at the first that fails, with its seed.
pub(crate) fn run(options: &Options) -> Result<(), Stop> {
    setup::build()?;
    let end = Instant::now() + Duration::from_secs(60 * u64::from(options.minutes));
    // Rounds differ by one, hunts by the time at which they began.
    let since = SystemTime::now().duration_since(SystemTime::UNIX_EPOCH).unwrap_or_default();
    let first = since.as_secs() << 20;
    let mut rounds = 0;
    while rounds == 0 || Instant::now() < end {
        let seed = first + rounds;
        process::run(&mut round(options, seed)).map_err(|stop| {
            Stop::finding(format!("{}\nagain with {SEED}={seed}", stop.message()))
        })?;
        rounds += 1;
        println!("round {rounds}: every law held, {SEED}={seed}");
    }
    Ok(())
}

/// The tests of the crates; those that run the program draw nothing.
fn round(options: &Options, seed: u64) -> Command {
    let mut command = cargo::command(["test", "--quiet", "--workspace", "--no-fail-fast"]);
    command.args(["--exclude", "hillweave", "--exclude", "xtask", "--lib", "--tests", "--"]);
    command.args(&options.tests).env(SEED, seed.to_string());
    command
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn options_are_read() {
        let parse = |line: &str| Options::parse(&line.split_whitespace().collect::<Vec<_>>());
        assert_eq!(parse("").unwrap(), Options { minutes: 60, tests: vec![] });
        let some = parse("--minutes 5 zones:: laws").unwrap();
        assert_eq!((some.minutes, some.tests.len()), (5, 2));
        for bad in ["--minutes", "--minutes 0", "--seed"] {
            assert_eq!(parse(bad), None, "{bad}");
        }
    }

    #[test]
    fn a_round_runs_the_tests_of_the_crates_under_its_seed() {
        let round = round(&Options { minutes: 1, tests: vec!["zones::".to_owned()] }, 77);
        let line = process::line(&round);
        assert!(line.ends_with("--exclude xtask --lib --tests -- zones::"), "{line}");
        let seed = round.get_envs().find(|(name, _)| *name == SEED).and_then(|(_, value)| value);
        assert_eq!(seed.unwrap(), "77");
    }
}
