//! Options of the race.

use std::path::PathBuf;

use crate::repository;
use crate::stop::Stop;

/// The course to run.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Options {
    /// Elevation raster, metres.
    pub(crate) dem: PathBuf,
    /// About how many cells to resample it to; `None`: as it is.
    pub(crate) cells: Option<f64>,
    /// Runs of each contestant.
    pub(crate) runs: usize,
    /// Whether the table goes into the documentation.
    pub(crate) write: bool,
}

impl Options {
    /// Reads `--dem FILE --cells N --runs N --write`, each at most of use once.
    pub(crate) fn parse(arguments: &[&str]) -> Result<Self, Stop> {
        let dem = repository::root().join("sample-layers/elevation_m.tif");
        let mut options = Self { dem, cells: None, runs: 5, write: false };
        let mut arguments = arguments.iter();
        while let Some(name) = arguments.next() {
            if *name == "--write" {
                options.write = true;
                continue;
            }
            let value = arguments.next().copied().unwrap_or_default();
            match *name {
                "--dem" if !value.is_empty() => options.dem = PathBuf::from(value),
                "--cells" => options.cells = Some(number(name, value, 1.0)?),
                "--runs" => options.runs = number(name, value, 1.0)? as usize,
                _ => return Err(Stop::unready(format!("race: `{name} {value}` is not an option"))),
            }
        }
        Ok(options)
    }
}

fn number(name: &str, value: &str, least: f64) -> Result<f64, Stop> {
    let number = value.parse::<f64>().ok().filter(|number| number.is_finite() && *number >= least);
    number.ok_or_else(|| Stop::unready(format!("`{name} {value}`: expected a number from {least}")))
}

#[cfg(test)]
mod tests {
    use super::Options;

    #[test]
    fn options_are_read_in_any_order() {
        let options = Options::parse(&["--write", "--cells", "64e6", "--dem", "a.tif"]).unwrap();
        assert_eq!((options.cells, options.runs, options.write), (Some(64e6), 5, true));
        assert_eq!(options.dem.to_str(), Some("a.tif"));
    }

    #[test]
    fn nonsense_is_refused() {
        for arguments in [&["--runs", "0"][..], &["--cells"], &["--cells", "NaN"], &["fast"]] {
            assert!(Options::parse(arguments).is_err(), "{arguments:?}");
        }
    }
}
