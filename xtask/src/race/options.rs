//! Options of the race.

use std::path::PathBuf;

use crate::stop::Stop;

/// The course to run.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Options {
    /// Elevation raster for whole programs, metres; `None`: invented ground.
    pub(crate) dem: Option<PathBuf>,
    /// About how many cells; `None`: [`CELLS`], or those of the elevation raster.
    pub(crate) cells: Option<f64>,
    /// About how many cells, for the time per cell by size.
    pub(crate) sizes: Vec<f64>,
    /// Which tables to make.
    pub(crate) parts: Vec<Part>,
    /// Others that do not take part in computing alone, by a part of their names.
    pub(crate) without: Vec<String>,
    /// Runs of each contestant.
    pub(crate) runs: usize,
    /// Whether the tables go into the documentation.
    pub(crate) write: bool,
}

/// A table.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Part {
    /// Computing alone.
    Kernels,
    /// Whole programs, reading and writing included.
    Programs,
    /// `hillweave ground` by size.
    Sizes,
    /// Zones of a property, against a chain of tools.
    Zones,
}

/// Cells of invented ground unless told otherwise.
pub(crate) const CELLS: f64 = 4e6;

impl Options {
    /// Reads `--dem FILE --cells N --sizes N,N --only PART,PART --without NAME,NAME --runs N --write`;
    /// the last of each counts.
    pub(crate) fn parse(arguments: &[&str]) -> Result<Self, Stop> {
        let mut options = Self::default();
        let mut arguments = arguments.iter();
        while let Some(name) = arguments.next() {
            if *name == "--write" {
                options.write = true;
                continue;
            }
            let value = arguments.next().copied().unwrap_or_default();
            match *name {
                "--dem" if !value.is_empty() => options.dem = Some(PathBuf::from(value)),
                "--cells" => options.cells = Some(number(name, value, 1.0)?),
                "--sizes" => options.sizes = list(value, |size| number(name, size, 1.0))?,
                "--only" => options.parts = list(value, part)?,
                "--without" if !value.is_empty() => {
                    options.without = list(value, |name| Ok(name.to_owned()))?;
                }
                "--runs" => options.runs = number(name, value, 1.0)? as usize,
                _ => return Err(Stop::unready(format!("race: `{name} {value}` is not an option"))),
            }
        }
        Ok(options)
    }
}

impl Default for Options {
    fn default() -> Self {
        let parts = vec![Part::Kernels, Part::Programs, Part::Sizes, Part::Zones];
        let sizes = vec![1e6, 4e6, 16e6];
        let without = Vec::new();
        Self { dem: None, cells: None, sizes, parts, without, runs: 5, write: false }
    }
}

fn list<T>(value: &str, item: impl FnMut(&str) -> Result<T, Stop>) -> Result<Vec<T>, Stop> {
    value.split(',').map(item).collect()
}

fn part(name: &str) -> Result<Part, Stop> {
    match name {
        "kernels" => Ok(Part::Kernels),
        "programs" => Ok(Part::Programs),
        "sizes" => Ok(Part::Sizes),
        "zones" => Ok(Part::Zones),
        _ => Err(Stop::unready(format!(
            "`--only {name}`: expected kernels, programs, sizes or zones"
        ))),
    }
}

fn number(name: &str, value: &str, least: f64) -> Result<f64, Stop> {
    let number = value.parse::<f64>().ok().filter(|number| number.is_finite() && *number >= least);
    number.ok_or_else(|| Stop::unready(format!("`{name} {value}`: expected a number from {least}")))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn options_are_read_in_any_order() {
        let options = Options::parse(&["--write", "--cells", "64e6", "--dem", "a.tif"]).unwrap();
        assert_eq!((options.cells, options.runs, options.write), (Some(64e6), 5, true));
        assert_eq!(options.dem, Some(PathBuf::from("a.tif")));
    }

    #[test]
    fn lists_are_read() {
        let options = Options::parse(&["--sizes", "1e6,1e9", "--only", "sizes,zones"]).unwrap();
        assert_eq!(options.sizes, [1e6, 1e9]);
        assert_eq!(options.parts, [Part::Sizes, Part::Zones]);
        let options = Options::parse(&["--without", "saga_cmd,pysheds"]).unwrap();
        assert_eq!(options.without, ["saga_cmd", "pysheds"]);
        assert_eq!(Options::parse(&[]).unwrap().parts.len(), 4);
    }

    #[test]
    fn nonsense_is_refused() {
        for arguments in [
            &["--runs", "0"][..],
            &["--cells"],
            &["--cells", "NaN"],
            &["fast"],
            &["--only", "size"],
            &["--only"],
            &["--without"],
            &["--sizes", "1e6,"],
        ] {
            assert!(Options::parse(arguments).is_err(), "{arguments:?}");
        }
    }
}
