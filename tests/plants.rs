//! Plants with places, end to end: every file agrees with the counts, and no plant stands where none
//! may.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a test that stops has failed")]

mod support;

use std::collections::BTreeMap;
use std::path::Path;

use gdal::Dataset;
use gdal::vector::LayerAccess;
use geo::{Contains, Distance, Euclidean, Point};
use serde_json::Value;
use support::{expect, names, scratch, small, written};

fn plan(folder: &Path, layout: &str) -> Value {
    small::write(folder);
    small::text(folder, "site.toml", &format!("{}[layout]\n{layout}", small::SITE));
    expect(folder, &["plan", "site.toml", "-o", "plan"], 0);
    written::json(&folder.join("plan"))
}

/// Block, stock, row and place of every plant of the GeoPackage.
fn plants(folder: &Path) -> Vec<(String, String, i64, Point)> {
    let file = Dataset::open(folder.join("plan/plan.gpkg")).unwrap();
    let mut layer = file.layer_by_name("plants").unwrap();
    let plant = |feature: gdal::vector::Feature| {
        let word = |name: &str| {
            let field = feature.field_index(name).unwrap();
            feature.field_as_string(field).unwrap().unwrap()
        };
        let (x, y, _) = feature.geometry().unwrap().get_point(0);
        let row = word("row_no").parse().unwrap();
        (word("block_id"), word("stock_id"), row, Point::new(x, y))
    };
    layer.features().map(plant).collect()
}

#[test]
fn counts_are_those_of_places_in_every_file() {
    for manner in ["rows", "squares", "triangles", "scattered"] {
        let folder = scratch();
        let plan = plan(folder.path(), &format!("plants = \"{manner}\"\n"));
        let plants = plants(folder.path());
        let mut by_block: BTreeMap<&str, u64> = BTreeMap::new();
        for (block, ..) in &plants {
            *by_block.entry(block).or_default() += 1;
        }
        for block in plan["blocks"].as_array().unwrap() {
            let id = block["block_id"].as_str().unwrap();
            assert_eq!(block["seedlings"].as_u64(), by_block.get(id).copied(), "{manner}: {id}");
        }
        let all = plan["totals"]["seedlings"].as_u64().unwrap();
        assert_eq!(all, plants.len() as u64);
        let csv = std::fs::read_to_string(folder.path().join("plan/plants.csv")).unwrap();
        assert_eq!(csv.lines().count() as u64, all + 1);
        let gpx = std::fs::read_to_string(folder.path().join("plan/plants.gpx")).unwrap();
        assert_eq!(gpx.matches("<wpt ").count() as u64, all);
        // GDAL reads the GPX as points on the globe.
        let read = Dataset::open(folder.path().join("plan/plants.gpx")).unwrap();
        assert_eq!(read.layer_by_name("waypoints").unwrap().feature_count(), all);
        let rows = plants.iter().filter(|(_, _, row, _)| *row > 0).count() as u64;
        if manner == "scattered" {
            assert_eq!(rows, 0);
        } else {
            assert!(rows * 10 >= all * 9, "{manner}: {rows} of {all} in rows");
        }
    }
}

#[test]
fn no_plant_stands_beyond_its_zone_nor_under_a_crown() {
    let folder = scratch();
    plan(folder.path(), "plants = \"rows\"\nclear_of_stands_m = 4\n");
    let zones = written::layer(&folder.path().join("plan"), "zones");
    let stands = written::layer(&folder.path().join("plan"), "stands");
    assert!(!stands.is_empty());
    let mut beside = 0;
    for (block, _, _, place) in plants(folder.path()) {
        let zone = zones.iter().find(|zone| block.starts_with(zone.text("zone_id"))).unwrap();
        assert!(zone.geometry.contains(&place), "{block} {place:?}");
        for stand in &stands {
            let apart = Euclidean.distance(&place, &stand.geometry);
            assert!(apart > 3.95, "{place:?} is {apart} m from {}", stand.text("stand_id"));
            beside += usize::from(apart < 7.0);
        }
    }
    assert!(beside > 0, "some stand close by");
}

#[test]
fn counts_alone_write_no_places_and_one_zone_can_do_without() {
    let folder = scratch();
    let alone = plan(folder.path(), "");
    assert!(names(&folder.path().join("plan")).iter().all(|name| !name.starts_with("plants")));
    let zone = written::layer(&folder.path().join("plan"), "zones").remove(0);
    let id = zone.text("zone_id").to_owned();
    let at = geo::InteriorPoint::interior_point(&zone.geometry).unwrap();
    let choice = format!("[[zone]]\nat = [{}, {}]\ncounts_only = true\n", at.x(), at.y());
    small::text(folder.path(), "choices.toml", &choice);
    let layout = "[layout]\nplants = \"rows\"\n[mosaic]\noverrides = \"choices.toml\"\n";
    small::text(folder.path(), "site.toml", &format!("{}{layout}", small::SITE));
    expect(folder.path(), &["plan", "site.toml", "-o", "plan", "--overwrite"], 0);
    let plants = plants(folder.path());
    assert!(!plants.is_empty());
    assert!(plants.iter().all(|(block, ..)| !block.starts_with(&id)));
    let with = written::json(&folder.path().join("plan"));
    assert_eq!(with["totals"]["seedlings"], alone["totals"]["seedlings"]);
}

#[test]
fn the_same_places_on_any_number_of_threads() {
    let folder = scratch();
    plan(folder.path(), "plants = \"scattered\"\n");
    let first = std::fs::read(folder.path().join("plan/plants.csv")).unwrap();
    let again = ["plan", "site.toml", "-o", "plan", "--overwrite", "--threads", "1"];
    expect(folder.path(), &again, 0);
    assert!(first == std::fs::read(folder.path().join("plan/plants.csv")).unwrap());
}

#[test]
fn plants_that_would_crowd_are_left_out_of_counts_and_told() {
    let folder = scratch();
    let crowded = "plants = \"rows\"\nclear_of_stands_m = 40\nleast_share = 0.7\n";
    small::write(folder.path());
    small::text(folder.path(), "site.toml", &format!("{}[layout]\n{crowded}", small::SITE));
    expect(folder.path(), &["plan", "site.toml", "-o", "plan"], 0);
    let plan = written::json(&folder.path().join("plan"));
    let all = plan["totals"]["seedlings"].as_u64().unwrap();
    assert_eq!(all, plants(folder.path()).len() as u64);
    let told = plan["warnings"].to_string();
    assert!(told.contains("would stand closer than 0.7 of the spacing"), "{told}");
}
