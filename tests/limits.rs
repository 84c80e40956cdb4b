//! Inputs far beyond what is meant, under a limit on memory: each is refused with its remedy, or done, within a stated
//! time. Where memory runs out the program would be ended by a signal, which is no answer.
//!
//! The limit is that of the address space, set by the shell before the program begins: everything that is mapped counts,
//! the code of GDAL and the stacks of threads too, so it lies far above what is used.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::print_stdout,
    reason = "a test that stops has failed"
)]

mod knocks;
mod support;

use std::f64::consts::TAU;
use std::fmt::Write;
use std::path::Path;
use std::process::Command;
use std::time::{Duration, Instant};

use gdal::DriverManager;
use gdal::raster::{Buffer, RasterCreationOptions};
use gdal::spatial_ref::SpatialRef;
use knocks::watch::{self, Ended};
use support::{scratch, small};

/// Address space that is given, MiB.
const MEMORY_MB: u64 = 2_560;

/// The program in a folder under the limit.
fn limited(folder: &Path, arguments: &[&str]) -> Command {
    under(MEMORY_MB, folder, env!("CARGO_BIN_EXE_hillweave"), arguments)
}

/// A program in a folder that may map so much memory.
fn under(memory_mb: u64, folder: &Path, program: &str, arguments: &[&str]) -> Command {
    let mut command = Command::new("sh");
    let script = format!("ulimit -v {}; exec \"$0\" \"$@\"", memory_mb << 10);
    command.args(["-c", &script, program]).args(arguments).current_dir(folder);
    command
}

/// Runs the program under the limit; it must end well, in so many seconds.
fn ends(folder: &Path, arguments: &[&str], seconds: u64) -> Ended {
    let begun = Instant::now();
    let mut command = limited(folder, arguments);
    command.arg("--json");
    let ended = watch::judge(folder, command, Duration::from_secs(seconds));
    println!("{arguments:?}: {ended:?} after {:.2?}", begun.elapsed());
    ended.unwrap_or_else(|fault| panic!("{arguments:?}: {fault}"))
}

/// The same; it must be refused.
fn refused(folder: &Path, arguments: &[&str], seconds: u64) {
    assert_eq!(ends(folder, arguments, seconds), Ended::Refused, "{arguments:?}");
}

/// The same; it must be done.
fn done(folder: &Path, arguments: &[&str], seconds: u64) {
    assert_eq!(ends(folder, arguments, seconds), Ended::Read, "{arguments:?}");
}

fn site() -> tempfile::TempDir {
    let folder = scratch();
    small::write(folder.path());
    folder
}

#[test]
fn the_limit_is_one() {
    let folder = scratch();
    // 1 GiB of zeros held in the memory of a shell's own tool, of which half may be mapped.
    let hold = "head -c 1073741824 /dev/zero | tail -c 1073741824 | wc -c";
    let told = |memory_mb| {
        let output = under(memory_mb, folder.path(), "sh", &["-c", hold]).output().unwrap();
        String::from_utf8(output.stdout).unwrap().trim().to_owned()
    };
    assert_ne!(told(512), "1073741824");
    assert_eq!(told(4_096), "1073741824");
}

/// The header of a classic TIFF with one strip: Adobe 1992, TIFF revision 6.0, sections 2 and 8 (numbers from memory).
fn tiff_header(cols: u32, rows: u32) -> Vec<u8> {
    let tags: [(u16, u16, u32); 10] = [
        (256, 4, cols),
        (257, 4, rows),
        (258, 3, 32), // bits a sample
        (259, 3, 1),  // not compressed
        (262, 3, 1),  // black is zero
        (273, 4, 8),  // where the strip begins
        (277, 3, 1),  // samples a cell
        (278, 4, rows),
        (279, 4, 16), // bytes of the strip
        (339, 3, 3),  // floating point
    ];
    let mut bytes = b"II*\0".to_vec();
    bytes.extend(24_u32.to_le_bytes());
    bytes.extend([0; 16]);
    bytes.extend((tags.len() as u16).to_le_bytes());
    for (tag, kind, value) in tags {
        bytes.extend(tag.to_le_bytes());
        bytes.extend(kind.to_le_bytes());
        bytes.extend(1_u32.to_le_bytes());
        bytes.extend(value.to_le_bytes());
    }
    bytes.extend([0; 4]);
    bytes
}

fn vrt(cols: u64, rows: u64, kind: &str) -> String {
    format!(
        "<VRTDataset rasterXSize=\"{cols}\" rasterYSize=\"{rows}\"><SRS>EPSG:2193</SRS>\
         <GeoTransform>{}, 1, 0, {}, 0, -1</GeoTransform>\
         <VRTRasterBand dataType=\"{kind}\" band=\"1\"/></VRTDataset>",
        small::WEST,
        small::NORTH
    )
}

#[test]
fn a_header_that_asks_for_the_world_is_refused_at_once() {
    let folder = site();
    let folder = folder.path();
    for cols in [4_000_000_000, 2_000_000_000, 100_000] {
        std::fs::write(folder.join("huge.tif"), tiff_header(cols, cols)).unwrap();
        small::text(folder, "huge.vrt", &vrt(u64::from(cols), u64::from(cols), "Float32"));
        for (file, name) in [("huge.tif", "TIFF"), ("huge.vrt", "VRT")] {
            println!("{cols} × {cols} cells in {name}");
            refused(folder, &["ground", "--elevation", file, "-o", "out"], 10);
            refused(folder, &["cover", "--elevation", file, "-o", "out"], 10);
        }
        small::replace(folder, "site.toml", "\"dem.tif\"", "\"huge.tif\"");
        refused(folder, &["plan", "site.toml", "-o", "out"], 10);
        small::replace(folder, "site.toml", "\"huge.tif\"", "\"dem.tif\"");
    }
    // Of a layer as wide as the world the part on the property is read, and it has no code.
    small::text(folder, "huge.vrt", &vrt(2_000_000_000, 2_000_000_000, "Byte"));
    small::replace(folder, "site.toml", "\"cover.tif\"", "\"huge.vrt\"");
    refused(folder, &["plan", "site.toml", "-o", "out"], 10);
}

/// A compressed raster that is far larger unpacked: `side` × `side` cells, in blocks of `block` rows as wide as it is.
fn bomb(path: &Path, side: usize, block: usize) {
    let options =
        RasterCreationOptions::from_iter(["COMPRESS=DEFLATE", &format!("BLOCKYSIZE={block}")]);
    let driver = DriverManager::get_driver_by_name("GTiff").unwrap();
    let mut file =
        driver.create_with_band_type_with_options::<f32, _>(path, side, side, 1, &options).unwrap();
    file.set_geo_transform(&[small::WEST, 5.0, 0.0, small::NORTH, 0.0, -5.0]).unwrap();
    file.set_spatial_ref(&SpatialRef::from_definition("EPSG:2193").unwrap()).unwrap();
    let mut band = file.rasterband(1).unwrap();
    let row = vec![5.0_f32; side];
    for at in 0..side {
        let mut cells = Buffer::new((side, 1), row.clone());
        band.write((0, at as isize), (side, 1), &mut cells).unwrap();
    }
    file.close().unwrap();
}

#[test]
fn a_raster_that_unpacks_to_far_more_is_read_where_it_is_needed() {
    let folder = site();
    let folder = folder.path();
    bomb(&folder.join("bomb.tif"), 12_000, 64);
    let packed = std::fs::metadata(folder.join("bomb.tif")).unwrap().len();
    println!("{packed} bytes hold {} MB", 12_000 * 12_000 * 4 / 1_000_000);
    small::replace(folder, "site.toml", "\"dem.tif\"", "\"bomb.tif\"");
    done(folder, &["check", "site.toml"], 10);
}

#[test]
#[ignore = "takes long: cargo xtask test runs it"]
fn a_block_of_a_gigabyte_is_read() {
    let folder = site();
    let folder = folder.path();
    bomb(&folder.join("bomb.tif"), 16_384, 16_384);
    small::replace(folder, "site.toml", "\"dem.tif\"", "\"bomb.tif\"");
    done(folder, &["check", "site.toml"], 60);
    done(folder, &["ground", "--elevation", "bomb.tif", "-o", "out", "--layers", "slope_deg"], 300);
}

/// A ring of so many corners about the middle of the small site, wavy, metres from its corner.
fn ring(corners: usize) -> String {
    let mut text = String::from("[");
    for at in 0..=corners {
        let turn = TAU * (at % corners) as f64 / corners as f64;
        let radius = 70.0 + 5.0 * (turn * 40.0).sin();
        let (x, y) = (100.0 + radius * turn.cos(), 100.0 - radius * turn.sin());
        let comma = if at == 0 { "" } else { "," };
        let (east, north) = (small::WEST + x, small::NORTH - y);
        // Writing to a String cannot fail.
        let _ = write!(text, "{comma}[{east:.6},{north:.6}]");
    }
    text + "]"
}

/// A property with so many square holes of `side` metres, side by side in rows.
fn with_holes(holes: usize, side: f64) -> String {
    let across = (holes as f64).sqrt().ceil() as usize;
    let step = 150.0 / across as f64;
    let square = |x: f64, y: f64, side: f64| {
        let corners = [(x, y), (x, y + side), (x + side, y + side), (x + side, y), (x, y)];
        small::points(&corners)
    };
    let outer =
        small::points(&[(20.0, 20.0), (180.0, 20.0), (180.0, 180.0), (20.0, 180.0), (20.0, 20.0)]);
    let hole = |at: usize| {
        let (row, col) = (at / across, at % across);
        square(25.0 + step * col as f64, 25.0 + step * row as f64, side.min(step * 0.6))
    };
    let holes: Vec<String> = (0..holes).map(hole).collect();
    format!("[{outer},{}]", holes.join(","))
}

#[test]
fn a_boundary_of_many_corners_or_holes_is_planned() {
    let folder = site();
    let folder = folder.path();
    small::text(
        folder,
        "boundary.geojson",
        &small::feature("Polygon", &format!("[{}]", ring(50_000))),
    );
    done(folder, &["plan", "site.toml", "-o", "corners"], 60);
    small::text(folder, "boundary.geojson", &small::feature("Polygon", &with_holes(1_000, 1.0)));
    done(folder, &["plan", "site.toml", "-o", "holes"], 60);
}

#[test]
#[ignore = "takes long: cargo xtask test runs it"]
fn a_boundary_of_a_million_corners_is_planned() {
    let folder = site();
    let folder = folder.path();
    small::text(
        folder,
        "boundary.geojson",
        &small::feature("Polygon", &format!("[{}]", ring(1_000_000))),
    );
    done(folder, &["plan", "site.toml", "-o", "corners"], 300);
}

#[test]
fn a_boundary_with_ten_thousand_holes_is_planned() {
    let folder = site();
    let folder = folder.path();
    small::text(folder, "boundary.geojson", &small::feature("Polygon", &with_holes(10_000, 0.5)));
    done(folder, &["plan", "site.toml", "-o", "holes"], 60);
}

/// So many drawn zones, squares side by side.
fn drawn(zones: usize) -> String {
    let across = (zones as f64).sqrt().ceil() as usize;
    let step = 160.0 / across as f64;
    let square = |at: usize| {
        let (x, y) = (20.0 + step * (at % across) as f64, 20.0 + step * (at / across) as f64);
        let corners = [(x, y), (x, y + step), (x + step, y + step), (x + step, y), (x, y)];
        format!("[{}]", small::points(&corners))
    };
    let squares: Vec<String> = (0..zones).map(square).collect();
    let features: Vec<(&str, &str)> = squares.iter().map(|one| ("Polygon", one.as_str())).collect();
    small::collection(&features)
}

fn with_drawn(folder: &Path, zones: usize) {
    small::text(folder, "drawn.geojson", &drawn(zones));
    let site = small::SITE.to_owned() + "[layers.drawn_zones]\nfile = \"drawn.geojson\"\n";
    small::text(folder, "site.toml", &site);
}

#[test]
fn drawn_zones_are_planned_up_to_as_many_as_can_be_told_apart() {
    let folder = site();
    with_drawn(folder.path(), 1_000);
    done(folder.path(), &["plan", "site.toml", "-o", "out"], 60);
    with_drawn(folder.path(), 100_000);
    refused(folder.path(), &["plan", "site.toml", "-o", "more"], 60);
}

#[test]
fn sixty_thousand_drawn_zones_are_planned() {
    let folder = site();
    with_drawn(folder.path(), 60_000);
    done(folder.path(), &["plan", "site.toml", "-o", "out"], 300);
}

/// A table of stock with so many rows.
fn stock(rows: usize, supply: &str) -> String {
    let mut text = "id,name,kind,supply\n".to_owned();
    for at in 0..rows {
        // Writing to a String cannot fail.
        let _ = writeln!(text, "a{at},A{at},cultivar,{supply}");
    }
    text
}

#[test]
fn a_table_of_stock_beyond_what_people_write_is_refused_at_once() {
    let folder = site();
    let folder = folder.path();
    small::replace(folder, "site.toml", "\"stock.toml\"", "\"stock.csv\"");
    for rows in [1_000_000, 10_000_000] {
        small::text(folder, "stock.csv", &stock(rows, "9"));
        refused(folder, &["stock", "stock.csv"], 10);
        refused(folder, &["plan", "site.toml", "-o", "out"], 10);
    }
}

#[test]
fn the_longest_table_of_stock_that_is_read() {
    let folder = site();
    let folder = folder.path();
    small::text(folder, "stock.csv", &stock(130_000, "9"));
    done(folder, &["stock", "stock.csv"], 60);
    // A slip in every row.
    small::text(folder, "stock.csv", &stock(130_000, "few"));
    refused(folder, &["stock", "stock.csv"], 60);
    let row = |at: usize| format!("[[stock]]\nid = \"a{at}\"\nkind = \"x\"\nsupply = -1\n");
    small::text(folder, "stock.toml", &(0..60_000).map(row).collect::<String>());
    refused(folder, &["stock", "stock.toml"], 60);
}

#[test]
fn a_plan_with_thousands_of_lines_is_made() {
    let folder = site();
    let folder = folder.path();
    small::replace(folder, "site.toml", "\"stock.toml\"", "\"stock.csv\"");
    small::text(folder, "stock.csv", &stock(2_000, "9"));
    done(folder, &["plan", "site.toml", "-o", "out"], 60);
}

#[test]
fn a_sheet_of_a_million_rows_is_read() {
    let folder = site();
    let folder = folder.path();
    let mut lab = "tree_id,date,ratio_mg_per_mg\n".to_owned();
    for at in 0..1_000_000 {
        // Writing to a String cannot fail.
        let _ = writeln!(lab, "T{},2024-12-{:02},0.00{}", at % 5_000, 1 + at % 28, 1 + at % 9);
    }
    small::text(folder, "lab.csv", &lab);
    small::text(folder, "field.csv", "tree_id,easting_m,northing_m\n");
    refused(
        folder,
        &["seed", "rank", "site.toml", "lab.csv", "--field", "field.csv", "-o", "out"],
        60,
    );
}

#[test]
fn what_is_nested_deep_is_refused_at_once() {
    let folder = site();
    let folder = folder.path();
    let deep = 1_000_000;
    small::text(folder, "boundary.geojson", &format!("{}{}", "[".repeat(deep), "]".repeat(deep)));
    refused(folder, &["check", "site.toml"], 10);
    let coordinates = format!("{}1{}", "[".repeat(deep), "]".repeat(deep));
    small::text(folder, "boundary.geojson", &small::feature("Polygon", &coordinates));
    refused(folder, &["check", "site.toml"], 10);
    small::write(folder);
    let key = |text: &str| small::text(folder, "site.toml", &format!("{text}\n{}", small::SITE));
    key(&format!("deep = {}{}", "[".repeat(deep), "]".repeat(deep)));
    refused(folder, &["check", "site.toml"], 10);
    key(&format!("deep = {}1{}", "{a=".repeat(deep), "}".repeat(deep)));
    refused(folder, &["check", "site.toml"], 10);
    key(&format!("{}a = 1", "a.".repeat(deep)));
    refused(folder, &["check", "site.toml"], 10);
    std::fs::create_dir(folder.join("plan")).unwrap();
    small::text(folder, "plan/plan.json", &"{\"a\":".repeat(deep));
    refused(folder, &["export", "plan", "-o", "out"], 10);
    refused(folder, &["report", "plan", "-o", "out"], 10);
    refused(folder, &["compare", "plan", "plan"], 10);
}
