//! Cells of a raster file carried onto the plan's grid.

use gdal::Dataset;
use gdal::raster::{Buffer, GdalType};
use terrain::{Grid, Raster};

use super::chatter;
use super::crs::Crs;
use super::foreign::{Resampling, reproject_image};
use super::raster_file::{RasterFile, Window};
use super::rasterise::{memory_dataset, transform_of};
use super::refusal::not_carried;
use crate::problem::Problem;

/// Cells of a window of a file, in the file's own order.
pub(super) struct Patch<T> {
    pub(super) window: Window,
    pub(super) cells: Vec<T>,
    /// The value of cells that hold nothing.
    pub(super) hole: T,
}

/// Points along each side of the grid that are carried to the file's system to find its window.
const SAMPLES: usize = 33;

/// Source cells beyond the grid, so that interpolation has neighbours at its edge.
const MARGIN: f64 = 2.0;

/// The part of a file that a grid needs; `None` when they do not meet.
///
/// # Errors
/// When the grid has no place in the file's coordinate system.
pub(super) fn window_for(
    file: &RasterFile,
    grid: &Grid,
    crs: &Crs,
) -> Result<Option<Window>, Problem> {
    let own = file.crs()?;
    let mut points = lattice_of(grid);
    crs.transform_points(own, &mut points).map_err(|error| not_carried(file.fault(), error))?;
    if own.is_geographic() {
        let [west, _, east, _] = file.extent();
        turn_towards(&mut points, f64::midpoint(west, east));
    }
    let Some(inverse) = Inverse::of(&file.header.transform) else { return Ok(None) };
    let places: Vec<_> = points.iter().map(|(x, y)| inverse.cell(*x, *y)).collect();
    let span = |axis: fn(&(f64, f64)) -> f64, cells: usize, across: usize| {
        let low = places.iter().map(axis).fold(f64::INFINITY, f64::min);
        let high = places.iter().map(axis).fold(f64::NEG_INFINITY, f64::max);
        let margin = MARGIN * (1.0 + (high - low) / across as f64);
        clip(low - margin, high + margin, cells)
    };
    let cols = span(|at| at.0, file.header.cols, grid.cols());
    let rows = span(|at| at.1, file.header.rows, grid.rows());
    Ok(cols.zip(rows).map(|((col, cols), (row, rows))| Window { col, row, cols, rows }))
}

/// First cell and number of cells of a span, within a file.
fn clip(low: f64, high: f64, cells: usize) -> Option<(usize, usize)> {
    let low = low.floor().max(0.0);
    let high = high.ceil().min(cells as f64);
    (low < high).then_some((low as usize, (high - low) as usize))
}

fn lattice_of(grid: &Grid) -> Vec<(f64, f64)> {
    let step =
        |from: f64, to: f64, at: usize| from + (to - from) * at as f64 / (SAMPLES - 1) as f64;
    (0..SAMPLES * SAMPLES)
        .map(|at| {
            let x = step(grid.west(), grid.east(), at % SAMPLES);
            (x, step(grid.south(), grid.north(), at / SAMPLES))
        })
        .collect()
}

/// Turns longitudes by whole circles to lie within half a circle of a raster's middle, for
/// rasters that run across the 180th meridian or from 0 to 360.
fn turn_towards(points: &mut [(f64, f64)], middle: f64) {
    for (longitude, _) in points {
        *longitude += 360.0 * ((middle - *longitude) / 360.0).round();
    }
}

/// From map to column and row.
struct Inverse {
    origin: (f64, f64),
    matrix: [f64; 4],
}

impl Inverse {
    fn of(t: &[f64; 6]) -> Option<Self> {
        let area = t[1] * t[5] - t[2] * t[4];
        let matrix = [t[5] / area, -t[2] / area, -t[4] / area, t[1] / area];
        let sound = area != 0.0 && matrix.iter().all(|part| part.is_finite());
        sound.then_some(Self { origin: (t[0], t[3]), matrix })
    }

    fn cell(&self, x: f64, y: f64) -> (f64, f64) {
        let (dx, dy) = (x - self.origin.0, y - self.origin.1);
        let m = &self.matrix;
        (m[0] * dx + m[1] * dy, m[2] * dx + m[3] * dy)
    }
}

/// The column and row of the grid at which the file's own column 0 and northernmost row lie, when
/// the file's cells are cells of the grid.
pub(super) fn coincidence(file: &RasterFile, grid: &Grid, crs: &Crs) -> Option<(i64, i64)> {
    let own = file.header.crs.as_ref()?;
    if !file.is_upright() || !own.is_same(crs) {
        return None;
    }
    let (width, height) = file.cell_sides();
    let [west, _, _, north] = file.extent();
    let far = |one: f64, two: f64, cells: usize| (one / two - 1.0).abs() * cells as f64 > 0.01;
    if far(width, grid.cell_width(), grid.cols()) || far(height, grid.cell_height(), grid.rows()) {
        return None;
    }
    let col = (west - grid.west()) / grid.cell_width();
    let row = (grid.north() - north) / grid.cell_height();
    let whole = |place: f64| (place - place.round()).abs() < 0.01 && place.abs() < 1e15;
    (whole(col) && whole(row)).then(|| (col.round() as i64, row.round() as i64))
}

/// Lays a patch of codes on a grid: cell by cell where the two coincide, otherwise resampled.
///
/// # Errors
/// GDAL's words when it cannot.
pub(super) fn lay_codes(
    file: &RasterFile,
    patch: &Patch<i32>,
    grid: &Grid,
    crs: &Crs,
    how: Resampling,
) -> Result<Raster<i32>, Problem> {
    if let Some(offset) = coincidence(file, grid, crs) {
        return Ok(copy_cells(file, patch, grid, offset));
    }
    warp(file, Source::of(file, patch), grid, crs, how)
}

/// Lays a patch of measurements on a grid: cell by cell where the two coincide; otherwise whole
/// source cells are averaged until they are more than half as large as the grid's, and what is
/// asked for is interpolated between them. A plane comes out as the plane it was.
///
/// # Errors
/// GDAL's words when it cannot.
pub(super) fn lay_measurements(
    file: &RasterFile,
    patch: &Patch<f32>,
    grid: &Grid,
    crs: &Crs,
    how: Resampling,
) -> Result<Raster<f32>, Problem> {
    if let Some(offset) = coincidence(file, grid, crs) {
        return Ok(copy_cells(file, patch, grid, offset));
    }
    let source = Source::of(file, patch);
    let finer = if how == Resampling::Bilinear { finer_by(file, grid, crs)? } else { 1.0 };
    warp(file, source.averaged(finer.floor() as usize), grid, crs, how)
}

/// How many source cells lie side by side in a cell of the grid, at its middle.
pub(super) fn finer_by(file: &RasterFile, grid: &Grid, crs: &Crs) -> Result<f64, Problem> {
    let (x, y) =
        (f64::midpoint(grid.west(), grid.east()), f64::midpoint(grid.south(), grid.north()));
    let mut ends = [(x, y), (x + grid.cell_width(), y), (x, y - grid.cell_height())];
    crs.transform_points(file.crs()?, &mut ends)
        .map_err(|error| not_carried(file.fault(), error))?;
    let Some(inverse) = Inverse::of(&file.header.transform) else { return Ok(1.0) };
    let [at, east, south] = ends.map(|(x, y)| inverse.cell(x, y));
    let area = (east.0 - at.0) * (south.1 - at.1) - (east.1 - at.1) * (south.0 - at.0);
    Ok(area.abs().sqrt())
}

/// A patch with its own georeference.
struct Source<T> {
    cols: usize,
    rows: usize,
    transform: [f64; 6],
    cells: Vec<T>,
    hole: T,
}

impl<T: Copy> Source<T> {
    fn of(file: &RasterFile, patch: &Patch<T>) -> Self {
        let Window { col, row, cols, rows } = patch.window;
        let t = file.header.transform;
        let (x, y) = file.place(col as f64, row as f64);
        let transform = [x, t[1], t[2], y, t[4], t[5]];
        Self { cols, rows, transform, cells: patch.cells.clone(), hole: patch.hole }
    }
}

impl Source<f32> {
    /// Means of blocks of `side` × `side` cells; a block of which less than half is known is a
    /// hole, and cells that fill no block are left out at the far edges.
    fn averaged(self, side: usize) -> Self {
        let (cols, rows) = (self.cols / side.max(1), self.rows / side.max(1));
        if side < 2 || cols == 0 || rows == 0 {
            return self;
        }
        let mut cells = Vec::with_capacity(cols * rows);
        for row in 0..rows {
            for col in 0..cols {
                let block = (0..side).flat_map(|down| {
                    let first = (row * side + down) * self.cols + col * side;
                    &self.cells[first..first + side]
                });
                let known = block.filter(|cell| !cell.is_nan());
                let (sum, count) =
                    known.fold((0.0_f64, 0), |(sum, n), cell| (sum + f64::from(*cell), n + 1));
                let enough = 2 * count >= side * side;
                cells.push(if enough { (sum / count as f64) as f32 } else { f32::NAN });
            }
        }
        let [x, a, b, y, c, d] = self.transform;
        let k = side as f64;
        let transform = [x, a * k, b * k, y, c * k, d * k];
        Self { cols, rows, transform, cells, hole: self.hole }
    }
}

fn warp<T: GdalType + Copy + Into<f64>>(
    file: &RasterFile,
    source: Source<T>,
    grid: &Grid,
    crs: &Crs,
    how: Resampling,
) -> Result<Raster<T>, Problem> {
    let own = file.crs()?;
    let datasets = || {
        let target = memory_dataset::<T>(grid.cols(), grid.rows(), &transform_of(grid))?;
        let target = prepared(target, crs, source.hole)?;
        let from = memory_dataset::<T>(source.cols, source.rows, &source.transform)?;
        let from = prepared(from, own, source.hole)?;
        let size = (source.cols, source.rows);
        from.rasterband(1)?.write((0, 0), size, &mut Buffer::new(size, source.cells))?;
        Ok::<_, gdal::errors::GdalError>((from, target))
    };
    let fault =
        |reason: String| not_carried(file.fault(), format!("cannot be reprojected: {reason}"));
    let (from, target) = datasets().map_err(|error| fault(chatter::reason(&error)))?;
    reproject_image(&from, &target, how).map_err(fault)?;
    drop(from);
    let size = (grid.cols(), grid.rows());
    let read = target.rasterband(1).and_then(|band| band.read_as::<T>((0, 0), size, size, None));
    let cells = read.map_err(|error| fault(chatter::reason(&error)))?.into_shape_and_vec().1;
    Raster::new(*grid, cells).map_err(|error| fault(error.to_string()))
}

fn prepared<T: Into<f64>>(
    mut dataset: Dataset,
    crs: &Crs,
    hole: T,
) -> gdal::errors::Result<Dataset> {
    dataset.set_spatial_ref(&crs.spatial_ref()?)?;
    let hole = hole.into();
    dataset.rasterband(1)?.set_no_data_value(Some(hole))?;
    dataset.rasterband(1)?.fill(hole, None)?;
    Ok(dataset)
}

fn copy_cells<T: Copy>(
    file: &RasterFile,
    patch: &Patch<T>,
    grid: &Grid,
    (first_col, first_row): (i64, i64),
) -> Raster<T> {
    let window = patch.window;
    let mut raster = Raster::filled(*grid, patch.hole);
    for row in 0..window.rows {
        let stored = window.row + row;
        let from_north = if file.is_south_up() { file.header.rows - 1 - stored } else { stored };
        let Some(target) = within(first_row + from_north as i64, grid.rows()) else { continue };
        for col in 0..window.cols {
            if let Some(column) = within(first_col + (window.col + col) as i64, grid.cols()) {
                let at = grid.index(target, column);
                raster.cells_mut()[at] = patch.cells[row * window.cols + col];
            }
        }
    }
    raster
}

fn within(place: i64, cells: usize) -> Option<usize> {
    usize::try_from(place).ok().filter(|place| *place < cells)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::read::fixture::{Folder, Tif};

    fn nztm() -> Crs {
        Crs::from_user("EPSG:2193").unwrap()
    }

    fn laid(tif: Tif, grid: &Grid, how: Resampling) -> Raster<f32> {
        let folder = Folder::new();
        let file = RasterFile::open("elevation", &tif.write(&folder, "dem.tif")).unwrap();
        let window = window_for(&file, grid, &nztm()).unwrap().unwrap();
        let cells = file.values(window, None).unwrap();
        lay_measurements(&file, &Patch { window, cells, hole: f32::NAN }, grid, &nztm(), how)
            .unwrap()
    }

    /// Worst distance of a raster from a surface given by easting and northing.
    fn worst(raster: &Raster<f32>, surface: impl Fn(f64, f64) -> f64) -> f64 {
        let grid = *raster.grid();
        let mut worst = 0.0_f64;
        for row in 0..grid.rows() {
            for col in 0..grid.cols() {
                let (x, y) = grid.centre(row, col);
                let value = raster.get(row, col).map_or(f64::INFINITY, f64::from);
                worst = worst.max((value - surface(x, y)).abs());
            }
        }
        worst
    }

    fn plane(x: f64, y: f64) -> f64 {
        200.0 + 0.3 * (x - 1_600_000.0) - 0.2 * (y - 5_400_000.0)
    }

    #[test]
    fn coinciding_cells_are_copied_untouched_and_beyond_the_file_are_holes() {
        let grid = Grid::new(4, 3, 1_599_990.0, 5_400_010.0, 10.0, 10.0).unwrap();
        let tif = Tif::new(8, 8, 10.0).fill(|col, row| (row * 10 + col) as f64);
        let raster = laid(tif, &grid, Resampling::Bilinear);
        assert_eq!(raster.get(0, 1), None);
        assert_eq!(raster.get(1, 0), None);
        assert_eq!(raster.get(1, 1), Some(0.0));
        assert_eq!(raster.get(2, 3), Some(12.0));
    }

    #[test]
    fn a_south_up_raster_is_turned_and_not_resampled() {
        let grid = Grid::new(8, 6, 1_600_000.0, 5_400_060.0, 10.0, 10.0).unwrap();
        let tif = Tif::new(8, 6, 10.0)
            .transform([1_600_000.0, 10.0, 0.0, 5_400_000.0, 0.0, 10.0])
            .surface(plane);
        assert!(worst(&laid(tif, &grid, Resampling::Bilinear), plane) < 1e-4);
    }

    #[test]
    fn a_rotated_raster_gives_the_plane_it_was_made_from() {
        let (sin, cos) = 30.0_f64.to_radians().sin_cos();
        let tif = Tif::new(100, 100, 5.0)
            .transform([1_600_000.0, 5.0 * cos, 5.0 * sin, 5_400_000.0, 5.0 * sin, -5.0 * cos])
            .surface(plane);
        let grid = Grid::new(10, 10, 1_600_300.0, 5_399_900.0, 10.0, 10.0).unwrap();
        assert!(worst(&laid(tif, &grid, Resampling::Bilinear), plane) < 0.02);
    }

    #[test]
    fn a_raster_in_degrees_gives_the_plane_it_was_made_from() {
        // A plane in metres, sampled at the centres of cells in degrees.
        let degrees = Crs::from_user("EPSG:4326").unwrap();
        let step = 0.0001;
        let mut centres: Vec<_> = (0..150 * 150)
            .map(|at| (f64::from(at % 150) + 0.5, f64::from(at / 150) + 0.5))
            .map(|(col, row)| (172.999 + col * step, -41.545 - row * step))
            .collect();
        degrees.transform_points(&nztm(), &mut centres).unwrap();
        let tif = Tif::new(150, 150, step)
            .transform([172.999, step, 0.0, -41.545, 0.0, -step])
            .crs("EPSG:4326")
            .cells(centres.iter().map(|(x, y)| plane(*x, *y) as f32).collect());
        let grid = Grid::new(50, 50, 1_600_200.0, 5_399_900.0, 10.0, 10.0).unwrap();
        assert!(worst(&laid(tif, &grid, Resampling::Bilinear), plane) < 0.02);
    }

    #[test]
    fn much_finer_cells_are_averaged_and_a_plane_stays_a_plane() {
        // Stripes of ±1 m in every other row: a sample of single cells would keep them.
        let tif = Tif::new(600, 600, 1.0).fill(|col, row| {
            let (x, y) = (1_600_000.5 + col as f64, 5_399_999.5 - row as f64);
            plane(x, y) + if row % 2 == 0 { 1.0 } else { -1.0 }
        });
        let grid = Grid::new(50, 50, 1_600_023.0, 5_399_978.0, 10.7, 10.7).unwrap();
        assert!(worst(&laid(tif, &grid, Resampling::Bilinear), plane) < 0.01);
    }

    #[test]
    fn holes_stay_holes_when_resampled() {
        let tif = Tif::new(40, 40, 10.0).nodata(-9999.0).fill(|col, row| {
            if (10..20).contains(&col) && (10..20).contains(&row) { -9999.0 } else { 300.0 }
        });
        let grid = Grid::new(50, 50, 1_600_020.0, 5_399_980.0, 7.0, 7.0).unwrap();
        let raster = laid(tif, &grid, Resampling::Bilinear);
        assert_eq!(raster.get(18, 18), None);
        assert!(raster.cells().iter().all(|value| value.is_nan() || (value - 300.0).abs() < 1e-3));
    }

    #[test]
    fn a_raster_across_the_antimeridian_is_read_on_both_sides() {
        let polar = Crs::from_user("EPSG:3832").unwrap();
        let step = 0.001;
        let folder = Folder::new();
        let path = Tif::new(200, 100, step)
            .transform([179.9, step, 0.0, -43.9, 0.0, -step])
            .crs("EPSG:4326")
            .surface(|x, _| (x - 179.9) * 1000.0)
            .write(&folder, "dem.tif");
        let file = RasterFile::open("elevation", &path).unwrap();
        // 180° east in EPSG:3832, whose middle is 150° east.
        let middle = 30.0_f64.to_radians() * 6_378_137.0;
        let mut place = [(180.0, -43.95)];
        Crs::from_user("EPSG:4326").unwrap().transform_points(&polar, &mut place).unwrap();
        let grid = Grid::new(100, 10, middle - 5_000.0, place[0].1, 100.0, 100.0).unwrap();
        let window = window_for(&file, &grid, &polar).unwrap().unwrap();
        let cells = file.values(window, None).unwrap();
        let patch = Patch { window, cells, hole: f32::NAN };
        let raster = lay_measurements(&file, &patch, &grid, &polar, Resampling::Bilinear).unwrap();
        for col in [2, 30, 49, 50, 70, 97] {
            let x = grid.centre(5, col).0;
            let longitude = 150.0 + (x / 6_378_137.0).to_degrees();
            let value = f64::from(raster.get(5, col).unwrap());
            assert!((value - (longitude - 179.9) * 1000.0).abs() < 0.1, "{col}: {value}");
        }
    }

    #[test]
    fn the_most_frequent_class_wins_and_is_never_mixed() {
        // Each 10 m cell holds 25 cells of 2 m: class 7 in one row of five, class 3 elsewhere.
        let tif = Tif::new(50, 50, 2.0).fill(|_, row| if row % 5 == 2 { 7.0 } else { 3.0 });
        let grid = Grid::new(10, 10, 1_600_000.0, 5_400_000.0, 10.0, 10.0).unwrap();
        let raster = laid(tif, &grid, Resampling::Mode);
        assert!(raster.cells().iter().all(|value| *value == 3.0));
    }
}
