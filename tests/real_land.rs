//! The main job on real land: open elevation data in degrees, brought to metres by us.
//!
//! Data: the Jacksboro fault, from a registry package (see data/README.md).

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "a test that stops has failed"
)]

mod support;

use std::path::Path;

use gdal::Dataset;
use gdal::vector::LayerAccess;
use support::{expect, repository, scratch, small, text, written};

/// A made-up boundary on real hills, EPSG:32616.
const BOUNDARY: &[(f64, f64)] = &[
    (738_200.0, 4_056_100.0),
    (743_900.0, 4_055_200.0),
    (745_100.0, 4_050_900.0),
    (741_400.0, 4_049_000.0),
    (737_600.0, 4_051_800.0),
    (738_200.0, 4_056_100.0),
];

const SITE: &str = r#"[site]
name = "Ridge and Fault"
crs = "EPSG:32616"
cell_m = 25
halo_m = 300
[layers.boundary]
file = "boundary.geojson"
[layers.elevation]
file = "dem.tif"
[zones]
min_area_ha = 5
slope_scale_m = 0
straighten_m = 25
[stock]
file = "stock.toml"
"#;

fn write_site(folder: &Path) {
    let data = repository().join("tests/data/jacksboro_fault_3s.tif");
    std::fs::copy(data, folder.join("dem.tif")).unwrap();
    let ring: Vec<String> = BOUNDARY.iter().map(|(x, y)| format!("[{x},{y}]")).collect();
    let boundary = small::feature("Polygon", &format!("[[{}]]", ring.join(",")));
    small::text(folder, "boundary.geojson", &boundary.replace("EPSG::2193", "EPSG::32616"));
    small::text(folder, "site.toml", SITE);
    small::text(folder, "stock.toml", &stock());
}

/// Made-up lines for land between 300 and 1,000 m.
fn stock() -> String {
    small::STOCK
        .replace(
            "slope_deg = { full_to = 20, none_above = 40 }",
            "elevation_m = { full_to = 450, none_above = 650 }",
        )
        .replace("supply = 1500", "supply = 900000")
}

#[test]
fn zones_blocks_and_counts_obey_the_laws() {
    let folder = scratch();
    write_site(folder.path());
    expect(folder.path(), &["plan", "site.toml", "-o", "plan"], 0);
    let boundary = Dataset::open(folder.path().join("boundary.geojson")).unwrap();
    let name = boundary.layer(0).unwrap().name();
    let boundary = written::rows(&boundary, &name).remove(0).geometry;
    written::assert_laws(&folder.path().join("plan"), &boundary);
    let zones = written::layer(&folder.path().join("plan"), "zones");
    let groups: std::collections::BTreeSet<&str> =
        zones.iter().map(|zone| zone.text("slope_group")).collect();
    assert!(groups.len() >= 3, "real hills have gentle and steep ground, not only {groups:?}");
}

#[test]
fn elevation_in_degrees_is_refused_without_a_metric_system_and_used_with_one() {
    let folder = scratch();
    write_site(folder.path());
    small::replace(folder.path(), "site.toml", "crs = \"EPSG:32616\"\ncell_m = 25\n", "");
    let refused = expect(folder.path(), &["plan", "site.toml", "-o", "plan"], 2);
    assert!(text(&refused.stderr).contains("degree"), "{}", text(&refused.stderr));
    let refused = expect(folder.path(), &["ground", "--elevation", "dem.tif", "-o", "ground"], 2);
    assert!(text(&refused.stderr).contains("--crs"), "{}", text(&refused.stderr));
    let arguments =
        ["ground", "--elevation", "dem.tif", "--crs", "EPSG:32616", "--cell", "30", "-o", "ground"];
    expect(folder.path(), &arguments, 0);
}

/// Tennessee lies in the north: winter is November to February.
#[test]
fn sun_is_counted_in_the_winter_of_the_place() {
    let folder = scratch();
    write_site(folder.path());
    let arguments = [
        "ground",
        "--elevation",
        "dem.tif",
        "--crs",
        "EPSG:32616",
        "--cell",
        "120",
        "-o",
        "ground",
    ];
    expect(folder.path(), &[&arguments[..], &["--layers", "sun_ratio"]].concat(), 0);
    let record = std::fs::read(folder.path().join("ground/ground.json")).unwrap();
    let record: serde_json::Value = serde_json::from_slice(&record).unwrap();
    assert_eq!(record["settings"]["sun_months"], serde_json::json!([11, 12, 1, 2]));
}
