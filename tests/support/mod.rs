//! Runs the real binary in folders of its own.
#![allow(
    dead_code,
    unreachable_pub,
    clippy::unwrap_used,
    clippy::panic,
    clippy::float_cmp,
    reason = "each test file uses its own part, and a test that stops has failed"
)]

pub mod bench;
pub mod written;

use std::path::{Path, PathBuf};
use std::process::{Command, Output};

/// The repository.
pub fn repository() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..")
}

/// A folder that goes when the test ends.
pub fn scratch() -> tempfile::TempDir {
    tempfile::tempdir().unwrap()
}

/// Runs the binary in a folder.
pub fn hillweave(folder: &Path, arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_hillweave"))
        .args(arguments)
        .current_dir(folder)
        .env_remove("NO_COLOR")
        .output()
        .unwrap()
}

/// Runs the binary and asserts its exit status.
pub fn expect(folder: &Path, arguments: &[&str], status: i32) -> Output {
    let output = hillweave(folder, arguments);
    assert_eq!(
        output.status.code(),
        Some(status),
        "{arguments:?}\n--- stdout\n{}\n--- stderr\n{}",
        text(&output.stdout),
        text(&output.stderr)
    );
    output
}

/// Output as text.
pub fn text(bytes: &[u8]) -> String {
    String::from_utf8_lossy(bytes).into_owned()
}

/// Copies the files of a folder, and of the folders in it.
pub fn copy_folder(from: &Path, to: &Path) {
    std::fs::create_dir_all(to).unwrap();
    for entry in std::fs::read_dir(from).unwrap() {
        let entry = entry.unwrap();
        let target = to.join(entry.file_name());
        if entry.file_type().unwrap().is_dir() {
            copy_folder(&entry.path(), &target);
        } else {
            std::fs::copy(entry.path(), target).unwrap();
        }
    }
}

/// The sample property in `site` of a folder, to be changed.
pub fn sample_in(folder: &Path) -> PathBuf {
    let site = folder.join("site");
    copy_folder(&repository().join("sample-layers"), &site);
    site
}

/// The names in a folder, sorted.
pub fn names(folder: &Path) -> Vec<String> {
    let entries = std::fs::read_dir(folder).unwrap();
    let mut names: Vec<String> =
        entries.map(|entry| entry.unwrap().file_name().to_string_lossy().into_owned()).collect();
    names.sort();
    names
}

/// A small made-up site on a grid of 40 × 40 cells of 5 m, in the open sea: a tilted, rippled
/// slope, a boundary, one stock file. Fast, and every test can break it in its own way.
pub mod small {
    use std::path::Path;

    use gdal::DriverManager;
    use gdal::raster::{Buffer, RasterCreationOptions};
    use gdal::spatial_ref::SpatialRef;

    /// Easting of the western edge.
    pub const WEST: f64 = 2_060_000.0;
    /// Northing of the northern edge.
    pub const NORTH: f64 = 5_560_000.0;

    /// The site file.
    pub const SITE: &str = r#"[site]
name = "Small Fold"
halo_m = 20
[layers.boundary]
file = "boundary.geojson"
[layers.elevation]
file = "dem.tif"
[layers.cover]
file = "cover.tif"
[[layers.cover.class]]
code = 1
name = "pasture"
treatment = "plant"
[[layers.cover.class]]
code = 4
name = "mānuka stand"
treatment = "keep"
[[keep_clear]]
name = "stream"
file = "streams.geojson"
distance_m = 5
reason = "clear water"
authority = "regional plan (check locally)"
date = "2025-07-01"
[ground]
horizon_m = 20
exposure_m = 20
[zones]
min_area_ha = 0.1
[stock]
file = "stock.toml"
"#;

    /// The stock file.
    pub const STOCK: &str = r#"[[stock]]
id = "low"
name = "Low Line"
kind = "cultivar"
supply = 1500
[stock.tolerance]
slope_deg = { full_to = 20, none_above = 40 }
[[stock]]
id = "high"
name = "High Seed"
kind = "seed_line"
"#;

    /// Height of the ground at a cell, metres.
    pub fn height(row: usize, col: usize) -> f32 {
        let (y, x) = (row as f32, col as f32);
        80.0 + 2.2 * y + 9.0 * (x * 0.35).sin() + 4.0 * (y * 0.5).cos()
    }

    /// Writes it all into a folder.
    pub fn write(folder: &Path) {
        raster_f32(&folder.join("dem.tif"), 40, 40, Some("EPSG:2193"), 5.0, height);
        raster_u8(&folder.join("cover.tif"), 40, 40, |row, col| {
            if (8..16).contains(&row) && (6..14).contains(&col) { 4 } else { 1 }
        });
        let ring = [(25.0, 22.0), (178.0, 31.0), (171.0, 177.0), (30.0, 169.0), (25.0, 22.0)];
        text(folder, "boundary.geojson", &feature("Polygon", &format!("[{}]", points(&ring))));
        let line = [(96.0, 10.0), (101.0, 80.0), (93.0, 190.0)];
        text(folder, "streams.geojson", &feature("LineString", &points(&line)));
        text(folder, "site.toml", SITE);
        text(folder, "stock.toml", STOCK);
    }

    /// Writes a text file.
    pub fn text(folder: &Path, name: &str, text: &str) {
        std::fs::write(folder.join(name), text).unwrap();
    }

    /// Replaces a text in a file, which must hold it.
    pub fn replace(folder: &Path, name: &str, from: &str, to: &str) {
        let old = std::fs::read_to_string(folder.join(name)).unwrap();
        assert!(old.contains(from), "{name} does not hold {from}");
        text(folder, name, &old.replacen(from, to, 1));
    }

    /// A collection of one feature; see [`collection`].
    pub fn feature(kind: &str, coordinates: &str) -> String {
        collection(&[(kind, coordinates)])
    }

    /// Features in EPSG:2193, by the older `crs` member that GDAL reads.
    pub fn collection(features: &[(&str, &str)]) -> String {
        let one = |(kind, coordinates): &(&str, &str)| {
            format!(
                r#"{{"type":"Feature","properties":{{}},"geometry":{{"type":"{kind}","coordinates":{coordinates}}}}}"#
            )
        };
        let features: Vec<String> = features.iter().map(one).collect();
        format!(
            r#"{{"type":"FeatureCollection","crs":{{"type":"name","properties":{{"name":"urn:ogc:def:crs:EPSG::2193"}}}},"features":[{}]}}"#,
            features.join(",")
        )
    }

    /// Coordinates from metres east and south of the grid's corner.
    pub fn points(offsets: &[(f64, f64)]) -> String {
        let point = |(x, y): &(f64, f64)| format!("[{},{}]", WEST + x, NORTH - y);
        format!("[{}]", offsets.iter().map(point).collect::<Vec<_>>().join(","))
    }

    /// Writes a raster of heights.
    pub fn raster_f32(
        path: &Path,
        cols: usize,
        rows: usize,
        crs: Option<&str>,
        cell: f64,
        value: impl Fn(usize, usize) -> f32,
    ) {
        let driver = DriverManager::get_driver_by_name("GTiff").unwrap();
        let options = RasterCreationOptions::new();
        let mut file = driver
            .create_with_band_type_with_options::<f32, _>(path, cols, rows, 1, &options)
            .unwrap();
        file.set_geo_transform(&[WEST, cell, 0.0, NORTH, 0.0, -cell]).unwrap();
        if let Some(crs) = crs {
            file.set_spatial_ref(&SpatialRef::from_definition(crs).unwrap()).unwrap();
        }
        let cells = (0..rows * cols).map(|at| value(at / cols, at % cols)).collect();
        let mut band = file.rasterband(1).unwrap();
        band.set_no_data_value(Some(-9999.0)).unwrap();
        band.write((0, 0), (cols, rows), &mut Buffer::new((cols, rows), cells)).unwrap();
    }

    /// Writes a raster of codes on 5 m cells.
    pub fn raster_u8(path: &Path, cols: usize, rows: usize, value: impl Fn(usize, usize) -> u8) {
        let driver = DriverManager::get_driver_by_name("GTiff").unwrap();
        let mut file = driver.create_with_band_type::<u8, _>(path, cols, rows, 1).unwrap();
        file.set_geo_transform(&[WEST, 5.0, 0.0, NORTH, 0.0, -5.0]).unwrap();
        file.set_spatial_ref(&SpatialRef::from_definition("EPSG:2193").unwrap()).unwrap();
        let cells = (0..rows * cols).map(|at| value(at / cols, at % cols)).collect();
        let mut band = file.rasterband(1).unwrap();
        band.write((0, 0), (cols, rows), &mut Buffer::new((cols, rows), cells)).unwrap();
    }
}
