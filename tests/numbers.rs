//! Numbers at their edges: the same plane, written in every dress that elevation comes in, gives the same slope and
//! aspect; what cannot be told from it is left out by name, and what cannot be meant is refused in words.
//!
//! Expected values are those of a plane by hand: z = −x · tan 20° falls to the east, so slope is 20° and aspect 90°.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test that stops has failed")]

mod support;

use std::path::Path;

use gdal::raster::{Buffer, GdalType, RasterCreationOptions};
use gdal::spatial_ref::SpatialRef;
use gdal::{Dataset, DriverManager, Metadata as _};
use support::small::{NORTH, WEST};
use support::{expect, hillweave, scratch, text};

const SIDE: usize = 32;
const CELL_M: f64 = 5.0;
const SLOPE_DEG: f64 = 20.0;

/// A raster in the making.
struct Dress<'d> {
    transform: [f64; 6],
    crs: &'d str,
    nodata: Option<f64>,
    is_point: bool,
    scale: Option<(f64, f64)>,
    is_in_feet: bool,
}

/// Rows to the south, columns to the east, metres of EPSG:2193, nothing else said.
const PLAIN: Dress<'_> = Dress {
    transform: [WEST, CELL_M, 0.0, NORTH, 0.0, -CELL_M],
    crs: "EPSG:2193",
    nodata: None,
    is_point: false,
    scale: None,
    is_in_feet: false,
};

impl Dress<'_> {
    /// Writes values of any type, given by column and row.
    fn write<T: GdalType + Copy>(&self, path: &Path, value: impl Fn(usize, usize) -> T) {
        let driver = DriverManager::get_driver_by_name("GTiff").unwrap();
        let options = RasterCreationOptions::new();
        let mut file = driver
            .create_with_band_type_with_options::<T, _>(path, SIDE, SIDE, 1, &options)
            .unwrap();
        if self.is_point {
            file.set_metadata_item("AREA_OR_POINT", "Point", "").unwrap();
        }
        file.set_geo_transform(&self.transform).unwrap();
        file.set_spatial_ref(&SpatialRef::from_definition(self.crs).unwrap()).unwrap();
        let cells = (0..SIDE * SIDE).map(|at| value(at % SIDE, at / SIDE)).collect();
        let mut band = file.rasterband(1).unwrap();
        band.set_no_data_value(self.nodata).unwrap();
        if let Some((scale, offset)) = self.scale {
            band.set_scale(scale).unwrap();
            band.set_offset(offset).unwrap();
        }
        band.write((0, 0), (SIDE, SIDE), &mut Buffer::new((SIDE, SIDE), cells)).unwrap();
    }

    /// Easting of the middle of a cell, from that of the middle of the raster.
    fn east_of_middle(&self, col: usize, row: usize) -> f64 {
        let [_, a, b, ..] = self.transform;
        let middle = SIDE as f64 / 2.0;
        a * (col as f64 + 0.5 - middle) + b * (row as f64 + 0.5 - middle)
    }

    /// Height of the plane in metres.
    fn plane(&self, col: usize, row: usize) -> f64 {
        400.0 - self.east_of_middle(col, row) * SLOPE_DEG.to_radians().tan()
    }
}

/// Slope and aspect where they are known, so many cells from the edge; and how many cells of slope are holes.
fn ground(folder: &Path, options: &[&str], edge: usize) -> (Vec<[f64; 2]>, usize) {
    let mut arguments = vec!["ground", "--elevation", "dem.tif", "-o", "ground", "--overwrite"];
    arguments.extend(options);
    expect(folder, &arguments, 0);
    let read = |name: &str| {
        let file = Dataset::open(folder.join("ground").join(name)).unwrap();
        let size = file.raster_size();
        let band = file.rasterband(1).unwrap();
        (size, band.read_band_as::<f64>().unwrap().data().to_vec())
    };
    let ((cols, rows), slope) = read("slope_deg.tif");
    let (_, aspect) = read("aspect_deg.tif");
    let is_hole = |value: f64| value.is_nan() || value < -1.0;
    let inner = |at: &usize| {
        (edge..cols - edge).contains(&(at % cols)) && (edge..rows - edge).contains(&(at / cols))
    };
    let inner: Vec<usize> = (0..slope.len()).filter(inner).collect();
    let holes = inner.iter().filter(|at| is_hole(slope[**at])).count();
    let known = inner.into_iter().filter(|at| !is_hole(slope[*at]));
    (known.map(|at| [slope[at], aspect[at]]).collect(), holes)
}

/// Whether slope and aspect are those of the plane everywhere, to so many degrees.
fn assert_plane(folder: &Path, options: &[&str], within_deg: f64, what: &str) {
    let (known, holes) = ground(folder, options, 2);
    assert!(known.len() > SIDE * SIDE / 2, "{what}: {} cells", known.len());
    assert_eq!(holes, 0, "{what}");
    for [slope, aspect] in known {
        assert!((slope - SLOPE_DEG).abs() < within_deg, "{what}: slope {slope}");
        assert!((aspect - 90.0).abs() < within_deg, "{what}: aspect {aspect}");
    }
}

#[test]
fn a_plane_is_the_same_plane_in_every_dress() {
    let room = scratch();
    let folder = room.path();
    let dem = folder.join("dem.tif");
    let (sin, cos) = 30_f64.to_radians().sin_cos();
    let side = CELL_M * SIDE as f64;
    let dresses = [
        ("plain", PLAIN),
        ("pixel is point", Dress { is_point: true, ..PLAIN }),
        ("south up", Dress { transform: [WEST, CELL_M, 0.0, NORTH - side, 0.0, CELL_M], ..PLAIN }),
        (
            "a quarter turned",
            Dress { transform: [WEST, 0.0, CELL_M, NORTH - side, CELL_M, 0.0], ..PLAIN },
        ),
        ("no data not a number", Dress { nodata: Some(f64::NAN), ..PLAIN }),
        ("no data infinite", Dress { nodata: Some(f64::NEG_INFINITY), ..PLAIN }),
        ("no data beyond float32", Dress { nodata: Some(-1.797_693_134_862_315_7e308), ..PLAIN }),
        ("millimetres by scale and offset", Dress { scale: Some((0.001, 100.0)), ..PLAIN }),
        ("feet", Dress { is_in_feet: true, ..PLAIN }),
        (
            "coordinates beyond a thousand million",
            Dress {
                crs: "+proj=tmerc +lat_0=0 +lon_0=173 +k=0.9996 +x_0=4000000000 +y_0=10000000 \
                      +ellps=GRS80 +units=m +type=crs",
                transform: [4_000_460_000.0, CELL_M, 0.0, 5_560_000.0, 0.0, -CELL_M],
                ..PLAIN
            },
        ),
    ];
    for (what, dress) in dresses {
        let (scale, offset) = dress.scale.unwrap_or((1.0, 0.0));
        let metres = if dress.is_in_feet { 0.3048 } else { 1.0 };
        let stored = |height_m: f64| (height_m / metres - offset) / scale;
        dress.write(&dem, |col, row| stored(dress.plane(col, row)) as f32);
        let options: &[&str] = if dress.is_in_feet { &["--unit", "ft"] } else { &[] };
        assert_plane(folder, options, 0.01, what);
    }
    let turned = Dress {
        transform: [WEST, CELL_M * cos, CELL_M * sin, NORTH, CELL_M * sin, -CELL_M * cos],
        ..PLAIN
    };
    turned.write(&dem, |col, row| turned.plane(col, row) as f32);
    // A turned raster is laid on an upright grid, whose corners lie beyond it.
    let (known, holes) = ground(folder, &["--crs", "EPSG:2193", "--cell", "5"], SIDE / 2);
    assert_eq!((known.len() > 100, holes), (true, 0), "{}", known.len());
    for [slope, aspect] in known {
        assert!(
            (slope - SLOPE_DEG).abs() < 0.01 && (aspect - 90.0).abs() < 0.01,
            "{slope} {aspect}"
        );
    }
}

/// GeoTIFF 1.1 (OGC 19-008r4), 7.1.2.2: a raster whose pixels are points is tied at the middle of its first cell, one whose
/// pixels are areas at that cell's corner.
#[test]
fn a_pixel_that_is_a_point_lies_where_its_file_says() {
    let room = scratch();
    let folder = room.path();
    let dem = folder.join("dem.tif");
    let layers = |is_point: bool| {
        let dress = Dress { is_point, ..PLAIN };
        dress.write(&dem, |col, row| dress.plane(col, row) as f32);
        let tie = WEST + if is_point { CELL_M / 2.0 } else { 0.0 };
        let bytes = std::fs::read(&dem).unwrap();
        assert!(bytes.windows(8).any(|eight| eight == tie.to_le_bytes()), "{is_point}");
        ground(folder, &[], 2);
        let made = Dataset::open(folder.join("ground/slope_deg.tif")).unwrap();
        made.geo_transform().unwrap()
    };
    assert_eq!(layers(true).map(f64::to_bits), layers(false).map(f64::to_bits));
}

#[test]
fn whole_numbers_are_elevations_and_their_hole_is_one() {
    let room = scratch();
    let folder = room.path();
    let dem = folder.join("dem.tif");
    let hole = |col: usize, row: usize| (10..12).contains(&col) && (10..12).contains(&row);
    // Decimetres, so that steps of the unit are small beside the slope.
    let tenth = Dress { scale: Some((0.1, 0.0)), ..PLAIN };
    let stored = |col, row| (tenth.plane(col, row) * 10.0).round();
    let of = |nodata: f64| Dress { nodata: Some(nodata), ..tenth };
    // A cell in a hole, and the ring around it, has no slope.
    let lost = 16;
    of(-32_768.0)
        .write(&dem, |col, row| if hole(col, row) { i16::MIN } else { stored(col, row) as i16 });
    assert_eq!(ground(folder, &[], 2).1, lost);
    of(65_535.0)
        .write(&dem, |col, row| if hole(col, row) { u16::MAX } else { stored(col, row) as u16 });
    assert_eq!(ground(folder, &[], 2).1, lost);
    of(f64::from(i32::MIN))
        .write(&dem, |col, row| if hole(col, row) { i32::MIN } else { stored(col, row) as i32 });
    assert_eq!(ground(folder, &[], 2).1, lost);
    // A hole that the type cannot hold is none.
    of(99_999.0).write(&dem, |col, row| stored(col, row) as i16);
    assert_plane(folder, &[], 1.0, "no data beyond the type");
}

#[test]
fn near_a_pole_the_ground_is_made_without_the_sun_of_winter() {
    let room = scratch();
    let folder = room.path();
    let dem = folder.join("dem.tif");
    // Universal Polar Stereographic North; its middle is the pole.
    for (what, x, y) in
        [("80° N", 2_000_000.0, 884_000.0), ("the pole itself", 1_999_920.0, 2_000_080.0)]
    {
        let transform = [x, CELL_M, 0.0, y, 0.0, -CELL_M];
        let dress = Dress { crs: "EPSG:32661", transform, ..PLAIN };
        dress.write(&dem, |col, row| dress.plane(col, row) as f32);
        let output = hillweave(folder, &["ground", "--elevation", "dem.tif", "-o", "polar"]);
        let told = format!("{}{}", text(&output.stdout), text(&output.stderr));
        assert_eq!(output.status.code(), Some(0), "{what}: {told}");
        assert!(told.contains("sun_ratio") && told.contains("does not rise"), "{what}: {told}");
        assert!(folder.join("polar/slope_deg.tif").exists(), "{what}");
        assert!(!folder.join("polar/sun_ratio.tif").exists(), "{what}");
        std::fs::remove_dir_all(folder.join("polar")).unwrap();
        // Who asks for it by name is told what to do.
        let asked = ["ground", "--elevation", "dem.tif", "-o", "polar", "--layers", "sun_ratio"];
        let told = text(&expect(folder, &asked, 2).stderr);
        assert!(told.contains("zones.sun_months"), "{what}: {told}");
    }
}

#[test]
fn coordinates_that_cannot_tell_cells_apart_are_refused() {
    let room = scratch();
    let folder = room.path();
    let dress = Dress {
        crs: "+proj=tmerc +lat_0=0 +lon_0=173 +k=0.9996 +x_0=1e19 +y_0=1e7 +ellps=GRS80 +type=crs",
        transform: [1e19, CELL_M, 0.0, 5_560_000.0, 0.0, -CELL_M],
        ..PLAIN
    };
    dress.write(&folder.join("dem.tif"), |col, row| dress.plane(col, row) as f32);
    let output = hillweave(folder, &["ground", "--elevation", "dem.tif", "-o", "ground"]);
    let told = text(&output.stderr);
    assert_eq!(output.status.code(), Some(2), "{told}");
    assert!(told.contains("dem.tif") && told.contains("remedy"), "{told}");
    assert!(!folder.join("ground").exists());
}
