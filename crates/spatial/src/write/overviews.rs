//! Overviews of a raster: the same picture with fewer cells, for showing it small.
//!
//! They are filled as the raster is, so that neither the COG driver needs a scratch file of its own
//! for them nor the raster is read again.

use std::ops::Range;

use gdal::Dataset;
use gdal::errors::GdalError;
use gdal::raster::{Buffer, RasterBand};
use terrain::{Grid, Window};

use super::raster::{Cell, TILE};

/// Gives an image overviews that are still to be filled.
pub(super) fn begin(image: &mut Dataset, grid: &Grid) -> Result<(), GdalError> {
    let halvings = halvings(grid);
    if halvings.is_empty() {
        return Ok(());
    }
    image.build_overviews("NONE", &halvings, &[])
}

/// Factors of the overviews: each half the one before, until one tile holds the whole.
fn halvings(grid: &Grid) -> Vec<i32> {
    let fits = |factor: usize| grid.cols().max(grid.rows()).div_ceil(factor) <= TILE;
    let mut factors = Vec::new();
    while !fits(1 << factors.len()) {
        factors.push(2 << factors.len());
    }
    factors
}

/// Writes a window's cells, and into each overview those of them that it shows.
pub(super) fn put<T: Cell>(
    band: &mut RasterBand<'_>,
    window: Window,
    cells: &[T],
) -> Result<(), GdalError> {
    write(band, window, cells.to_vec())?;
    let whole = band.size();
    for level in 0..usize::try_from(band.overview_count()?).unwrap_or_default() {
        let mut overview = band.overview(level)?;
        let (cols, rows) = overview.size();
        let cols = Shown::of(whole.0, cols, window.col..window.col + window.cols);
        let rows = Shown::of(whole.1, rows, window.row..window.row + window.rows);
        if cols.from.is_empty() || rows.from.is_empty() {
            continue;
        }
        let taken = rows.from.iter().flat_map(|row| {
            let line = (row - window.row) * window.cols;
            cols.from.iter().map(move |col| cells[line + col - window.col])
        });
        let (row, col) = (rows.first, cols.first);
        let shown = Window { row, col, rows: rows.from.len(), cols: cols.from.len() };
        write(&mut overview, shown, taken.collect())?;
    }
    Ok(())
}

fn write<T: Cell>(
    band: &mut RasterBand<'_>,
    window: Window,
    cells: Vec<T>,
) -> Result<(), GdalError> {
    let shape = (window.cols, window.rows);
    let from = (window.col as isize, window.row as isize);
    band.write(from, shape, &mut Buffer::new(shape, cells))
}

/// The rows or columns of an overview that show some of the raster's.
#[derive(Debug, PartialEq)]
struct Shown {
    /// The first of them.
    first: usize,
    /// What each of them shows.
    from: Vec<usize>,
}

impl Shown {
    /// Of `side` rows or columns, shown in `of`, those `within`.
    ///
    /// A place shows the one at its own number times the ratio of the sides, rounded; so whatever
    /// windows the raster is written in, its overviews are the same.
    fn of(side: usize, of: usize, within: Range<usize>) -> Self {
        let ratio = side as f64 / of as f64;
        let source = |place: usize| ((0.5 + place as f64 * ratio) as usize).min(side - 1);
        let near = (within.start as f64 / ratio) as usize;
        let first = (near.saturating_sub(1)..of).find(|place| source(*place) >= within.start);
        let first = first.unwrap_or(of);
        let from = (first..of).map(source).take_while(|source| *source < within.end);
        Self { first, from: from.collect() }
    }
}

#[cfg(test)]
mod tests {
    use gdal::DriverManager;

    use super::*;

    #[test]
    fn overviews_halve_until_one_tile_holds_the_whole() {
        let factors = |cols, rows| halvings(&Grid::new(cols, rows, 0.0, 0.0, 1.0, 1.0).unwrap());
        assert_eq!(factors(512, 1), [0; 0]);
        assert_eq!(factors(513, 1), [2]);
        assert_eq!(factors(10, 1024), [2]);
        assert_eq!(factors(1025, 1025), [2, 4]);
        assert_eq!(factors(4000, 2500), [2, 4, 8]);
    }

    #[test]
    fn each_place_shows_one_however_the_rest_is_cut() {
        for (side, of) in [(2000, 1000), (625, 313), (2500, 313), (7, 4), (9, 9), (5, 1)] {
            let whole = Shown::of(side, of, 0..side);
            assert_eq!((whole.first, whole.from.len()), (0, of));
            for step in [1, 2, 3, 64, 512] {
                let cuts = (0..side).step_by(step).map(|from| from..(from + step).min(side));
                let parts = cuts.map(|within| Shown::of(side, of, within));
                let mut next = 0;
                for part in parts.filter(|part| !part.from.is_empty()) {
                    assert_eq!(part.first, next, "{side} in {of} by {step}");
                    assert_eq!(part.from, whole.from[next..next + part.from.len()]);
                    next += part.from.len();
                }
                assert_eq!(next, of);
            }
        }
    }

    /// Source: GDAL's own nearest neighbour, where sides are halved evenly.
    #[test]
    fn overviews_are_those_that_gdal_makes() {
        let (cols, rows) = (2048, 1024);
        let cells: Vec<f32> = (0..cols * rows).map(|cell| (cell % 8191) as f32).collect();
        let window = Window { row: 0, col: 0, rows, cols };
        let image = |rule: &str| {
            let driver = DriverManager::get_driver_by_name("MEM").unwrap();
            let mut image = driver.create_with_band_type::<f32, _>("", cols, rows, 1).unwrap();
            if rule == "NONE" {
                image.build_overviews(rule, &[2, 4], &[]).unwrap();
                put(&mut image.rasterband(1).unwrap(), window, &cells).unwrap();
            } else {
                write(&mut image.rasterband(1).unwrap(), window, cells.clone()).unwrap();
                image.build_overviews(rule, &[2, 4], &[]).unwrap();
            }
            image
        };
        let (ours, theirs) = (image("NONE"), image("NEAREST"));
        for level in 0..2 {
            let read = |image: &Dataset| {
                let overview = image.rasterband(1).unwrap().overview(level).unwrap();
                overview.read_band_as::<f32>().unwrap().into_shape_and_vec().1
            };
            assert!(read(&ours) == read(&theirs), "overview {level}");
        }
    }
}
