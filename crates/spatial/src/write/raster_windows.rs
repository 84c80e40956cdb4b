//! Rasters written a window at a time, and read back where a later step needs them.

use std::path::{Path, PathBuf};
use std::sync::{Mutex, PoisonError};

use gdal::errors::GdalError;
use gdal::raster::RasterCreationOptions;
use gdal::spatial_ref::SpatialRef;
use gdal::{Dataset, DriverManager};
use terrain::{Grid, Sink, Source, Window};

use super::gdal_problem::{crs_problem, whole_step};
use super::overviews::{begin, put};
use super::raster::{Cell, TILE, describe_band, finish_image, place_on};
use crate::problem::Problem;

/// A raster on its way: plain tiles on the disk until [`RasterWindows::finish`] makes the
/// cloud-optimised file of them.
///
/// Memory: GDAL's block cache alone, whatever the size.
pub struct RasterWindows<T> {
    plain: Mutex<Plain>,
    grid: Grid,
    path: PathBuf,
    cell: std::marker::PhantomData<fn(T)>,
}

impl<T: Cell> RasterWindows<T> {
    /// Begins a raster of holes at a path that is to be taken away afterwards.
    ///
    /// # Errors
    /// When the coordinate system is not understood or the disk refuses.
    pub fn begin(
        path: &Path,
        grid: &Grid,
        crs_wkt: &str,
        description: &str,
        unit: &str,
    ) -> Result<Self, Problem> {
        let crs = SpatialRef::from_definition(crs_wkt)
            .map_err(|error| crs_problem(path, crs_wkt, &error))?;
        let made = || -> Result<Dataset, GdalError> {
            let tile = TILE.to_string();
            let options = RasterCreationOptions::from_iter([
                "TILED=YES",
                "BIGTIFF=IF_SAFER",
                "SPARSE_OK=TRUE",
                &format!("BLOCKXSIZE={tile}"),
                &format!("BLOCKYSIZE={tile}"),
            ]);
            let driver = DriverManager::get_driver_by_name("GTiff")?;
            let (cols, rows) = (grid.cols(), grid.rows());
            let mut dataset =
                driver.create_with_band_type_with_options::<T, _>(path, cols, rows, 1, &options)?;
            place_on(&mut dataset, grid, &crs)?;
            describe_band::<T>(&mut dataset.rasterband(1)?, description, unit)?;
            begin(&mut dataset, grid)?;
            Ok(dataset)
        };
        let mut plain = Plain(None);
        plain.step(path, |dataset| {
            *dataset = Some(made()?);
            Ok(())
        })?;
        let (grid, path) = (*grid, path.to_path_buf());
        Ok(Self { plain: Mutex::new(plain), grid, path, cell: std::marker::PhantomData })
    }

    /// Takes a window's cells, row by row.
    ///
    /// # Errors
    /// When the disk refuses.
    pub fn put(&self, window: Window, cells: &[T]) -> Result<(), Problem> {
        let mut plain = self.plain.lock().unwrap_or_else(PoisonError::into_inner);
        plain.step(&self.path, |dataset| put(&mut open(dataset)?.rasterband(1)?, window, cells))
    }

    /// Makes the cloud-optimised file and takes the plain one away.
    ///
    /// # Errors
    /// When the disk refuses.
    pub fn finish(self, path: &Path) -> Result<(), Problem> {
        let mut plain = self.plain.into_inner().unwrap_or_else(PoisonError::into_inner);
        plain.step(&self.path, |dataset| open(dataset)?.flush_cache())?;
        if let Some(dataset) = &plain.0 {
            finish_image(path, dataset)?;
        }
        drop(plain);
        let removed = std::fs::remove_file(&self.path);
        removed.map_err(|error| Problem::of_working_file(&self.path, &error))
    }
}

/// The plain tiles, open for writing.
struct Plain(Option<Dataset>);

impl Plain {
    /// Takes a step. After one that failed the file is let go of without being closed: the library behind GDAL may run in
    /// circles over a directory that it could not write, and the file goes with its folder in any case.
    fn step<T>(
        &mut self,
        path: &Path,
        work: impl FnOnce(&mut Option<Dataset>) -> Result<T, GdalError>,
    ) -> Result<T, Problem> {
        let outcome = whole_step(path, "raster", || work(&mut self.0));
        if outcome.is_err() {
            std::mem::forget(self.0.take());
        }
        outcome
    }
}

fn open(dataset: &mut Option<Dataset>) -> Result<&mut Dataset, GdalError> {
    dataset.as_mut().ok_or_else(|| GdalError::BadArgument("a file that failed before".to_owned()))
}

impl Sink for RasterWindows<f32> {
    type Error = Problem;

    fn write(&self, window: Window, cells: &[f32]) -> Result<(), Problem> {
        self.put(window, cells)
    }
}

impl Source for RasterWindows<f32> {
    type Error = Problem;

    fn grid(&self) -> &Grid {
        &self.grid
    }

    fn read(&self, window: Window, cells: &mut [f32]) -> Result<(), Problem> {
        let mut plain = self.plain.lock().unwrap_or_else(PoisonError::into_inner);
        let (from, size) = ((window.col as isize, window.row as isize), (window.cols, window.rows));
        // Blocks that were put and are pushed out to make room for these are written now.
        plain.step(&self.path, |dataset| {
            open(dataset)?.rasterband(1)?.read_into_slice::<f32>(from, size, size, cells, None)
        })
    }
}

#[cfg(test)]
mod tests {
    use super::super::raster::write_raster;
    use super::*;
    use gdal::Metadata;
    use terrain::{Raster, Tiling};

    #[test]
    fn windows_come_back_and_make_the_same_file_as_a_whole() {
        let room = tempfile::tempdir().unwrap();
        let grid = Grid::new(2101, 1203, 1_800_000.0, 5_600_000.0, 2.0, 2.5).unwrap();
        let whole = Raster::from_fn(grid, |row, col| {
            if (row + col) % 7 == 3 { f32::NAN } else { row as f32 * 0.37 + col as f32 }
        });
        let plain = room.path().join("plain.tif");
        let windows = RasterWindows::<f32>::begin(&plain, &grid, "EPSG:2193", "x", "m").unwrap();
        let tiling = Tiling::new(&grid, 300);
        for tile in 0..tiling.count() {
            let window = tiling.window(tile);
            let mut cells = vec![0.0; window.len()];
            whole.read(window, &mut cells).unwrap();
            windows.write(window, &cells).unwrap();
        }
        let window = Window { row: 290, col: 250, rows: 40, cols: 90 };
        let (mut back, mut expected) = (vec![0.0; window.len()], vec![0.0; window.len()]);
        Source::read(&windows, window, &mut back).unwrap();
        whole.read(window, &mut expected).unwrap();
        assert_eq!(bits(&back), bits(&expected));

        let path = room.path().join("x.tif");
        windows.finish(&path).unwrap();
        assert!(!plain.exists());
        let image = Dataset::open(&path).unwrap();
        let read = image.rasterband(1).unwrap().read_band_as::<f32>().unwrap();
        assert_eq!(bits(read.data()), bits(whole.cells()));
        let layout = image.metadata_item("LAYOUT", "IMAGE_STRUCTURE");
        assert_eq!(layout.as_deref(), Some("COG"));
        assert_eq!(image.rasterband(1).unwrap().unit(), "m");
        assert_eq!(image.rasterband(1).unwrap().overview_count().unwrap(), 3);
        // Overviews too, though sides are not halved evenly.
        let at_once = room.path().join("at_once.tif");
        write_raster(&at_once, &whole, "EPSG:2193", "x", "m").unwrap();
        let expected = Dataset::open(&at_once).unwrap();
        for level in 0..3 {
            let cells = |image: &Dataset| {
                let overview = image.rasterband(1).unwrap().overview(level).unwrap();
                let read = overview.read_band_as::<f32>().unwrap();
                (read.shape(), bits(read.data()))
            };
            assert!(cells(&image) == cells(&expected), "overview {level}");
        }
    }

    fn bits(cells: &[f32]) -> Vec<u32> {
        cells.iter().map(|cell| if cell.is_nan() { u32::MAX } else { cell.to_bits() }).collect()
    }
}
