//! Writes an invented elevation raster of any size, a strip at a time: material for timing.
//!
//! `cargo run --release --example make_dem -p hillweave -- --cols N --rows N [--cell M] [--seed S]
//! [--round M] -o FILE`
//!
//! A tiled, uncompressed float32 GeoTIFF in EPSG:2193 (New Zealand Transverse Mercator), whose
//! place means nothing. The same seed gives the same heights at the same distance from the
//! north-west corner, whatever the size: a small raster is the corner of a big one.

#[path = "../../../terrain/benches/fractal/country.rs"]
mod country;
mod options;

use std::error::Error;
use std::path::Path;

use country::Country;
use gdal::raster::{Buffer, RasterCreationOptions};
use gdal::spatial_ref::SpatialRef;
use gdal::{Dataset, DriverManager};
use options::Options;
use rayon::prelude::*;

/// Side of the tiles in the file; strips are as high.
const TILE: usize = 256;

fn main() -> Result<(), Box<dyn Error>> {
    let options = Options::parse(std::env::args().skip(1))?;
    let dataset = create(&options)?;
    let country = Country::new(options.seed, options.cell_m, options.round_m);
    let mut band = dataset.rasterband(1)?;
    band.set_no_data_value(Some(-9999.0))?;
    for first in (0..options.rows).step_by(TILE) {
        let rows = TILE.min(options.rows - first);
        let mut cells = vec![0.0_f32; rows * options.cols];
        cells
            .par_chunks_mut(options.cols)
            .enumerate()
            .for_each(|(row, heights)| country.row(first + row, heights));
        let mut strip = Buffer::new((options.cols, rows), cells);
        band.write((0, first as isize), (options.cols, rows), &mut strip)?;
    }
    Ok(dataset.close()?)
}

fn create(options: &Options) -> Result<Dataset, Box<dyn Error>> {
    let side = TILE.to_string();
    let layout = RasterCreationOptions::from_iter([
        "TILED=YES".to_owned(),
        format!("BLOCKXSIZE={side}"),
        format!("BLOCKYSIZE={side}"),
        "BIGTIFF=IF_SAFER".to_owned(),
    ]);
    let Options { cols, rows, cell_m, file, .. } = options;
    let driver = DriverManager::get_driver_by_name("GTiff")?;
    let mut dataset = driver.create_with_band_type_with_options::<f32, _>(
        Path::new(file),
        *cols,
        *rows,
        1,
        &layout,
    )?;
    dataset.set_geo_transform(&[1_600_000.0, *cell_m, 0.0, 5_600_000.0, 0.0, -cell_m])?;
    dataset.set_spatial_ref(&SpatialRef::from_epsg(2193)?)?;
    Ok(dataset)
}
