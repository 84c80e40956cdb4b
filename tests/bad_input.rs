//! Bad input ends in one clear message, exit status 2, and nothing written.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "a test that stops has failed"
)]

mod support;

use std::path::Path;

use support::{expect, names, scratch, small, text};

/// A fault: its name, how it is made, and what the message must hold.
type Fault = (&'static str, fn(&Path), &'static [&'static str]);

const FAULTS: &[Fault] = &[
    (
        "missing file",
        |site| std::fs::remove_file(site.join("dem.tif")).unwrap(),
        &["dem.tif", "found", "expected", "remedy"],
    ),
    (
        "no coordinate system",
        |site| small::raster_f32(&site.join("dem.tif"), 40, 40, None, 5.0, small::height),
        &["dem.tif", "coordinate system", "remedy"],
    ),
    (
        "elevation in degrees",
        |site| {
            small::raster_f32(
                &site.join("dem.tif"),
                40,
                40,
                Some("EPSG:4326"),
                0.001,
                small::height,
            );
        },
        &["dem.tif", "degree", "remedy", "crs"],
    ),
    (
        "boundary outside the elevation",
        |site| {
            let ring = [(2e4, 2e4), (2.1e4, 2e4), (2.1e4, 2.1e4), (2e4, 2.1e4), (2e4, 2e4)];
            let ring = format!("[{}]", small::points(&ring));
            small::text(site, "boundary.geojson", &small::feature("Polygon", &ring));
        },
        &["property", "dem.tif", "found", "remedy"],
    ),
    (
        "a band whose layer cannot be had",
        |site| {
            let toml = std::fs::read_to_string(site.join("site.toml")).unwrap();
            let band = "\n[[zones.band]]\nlayer = \"wind_exposure_deg\"\nedges = [30, 60]\n";
            small::text(site, "site.toml", &(toml + band));
        },
        &["wind_exposure_deg", "ground.wind_rose", "remedy"],
    ),
    (
        "empty boundary",
        |site| {
            let empty = r#"{"type":"FeatureCollection","features":[]}"#;
            small::text(site, "boundary.geojson", empty);
        },
        &["boundary.geojson", "found", "expected", "remedy"],
    ),
    (
        "self-crossing boundary",
        |site| {
            let bow = [(25.0, 25.0), (170.0, 170.0), (170.0, 25.0), (25.0, 170.0), (25.0, 25.0)];
            let ring = format!("[{}]", small::points(&bow));
            small::text(site, "boundary.geojson", &small::feature("Polygon", &ring));
        },
        &["boundary.geojson", "cross", "remedy"],
    ),
    (
        "cover code that is not in the table",
        |site| {
            small::raster_u8(
                &site.join("cover.tif"),
                40,
                40,
                |row, _| if row > 20 { 77 } else { 1 },
            );
        },
        &["cover.tif", "77", "expected", "remedy"],
    ),
    (
        "negative supply",
        |site| small::replace(site, "stock.toml", "supply = 1500", "supply = -5"),
        &["stock.toml:5:", "supply", "-5", "expected", "remedy"],
    ),
    (
        "unknown key",
        |site| small::replace(site, "site.toml", "min_area_ha", "min_area"),
        &["site.toml:", "min_area", "min_area_ha", "remedy"],
    ),
    (
        "elevation that is all holes",
        |site| {
            small::raster_f32(&site.join("dem.tif"), 40, 40, Some("EPSG:2193"), 5.0, |_, _| {
                -9999.0
            });
        },
        &["dem.tif", "found", "expected", "remedy"],
    ),
    (
        "elevation of one cell",
        |site| {
            small::raster_f32(&site.join("dem.tif"), 1, 1, Some("EPSG:2193"), 200.0, small::height);
        },
        &["dem.tif", "found", "expected", "remedy"],
    ),
    (
        "site file that is not there",
        |site| std::fs::remove_file(site.join("site.toml")).unwrap(),
        &["site.toml", "found", "remedy"],
    ),
    (
        "stock file that is not there",
        |site| std::fs::remove_file(site.join("stock.toml")).unwrap(),
        &["stock.toml", "found", "remedy"],
    ),
    (
        "raster cut short",
        |site| {
            let whole = std::fs::read(site.join("dem.tif")).unwrap();
            std::fs::write(site.join("dem.tif"), &whole[..whole.len() / 3]).unwrap();
        },
        &["dem.tif", "found", "remedy"],
    ),
    (
        "setback layer without the width field",
        |site| {
            small::replace(
                site,
                "site.toml",
                "distance_m = 5",
                "distance_m = 5\nwidth_field = \"wide\"",
            );
        },
        &["streams.geojson", "wide", "remedy"],
    ),
];

#[test]
fn the_small_site_is_good_until_it_is_broken() {
    let folder = scratch();
    small::write(folder.path());
    expect(folder.path(), &["plan", "site.toml", "-o", "plan"], 0);
}

#[test]
fn each_fault_ends_in_one_message_and_nothing_written() {
    for (name, make, words) in FAULTS {
        let folder = scratch();
        small::write(folder.path());
        make(folder.path());
        let before = names(folder.path());
        let output = expect(folder.path(), &["plan", "site.toml", "-o", "plan"], 2);
        let said = text(&output.stderr);
        for word in *words {
            assert!(said.contains(word), "{name}: `{word}` is missing from\n{said}");
        }
        assert_eq!(said.matches("error: ").count(), 1, "{name}: one message, not\n{said}");
        assert!(text(&output.stdout).is_empty(), "{name}: standard output is for data");
        assert!(!said.contains("panicked"), "{name}: {said}");
        assert_eq!(names(folder.path()), before, "{name}: something was written");
    }
}

#[test]
fn check_refuses_what_plan_refuses() {
    for (name, make, _) in FAULTS {
        let folder = scratch();
        small::write(folder.path());
        make(folder.path());
        let status = support::hillweave(folder.path(), &["check", "site.toml"]).status.code();
        assert_eq!(status, Some(2), "{name}");
    }
}

#[test]
fn faults_are_told_to_scripts_as_json() {
    let folder = scratch();
    small::write(folder.path());
    small::replace(folder.path(), "stock.toml", "supply = 1500", "supply = -5");
    let output = expect(folder.path(), &["plan", "site.toml", "-o", "plan", "--json"], 2);
    let told: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
    assert_eq!(told["schema"], "hillweave.problems/1");
    let problem = &told["problems"][0];
    assert_eq!(problem["severity"], "error");
    for key in ["file", "item", "found", "expected", "remedy"] {
        assert!(problem[key].as_str().is_some_and(|text| !text.is_empty()), "{key}: {told}");
    }
}

#[test]
fn an_existing_plan_is_kept_unless_told_otherwise() {
    let folder = scratch();
    small::write(folder.path());
    expect(folder.path(), &["plan", "site.toml", "-o", "plan"], 0);
    let first = std::fs::read(folder.path().join("plan/plan.json")).unwrap();
    let refused = expect(folder.path(), &["plan", "site.toml", "-o", "plan"], 2);
    assert!(text(&refused.stderr).contains("--overwrite"));
    expect(folder.path(), &["plan", "site.toml", "-o", "plan", "--overwrite"], 0);
    assert_eq!(std::fs::read(folder.path().join("plan/plan.json")).unwrap(), first);
}

#[test]
fn a_folder_of_other_files_is_never_replaced() {
    let folder = scratch();
    small::write(folder.path());
    std::fs::create_dir(folder.path().join("photos")).unwrap();
    small::text(&folder.path().join("photos"), "ridge.jpg", "not a plan");
    expect(folder.path(), &["plan", "site.toml", "-o", "photos", "--overwrite"], 2);
    expect(folder.path(), &["plan", "site.toml", "-o", ".", "--overwrite"], 2);
    assert_eq!(names(&folder.path().join("photos")), ["ridge.jpg"]);
}
