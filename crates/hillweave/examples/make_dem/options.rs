//! What to make.

use std::str::FromStr;

/// Size, ground and place of the raster.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Options {
    /// Columns.
    pub(crate) cols: usize,
    /// Rows.
    pub(crate) rows: usize,
    /// Side of a cell, metres.
    pub(crate) cell_m: f64,
    /// Which country.
    pub(crate) seed: u64,
    /// Heights are multiples of this, metres.
    pub(crate) round_m: f64,
    /// Where to.
    pub(crate) file: String,
}

impl Options {
    /// Reads `--cols N --rows N --cell M --seed S --round M -o FILE`; size and file are a must.
    pub(crate) fn parse(mut arguments: impl Iterator<Item = String>) -> Result<Self, String> {
        let file = String::new();
        let mut options = Self { cols: 0, rows: 0, cell_m: 1.0, seed: 1, round_m: 0.01, file };
        while let Some(name) = arguments.next() {
            let value = arguments.next().unwrap_or_default();
            match name.as_str() {
                "--cols" => options.cols = read(&name, &value)?,
                "--rows" => options.rows = read(&name, &value)?,
                "--cell" => options.cell_m = read(&name, &value)?,
                "--seed" => options.seed = read(&name, &value)?,
                "--round" => options.round_m = read(&name, &value)?,
                "-o" => options.file = value,
                _ => return Err(format!("`{name} {value}` is not an option")),
            }
        }
        options.checked()
    }

    fn checked(self) -> Result<Self, String> {
        let whole = |count: usize| count > 0 && i32::try_from(count).is_ok();
        let length = |metres: f64| metres.is_finite() && metres > 0.0;
        if !whole(self.cols) || !whole(self.rows) || self.file.is_empty() {
            return Err("expected --cols N --rows N -o FILE, with at least one cell".to_owned());
        }
        if !length(self.cell_m) || !length(self.round_m) {
            return Err("--cell and --round: expected metres above zero".to_owned());
        }
        Ok(self)
    }
}

fn read<T: FromStr>(name: &str, value: &str) -> Result<T, String> {
    value.parse().or(Err(format!("`{name} {value}`: expected a number")))
}
