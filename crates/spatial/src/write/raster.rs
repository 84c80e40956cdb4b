//! Rasters as tiled, compressed, cloud-optimised `GeoTIFF` files.
//!
//! Source: Open Geospatial Consortium 2023, "OGC Cloud Optimized GeoTIFF Standard", version 1.0
//! (number from memory): tiles, overviews before the full image, one file.

use std::ffi::CString;
use std::path::Path;

use gdal::cpl::CslStringList;
use gdal::errors::GdalError;
use gdal::raster::{GdalType, RasterBand};
use gdal::spatial_ref::SpatialRef;
use gdal::{Dataset, DriverManager, Metadata};
use terrain::{Grid, Raster, Window};

use super::gdal_problem::{crs_problem, gdal_problem, step_refused};
use super::overviews;
use crate::problem::Problem;

/// A kind of cell that can be written.
pub trait Cell: GdalType + Copy {
    /// Value that stands for a hole.
    ///
    /// NaN for measures: a reader that overlooks the declaration still meets a hole, where −9999
    /// would be a cliff. The largest whole number for classes, as 0 is a class.
    const HOLE: f64;
}

impl Cell for f32 {
    const HOLE: f64 = f64::NAN;
}

impl Cell for u8 {
    const HOLE: f64 = u8::MAX as f64;
}

impl Cell for u32 {
    const HOLE: f64 = u32::MAX as f64;
}

/// Side of a tile, cells.
pub(super) const TILE: usize = 512;

/// Writes a raster as a cloud-optimised GeoTIFF: tiles of 512 cells, DEFLATE (which every reader
/// has), a predictor for the type, overviews.
///
/// An overview cell is a measured cell, never a mixture: the mean of two aspects either side of north
/// would point south, and the mean of a channel and its banks is neither.
///
/// `crs_wkt`: WKT or `EPSG:code`; easting comes first. `unit`: of the cells, such as `m`.
///
/// # Errors
/// When the coordinate system is not understood or the disk refuses.
pub fn write_raster<T: Cell>(
    path: &Path,
    raster: &Raster<T>,
    crs_wkt: &str,
    description: &str,
    unit: &str,
) -> Result<(), Problem> {
    let crs =
        SpatialRef::from_definition(crs_wkt).map_err(|error| crs_problem(path, crs_wkt, &error))?;
    let image = in_memory(raster, &crs, description, unit)
        .map_err(|error| gdal_problem(path, "raster", &error))?;
    finish_image(path, &image)
}

/// Writes the file of an image that has all its cells.
pub(super) fn finish_image(path: &Path, image: &Dataset) -> Result<(), Problem> {
    write_image(path, image, &options()).map_err(|error| gdal_problem(path, "raster", &error))?;
    check(path, image)
}

/// Says where an image lies.
pub(super) fn place_on(
    image: &mut Dataset,
    grid: &Grid,
    crs: &SpatialRef,
) -> Result<(), GdalError> {
    image.set_spatial_ref(crs)?;
    let (width, height) = (grid.cell_width(), grid.cell_height());
    image.set_geo_transform(&[grid.west(), width, 0.0, grid.north(), 0.0, -height])
}

fn in_memory<T: Cell>(
    raster: &Raster<T>,
    crs: &SpatialRef,
    description: &str,
    unit: &str,
) -> Result<Dataset, GdalError> {
    let grid = raster.grid();
    let driver = DriverManager::get_driver_by_name("MEM")?;
    let mut image = driver.create_with_band_type::<T, _>("", grid.cols(), grid.rows(), 1)?;
    place_on(&mut image, grid, crs)?;
    overviews::begin(&mut image, grid)?;
    fill_band(&mut image.rasterband(1)?, raster, description, unit)?;
    Ok(image)
}

fn fill_band<T: Cell>(
    band: &mut RasterBand<'_>,
    raster: &Raster<T>,
    description: &str,
    unit: &str,
) -> Result<(), GdalError> {
    describe_band::<T>(band, description, unit)?;
    let cols = raster.grid().cols();
    for (strip, cells) in raster.cells().chunks(cols * TILE).enumerate() {
        let window = Window { row: strip * TILE, col: 0, rows: cells.len() / cols, cols };
        overviews::put(band, window, cells)?;
    }
    Ok(())
}

/// Says what the cells of a band mean, and which of them are holes.
pub(super) fn describe_band<T: Cell>(
    band: &mut RasterBand<'_>,
    description: &str,
    unit: &str,
) -> Result<(), GdalError> {
    band.set_no_data_value(Some(T::HOLE))?;
    band.set_description(description)?;
    set_unit(band, unit)
}

/// Declares the unit of a band's cells, which the safe bindings can only read.
#[expect(unsafe_code, reason = "GDALSetRasterUnitType has no safe binding")]
fn set_unit(band: &mut RasterBand<'_>, unit: &str) -> Result<(), GdalError> {
    let unit = CString::new(unit)?;
    // SAFETY: the band is open and borrowed for the call; GDAL copies the text.
    let result = unsafe { gdal_sys::GDALSetRasterUnitType(band.c_rasterband(), unit.as_ptr()) };
    if result == gdal_sys::CPLErr::CE_None {
        Ok(())
    } else {
        Err(GdalError::BadArgument(format!("the unit {} was refused", unit.to_string_lossy())))
    }
}

/// Level 1 with the predictor: level 6 took 2.9 times as long to save 3 % on ten million cells of
/// rolling ground; ZSTD took half to nine tenths of the time, but not every reader has it.
fn options() -> Vec<(&'static str, String)> {
    vec![
        ("COMPRESS", "DEFLATE".to_owned()),
        ("LEVEL", "1".to_owned()),
        ("PREDICTOR", "YES".to_owned()),
        ("BLOCKSIZE", TILE.to_string()),
        ("OVERVIEWS", "AUTO".to_owned()),
        ("OVERVIEW_RESAMPLING", "NEAREST".to_owned()),
        ("BIGTIFF", "IF_SAFER".to_owned()),
        ("NUM_THREADS", rayon::current_num_threads().to_string()),
    ]
}

fn write_image(path: &Path, image: &Dataset, options: &[(&str, String)]) -> Result<(), GdalError> {
    let mut list = CslStringList::new();
    for (name, value) in options {
        list.set_name_value(name, value)?;
    }
    let driver = DriverManager::get_driver_by_name("COG")?;
    image.create_copy(&driver, path, &list)?.close()
}

/// Opens the file and holds every cell and overview to the image that it was made from: GDAL before 3.7 reports no error
/// when a file cannot be closed, and a write that fails within is not always told.
fn check(path: &Path, image: &Dataset) -> Result<(), Problem> {
    let same = || -> Result<bool, GdalError> {
        let file = Dataset::open(path)?;
        let (made, read) = (image.rasterband(1)?, file.rasterband(1)?);
        // What tells readers that it is laid out for them is lost by itself where its write fails.
        let layout = file.metadata_item("LAYOUT", "IMAGE_STRUCTURE");
        let mut same = layout.as_deref() == Some("COG") && same_cells(&made, &read)?;
        for level in 0..made.overview_count()?.min(read.overview_count()?) {
            let at = level as usize;
            same = same && same_cells(&made.overview(at)?, &read.overview(at)?)?;
        }
        Ok(same && made.overview_count()? == read.overview_count()?)
    };
    match same() {
        Ok(true) => Ok(()),
        Ok(false) => Err(step_refused(
            path,
            "reading back",
            "other cells, or another layout, than were written".to_owned(),
        )),
        Err(error) => Err(gdal_problem(path, "reading back", &error)),
    }
}

/// Cells that are compared in one go.
const COMPARED: usize = 1 << 20;

/// Whether two bands of one size hold the same; a hole is the same as a hole.
fn same_cells(made: &RasterBand<'_>, read: &RasterBand<'_>) -> Result<bool, GdalError> {
    let (cols, rows) = made.size();
    if read.size() != (cols, rows) {
        return Ok(false);
    }
    let strip = (COMPARED / cols).clamp(1, rows);
    for first in (0..rows).step_by(strip) {
        let (from, size) = ((0, first as isize), (cols, strip.min(rows - first)));
        let [made, read] = [made, read].map(|band| band.read_as::<f64>(from, size, size, None));
        let (made, read) = (made?, read?);
        let same = |(made, read): (&f64, &f64)| {
            made.to_bits() == read.to_bits() || made.is_nan() && read.is_nan()
        };
        if !made.data().iter().zip(read.data()).all(same) {
            return Ok(false);
        }
    }
    Ok(true)
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    const CRS: &str = "EPSG:2193";

    fn measures(cols: usize, rows: usize) -> Raster<f32> {
        let grid = Grid::new(cols, rows, 1_800_000.0, 5_600_000.0, 2.0, 2.5).unwrap();
        Raster::from_fn(grid, |row, col| {
            let hole = (row + col) % 7 == 3;
            if hole { f32::NAN } else { (row as f32 * 0.37).sin() * 40.0 + col as f32 * 0.01 }
        })
    }

    fn read<T: Cell>(path: &Path) -> Vec<T> {
        let image = Dataset::open(path).unwrap();
        image.rasterband(1).unwrap().read_band_as::<T>().unwrap().into_shape_and_vec().1
    }

    #[test]
    fn a_file_with_a_cell_too_high_or_without_its_layout_is_noticed() {
        let room = tempfile::tempdir().unwrap();
        let path = room.path().join("slope_deg.tif");
        let crs = SpatialRef::from_definition(CRS).unwrap();
        let raster = measures(1300, 700);
        write_raster(&path, &raster, CRS, "", "m").unwrap();
        let image = in_memory(&raster, &crs, "", "m").unwrap();
        check(&path, &image).unwrap();
        let mut cells = raster.cells().to_vec();
        cells[600 * 1300 + 700] += 1.0;
        let other = Raster::new(*raster.grid(), cells).unwrap();
        let other = in_memory(&other, &crs, "", "m").unwrap();
        assert!(check(&path, &other).unwrap_err().found.contains("other cells"));
        let plain = DriverManager::get_driver_by_name("GTiff").unwrap();
        image.create_copy(&plain, &path, &CslStringList::new()).unwrap().close().unwrap();
        assert!(check(&path, &image).is_err());
    }

    /// Cells as bits, so that a hole equals a hole.
    fn bits(cells: &[f32]) -> Vec<u32> {
        cells.iter().map(|cell| if cell.is_nan() { u32::MAX } else { cell.to_bits() }).collect()
    }

    #[test]
    fn cells_holes_and_place_come_back() {
        let room = tempfile::tempdir().unwrap();
        let path = room.path().join("slope_deg.tif");
        let raster = measures(1300, 700);
        write_raster(&path, &raster, CRS, "slope of the mānuka face", "degrees").unwrap();
        assert_eq!(bits(&read::<f32>(&path)), bits(raster.cells()));
        let image = Dataset::open(&path).unwrap();
        let place = image.geo_transform().unwrap().map(f64::to_bits);
        assert_eq!(place, [1_800_000.0, 2.0, 0.0, 5_600_000.0, 0.0, -2.5].map(f64::to_bits));
        assert_eq!(image.spatial_ref().unwrap().auth_code().unwrap(), 2193);
        let band = image.rasterband(1).unwrap();
        assert!(band.no_data_value().unwrap().is_nan());
        assert_eq!(band.unit(), "degrees");
        assert_eq!(band.description().unwrap(), "slope of the mānuka face");
    }

    #[test]
    fn it_is_tiled_compressed_and_has_overviews() {
        let room = tempfile::tempdir().unwrap();
        let path = room.path().join("filled_m.tif");
        write_raster(&path, &measures(1300, 700), CRS, "", "m").unwrap();
        let image = Dataset::open(&path).unwrap();
        let structure = |key| image.metadata_item(key, "IMAGE_STRUCTURE");
        assert_eq!(structure("LAYOUT").as_deref(), Some("COG"));
        assert_eq!(structure("COMPRESSION").as_deref(), Some("DEFLATE"));
        let band = image.rasterband(1).unwrap();
        assert_eq!(band.block_size(), (TILE, TILE));
        assert!(band.overview_count().unwrap() >= 1);
        let files: Vec<_> = std::fs::read_dir(room.path()).unwrap().collect();
        assert_eq!(files.len(), 1, "no side file");
    }

    #[test]
    fn an_overview_cell_is_a_measured_cell() {
        let room = tempfile::tempdir().unwrap();
        let path = room.path().join("aspect_deg.tif");
        let raster = measures(1300, 700)
            .map(|value| if value.is_nan() || *value < 0.0 { 359.0 } else { 1.0 });
        write_raster(&path, &raster, CRS, "", "degrees").unwrap();
        let image = Dataset::open(&path).unwrap();
        let overview = image.rasterband(1).unwrap().overview(0).unwrap();
        let cells = overview.read_band_as::<f32>().unwrap();
        assert!(cells.data().iter().all(|cell| [1.0, 359.0].contains(cell)));
    }

    #[test]
    fn classes_come_back() {
        let room = tempfile::tempdir().unwrap();
        let path = room.path().join("class.tif");
        let grid = Grid::new(40, 30, 0.0, 0.0, 5.0, 5.0).unwrap();
        let small = Raster::from_fn(grid, |row, col| (row * col % 250) as u8);
        write_raster(&path, &small, CRS, "", "").unwrap();
        assert_eq!(read::<u8>(&path), small.cells());
        let large = small.map(|class| u32::from(*class) * 70_000);
        write_raster(&path, &large, CRS, "", "").unwrap();
        assert_eq!(read::<u32>(&path), large.cells());
        assert_eq!(
            Dataset::open(&path).unwrap().rasterband(1).unwrap().no_data_value(),
            Some(u32::HOLE)
        );
    }

    #[test]
    fn a_crs_or_a_place_that_cannot_be_is_named() {
        let raster = measures(3, 3);
        let room = tempfile::tempdir().unwrap();
        let path = room.path().join("missing/slope_deg.tif");
        let refused = write_raster(&path, &raster, CRS, "", "m").unwrap_err();
        assert_eq!(refused.file.as_deref(), Some(path.as_path()));
        let path = room.path().join("slope_deg.tif");
        let refused = write_raster(&path, &raster, "no such system", "", "m").unwrap_err();
        assert!(refused.found.contains("no such system"));
        assert!(!path.exists());
    }

    #[test]
    fn a_file_cut_short_is_noticed() {
        let room = tempfile::tempdir().unwrap();
        let path = room.path().join("slope_deg.tif");
        let raster = measures(1300, 700);
        write_raster(&path, &raster, CRS, "", "m").unwrap();
        let bytes = std::fs::read(&path).unwrap();
        std::fs::write(&path, &bytes[..bytes.len() - 100]).unwrap();
        let crs = SpatialRef::from_definition(CRS).unwrap();
        let image = in_memory(&raster, &crs, "", "m").unwrap();
        assert!(check(&path, &image).is_err());
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(24))]
        #[test]
        fn every_size_comes_back(cols in 1_usize..40, rows in 1_usize..40) {
            let room = tempfile::tempdir().unwrap();
            let path = room.path().join("cells.tif");
            let raster = measures(cols, rows);
            write_raster(&path, &raster, CRS, "", "m").unwrap();
            prop_assert_eq!(bits(&read::<f32>(&path)), bits(raster.cells()));
        }
    }

    /// Not a check: prints time and size by codec setting on ten million cells. Run with
    /// `cargo test -p spatial --release -- --ignored --nocapture codecs`.
    #[test]
    #[ignore = "a measurement"]
    fn by_hand_codecs_measured_side_by_side() {
        let room = tempfile::tempdir().unwrap();
        let grid = Grid::new(4000, 2500, 1_800_000.0, 5_600_000.0, 2.0, 2.0).unwrap();
        let raster = Raster::from_fn(grid, |row, col| {
            let (x, y) = (col as f32 * 0.01, row as f32 * 0.01);
            let rough = (((row * 7919 + col * 104_729) % 1000) as f32) * 1e-4;
            300.0
                + 120.0 * x.sin() * (y * 0.7).cos()
                + 15.0 * (x * 9.1).sin() * (y * 8.3).sin()
                + rough
        });
        let crs = SpatialRef::from_definition(CRS).unwrap();
        let clock = std::time::Instant::now();
        let image = in_memory(&raster, &crs, "", "m").unwrap();
        println!("into memory {:?}", clock.elapsed());
        for (codec, level, predictor) in [
            ("NONE", "", "NO"),
            ("DEFLATE", "1", "NO"),
            ("DEFLATE", "1", "YES"),
            ("DEFLATE", "3", "YES"),
            ("DEFLATE", "6", "YES"),
            ("ZSTD", "1", "YES"),
        ] {
            for overviews in ["AUTO", "IGNORE_EXISTING"] {
                let mut settings = options();
                settings.retain(|(key, _)| {
                    !["COMPRESS", "LEVEL", "PREDICTOR", "OVERVIEWS"].contains(key)
                });
                settings.extend([
                    ("COMPRESS", codec.to_owned()),
                    ("PREDICTOR", predictor.to_owned()),
                    ("OVERVIEWS", overviews.to_owned()),
                ]);
                if !level.is_empty() {
                    settings.push(("LEVEL", level.to_owned()));
                }
                let path = room.path().join("measured.tif");
                let clock = std::time::Instant::now();
                write_image(&path, &image, &settings).unwrap();
                let wrote = clock.elapsed();
                let clock = std::time::Instant::now();
                assert_eq!(read::<f32>(&path).len(), raster.cells().len());
                println!(
                    "{codec:8} {level:2} predictor {predictor:4} overviews {overviews:15} write {wrote:8.1?} read {:8.1?} {:.1} MB",
                    clock.elapsed(),
                    std::fs::metadata(&path).unwrap().len() as f64 / 1e6
                );
            }
        }
    }
}
