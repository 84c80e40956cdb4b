//! Makes the layers of the invented property under `sample-layers/` from a seed.
//!
//! `cargo run --release --example make_sample_layers -p hillweave [-- DIR [SEED]]`
//!
//! Nothing in it is measured: hills are carved by a model of running water and creep, then slipped,
//! channelled, covered, fenced and tracked. The same seed gives the same bytes with the same
//! versions of GDAL and of the compiler. Takes a minute or two.

mod boundary;
mod cover;
mod drainage;
mod erosion;
mod features;
mod field;
mod ground;
mod landform;
mod layers;
mod noise;
mod paths;
mod pond;
mod slips;
mod soil;
mod streams;
mod valley;

use std::error::Error;
use std::io::Write;
use std::path::{Path, PathBuf};

use gdal::vector::FieldValue;
use gdal::vector::OGRFieldType::{OFTReal, OFTString};
use gdal::vector::OGRwkbGeometryType::{wkbLineString, wkbMultiPolygon, wkbPoint, wkbPolygon};
use geo::{Area, Polygon};

use ground::Ground;
use landform::Landform;
use layers::{Package, on_map, write_raster};
use streams::Stream;

/// The seed of the committed layers.
const SEED: u64 = 20_250_701;

fn main() -> Result<(), Box<dyn Error>> {
    let mut arguments = std::env::args().skip(1);
    let home = || Path::new(env!("CARGO_MANIFEST_DIR")).join("../../sample-layers");
    let folder = arguments.next().map_or_else(home, PathBuf::from);
    let seed = arguments.next().map_or(Ok(SEED), |text| text.parse())?;
    let ground = Ground::new(seed);
    let landform = Landform::new(&ground);
    std::fs::create_dir_all(&folder)?;
    write_rasters(&folder, &ground, &landform, seed)?;
    let boundary = write_package(&folder.join("property.gpkg"), &ground, &landform, seed)?;
    let hectares = boundary.unsigned_area() / 10_000.0;
    let vertices = boundary.exterior().0.len() - 1;
    writeln!(
        std::io::stderr(),
        "{}: {hectares:.1} ha within {vertices} boundary points, {} slips",
        folder.display(),
        ground.slips.len()
    )?;
    Ok(())
}

fn write_rasters(
    folder: &Path,
    ground: &Ground,
    landform: &Landform,
    seed: u64,
) -> Result<(), Box<dyn Error>> {
    let elevation = &ground.elevation;
    let metres: Vec<f32> = elevation.values.iter().map(|&z| z as f32).collect();
    write_raster(&folder.join("elevation_m.tif"), elevation, metres, -9999.0, "3")?;
    let codes: Vec<u8> =
        cover::cover(ground, landform, seed).into_iter().map(|cover| cover as u8).collect();
    write_raster(&folder.join("cover.tif"), elevation, codes, 0.0, "1")?;
    Ok(())
}

/// Writes the vector layers; returns the boundary.
fn write_package(
    file: &Path,
    ground: &Ground,
    landform: &Landform,
    seed: u64,
) -> Result<Polygon, Box<dyn Error>> {
    let streams = streams::trace_streams(ground);
    let boundary = boundary::survey(ground, landform, &streams::main_stream(&streams));
    let mut package = Package::create(file)?;
    add_boundary(&mut package, &boundary)?;
    add_streams(&mut package, &streams)?;
    add_features(&mut package, ground, landform)?;
    let mut rows = Vec::new();
    for (code, shape) in soil::map_soil(ground, landform, seed)? {
        rows.push((on_map(&shape)?, vec![text(code)]));
    }
    package.add("soil", wkbMultiPolygon, &[("drainage", OFTString)], rows)?;
    package.close()?;
    Ok(boundary)
}

/// The boundary as a polygon and, for distances from the fence, as a line.
fn add_boundary(package: &mut Package, boundary: &Polygon) -> gdal::errors::Result<()> {
    let row = (on_map(boundary)?, vec![text("Kestrel Fold")]);
    package.add("boundary", wkbPolygon, &[("name", OFTString)], vec![row])?;
    let row = (on_map(boundary.exterior())?, vec![text("boundary")]);
    package.add("boundary_line", wkbLineString, &[("kind", OFTString)], vec![row])
}

/// Streams; one without a name leaves the last field empty.
fn add_streams(package: &mut Package, streams: &[Stream]) -> gdal::errors::Result<()> {
    let mut rows = Vec::new();
    for stream in streams {
        let values = std::iter::once(metres(stream.width_m)).chain(stream.name.map(text));
        rows.push((on_map(&stream.line)?, values.collect()));
    }
    package.add("streams", wkbLineString, &[("width_m", OFTReal), ("name", OFTString)], rows)
}

/// Tracks, the power line and the recorded site.
fn add_features(
    package: &mut Package,
    ground: &Ground,
    landform: &Landform,
) -> gdal::errors::Result<()> {
    let mut rows = Vec::new();
    for track in features::lay_tracks(ground, landform) {
        rows.push((on_map(&track.line)?, vec![text(track.name), metres(track.width_m)]));
    }
    package.add("tracks", wkbLineString, &[("name", OFTString), ("width_m", OFTReal)], rows)?;
    let line = features::string_power_line(ground);
    let row = (on_map(&line)?, vec![text("distribution, 11 kV")]);
    package.add("power_line", wkbLineString, &[("kind", OFTString)], vec![row])?;
    let site = features::record_site(landform);
    let row = (on_map(&site)?, vec![text("recorded site (pit), position uncertain")]);
    package.add("archaeology", wkbPoint, &[("kind", OFTString)], vec![row])
}

/// A text for a field.
fn text(value: &str) -> FieldValue {
    FieldValue::StringValue(value.to_owned())
}

/// A length for a field.
fn metres(value: f64) -> FieldValue {
    FieldValue::RealValue(value)
}
