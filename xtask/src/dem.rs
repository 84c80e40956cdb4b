//! Writes an invented elevation raster: material for timing.

use std::path::Path;
use std::process::Command;

use crate::stop::Stop;
use crate::{cargo, process, setup};

/// Hands its options to the maker, which knows them.
pub(crate) fn run(options: &[String]) -> Result<(), Stop> {
    setup::build()?;
    process::run(Command::new(cargo::example("hillweave", "make_dem")?).args(options))
}

/// About so many cells of 1 m in the shape 8 : 5; returns columns and rows.
pub(crate) fn make(maker: &Path, cells: f64, file: &Path) -> Result<(u64, u64), Stop> {
    let (cols, rows) = shape(cells);
    eprintln!("making {cols} × {rows} cells of invented ground");
    let mut command = Command::new(maker);
    command.args(["--cols", &cols.to_string(), "--rows", &rows.to_string(), "-o"]).arg(file);
    process::run(&mut command)?;
    Ok((cols, rows))
}

fn shape(cells: f64) -> (u64, u64) {
    let cols = (cells * 1.6).sqrt().round().max(1.0);
    (cols as u64, (cells / cols).round().max(1.0) as u64)
}

#[cfg(test)]
mod tests {
    use super::shape;

    #[test]
    fn a_thousand_million_cells_are_the_big_raster() {
        assert_eq!(shape(1e9), (40_000, 25_000));
        assert_eq!(shape(1.0), (1, 1));
    }
}
