//! What was asked for.

use crate::fuzz::Options as Fuzz;
use crate::hunt::Options as Hunt;
use crate::race::Options as Race;
use crate::stop::Stop;

/// Shown by `cargo xtask` and `cargo xtask help`.
pub(crate) const HELP: &str = "\
cargo xtask demo           build, plan the sample property, say where the plan is
cargo xtask test           build, run every test, the checks against outside libraries too
cargo xtask setup          only install what the two need (apt-get; a Python folder under target)
cargo xtask ci             formatting, lints, documentation, then all that `test` runs
            --gates        without the tests
cargo xtask docs           write the reference pages of docs/ and the files of styles/ from the tables in the code
            --check        compare only
cargo xtask dem            write an invented elevation raster: rough hill country, EPSG:2193
            --cols N --rows N -o FILE
            --cell M       side of a cell in metres (default 1)
            --seed S       which country (default 1)
            --round M      heights in multiples of M metres (default 0.01)
cargo xtask race           time our kernels, `hillweave ground` and zones against general-purpose tools
            --cells N      about N cells of invented ground, such as 64e6 (default 4e6)
            --sizes N,N,…  for the time per cell by size (default 1e6,4e6,16e6)
            --only PART    kernels, programs or sizes; several with commas (default all)
            --without NAME,… others that sit out the kernels, by a part of their names
            --dem FILE     for programs: this elevation in metres; with --cells, resampled
            --runs N       runs of each (default 5); medians are shown
            --write        put the tables into docs/performance.md
cargo xtask fuzz           put bytes of every kind before every reader (cargo-fuzz, a nightly compiler)
            --seconds N    for each target (default 600)
            TARGET …       these alone; their names are those of tests/fuzz/corpus
cargo xtask hunt           try the laws with cases that no gate has drawn, under seed after seed
            --minutes N    for how long (default 60)
            PART …         only tests with one of these in their names
cargo xtask hand-out       build the program to hand out, its bill of materials (cargo-cyclonedx), the sums of both
            --twice        build it from a copy elsewhere too, and hold the two against each other

Exit status: 0 done, 1 something checked does not hold, 2 the machine or the command is not ready.";

/// One chore and its options.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Chore {
    /// Print the list of chores.
    Help,
    /// Install what building and testing need.
    Setup,
    /// Plan the sample property.
    Demo,
    /// Run every test.
    Test,
    /// Run every gate, then the tests unless told otherwise.
    Ci { gates_only: bool },
    /// Write or compare the generated pages.
    Docs { check: bool },
    /// Write an invented elevation raster: options of the maker.
    Dem(Vec<String>),
    /// Time against general-purpose tools.
    Race(Race),
    /// Build the program to hand out, and once more elsewhere when asked.
    HandOut { twice: bool },
    /// Fuzz.
    Fuzz(Fuzz),
    /// Try the laws under new seeds.
    Hunt(Hunt),
}

impl Chore {
    /// Reads the command line, without the program's own name.
    pub(crate) fn parse(arguments: &[String]) -> Result<Self, Stop> {
        let Some((name, options)) = arguments.split_first() else { return Ok(Self::Help) };
        let options: Vec<&str> = options.iter().map(String::as_str).collect();
        let unknown = || Stop::unready(format!("unknown: {}\n\n{HELP}", arguments.join(" ")));
        match (name.as_str(), options.as_slice()) {
            ("help" | "--help" | "-h", _) | (_, ["--help" | "-h"]) => Ok(Self::Help),
            ("setup", []) => Ok(Self::Setup),
            ("demo", []) => Ok(Self::Demo),
            ("test", []) => Ok(Self::Test),
            ("ci", []) => Ok(Self::Ci { gates_only: false }),
            ("ci", ["--gates"]) => Ok(Self::Ci { gates_only: true }),
            ("docs", []) => Ok(Self::Docs { check: false }),
            ("docs", ["--check"]) => Ok(Self::Docs { check: true }),
            ("hand-out", []) => Ok(Self::HandOut { twice: false }),
            ("hand-out", ["--twice"]) => Ok(Self::HandOut { twice: true }),
            ("dem", options) if !options.is_empty() => {
                Ok(Self::Dem(options.iter().map(ToString::to_string).collect()))
            }
            ("race", options) => Race::parse(options).map(Self::Race),
            ("fuzz", options) => Fuzz::parse(options).map(Self::Fuzz).ok_or_else(unknown),
            ("hunt", options) => Hunt::parse(options).map(Self::Hunt).ok_or_else(unknown),
            _ => Err(unknown()),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn parse(line: &str) -> Result<Chore, Stop> {
        let arguments: Vec<String> = line.split_whitespace().map(str::to_owned).collect();
        Chore::parse(&arguments)
    }

    #[test]
    fn every_chore_of_the_help_is_understood() {
        let named = HELP.lines().filter_map(|line| line.strip_prefix("cargo xtask "));
        let names: Vec<_> = named.filter_map(|line| line.split_whitespace().next()).collect();
        assert_eq!(
            names,
            ["demo", "test", "setup", "ci", "docs", "dem", "race", "fuzz", "hunt", "hand-out"]
        );
        for name in names.into_iter().filter(|name| *name != "dem") {
            assert!(parse(name).is_ok_and(|chore| chore != Chore::Help), "{name}");
        }
    }

    #[test]
    fn options_are_read() {
        assert_eq!(parse("ci --gates").unwrap(), Chore::Ci { gates_only: true });
        assert_eq!(parse("docs --check").unwrap(), Chore::Docs { check: true });
        assert_eq!(parse("hand-out --twice").unwrap(), Chore::HandOut { twice: true });
        assert_eq!(parse("dem -o a.tif").unwrap(), Chore::Dem(vec!["-o".into(), "a.tif".into()]));
        assert_eq!(parse("").unwrap(), Chore::Help);
        assert_eq!(parse("demo --help").unwrap(), Chore::Help);
    }

    #[test]
    fn what_is_not_understood_is_refused_by_name() {
        for line in ["tset", "dem", "demo fast", "ci --gate", "docs --check --check", "fuzz --fast"]
        {
            assert!(parse(line).unwrap_err().message().starts_with(&format!("unknown: {line}")));
        }
    }
}
