//! Cards for the crew, end to end: one for each block, and drop points that lie on the tracks.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "a test that stops has failed"
)]

mod support;

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

use gdal::Dataset;
use gdal::vector::{FieldValue, LayerAccess};
use geo::{Distance, Euclidean, Geometry, Point};
use support::{copy_folder, expect, names, repository, scratch, small, text, written};

/// What is asked of the work that follows planting is not for the crew that plants.
const AFTER: [&str; 7] = [
    "spraying near water and the boundary",
    "spraying",
    "wet ground",
    "stock near streams and on wet ground",
    "stock near water",
    "fire",
    "plant health",
];

/// Rows of a table, by the names of its columns.
fn table(file: &Path) -> Vec<BTreeMap<String, String>> {
    let mut reader = csv::Reader::from_path(file).unwrap();
    reader.deserialize().map(Result::unwrap).collect()
}

/// Every shape of a layer as GDAL reads it, with its fields.
fn shapes(file: &Path, layer: &str) -> Vec<(BTreeMap<String, String>, Geometry<f64>)> {
    let file = Dataset::open(file).unwrap();
    let mut layer = file.layer_by_name(layer).unwrap();
    let words = |value: Option<FieldValue>| value.and_then(FieldValue::into_string);
    layer
        .features()
        .map(|feature| {
            let fields =
                feature.fields().map(|(name, value)| (name, words(value).unwrap_or_default()));
            (fields.collect(), feature.geometry().unwrap().to_geo().unwrap())
        })
        .collect()
}

fn number(row: &BTreeMap<String, String>, column: &str) -> f64 {
    row[column].parse().unwrap_or_else(|_| panic!("{column} is `{}`", row[column]))
}

fn least(tracks: &[(BTreeMap<String, String>, Geometry<f64>)], to: &Geometry<f64>) -> f64 {
    tracks.iter().map(|(_, track)| Euclidean.distance(track, to)).fold(f64::INFINITY, f64::min)
}

/// Source: whole-shape distances of `geo` between the layers as GDAL reads them back; with GEOS in
/// `outside.rs`.
#[test]
fn cards_of_the_sample_agree_with_the_schedule_and_with_the_tracks() {
    let folder = scratch();
    copy_folder(&repository().join("sample-layers"), &folder.path().join("site"));
    expect(folder.path(), &["plan", "site/site.toml", "-o", "plan"], 0);
    let plan = folder.path().join("plan");
    let cards = table(&plan.join("cards.csv"));

    let schedule = table(&plan.join("schedule.csv"));
    assert_eq!(cards.len(), schedule.len());
    let blocks: BTreeMap<&str, _> = schedule.iter().map(|row| (&*row["block_id"], row)).collect();
    for (at, card) in cards.iter().enumerate() {
        assert_eq!(card["card_no"], (at + 1).to_string());
        let block = blocks[&*card["block_id"]];
        let same = ["zone_id", "stock_id", "stock_name", "season", "seedlings", "order_qty"];
        for column in same.iter().chain(&["density_basis"]) {
            assert_eq!(card[*column], block[*column], "{column} of {}", card["block_id"]);
        }
        let apart = number(card, "spacing_m") - number(block, "spacing_m");
        assert!(apart.abs() <= 0.005 + 1e-9, "to a centimetre: {apart}");
        // Trays of 45, as the sample's [order] has it.
        let boxes = card["order_qty"].parse::<u64>().unwrap().div_ceil(45).to_string();
        assert_eq!((&*card["boxes"], &*card["pattern"]), (&*boxes, "square"));
    }
    let zones: Vec<&str> = cards.iter().map(|card| &*card["zone_id"]).collect();
    assert!(zones.is_sorted(), "by zone");

    let pairs = |a: &str, b: &str| -> BTreeSet<(String, String)> {
        cards.iter().map(|card| (card[a].clone(), card[b].clone())).collect()
    };
    let lines = pairs("stock_id", "stock_id").len();
    assert!((2..=8).contains(&lines), "{lines} lines are planted");
    for mark in ["letter", "colour", "colour_hex"] {
        assert_eq!(pairs("stock_id", mark).len(), lines, "one {mark} a line");
        assert_eq!(pairs(mark, mark).len(), lines, "no {mark} twice");
    }

    let tracks = shapes(&folder.path().join("site/property.gpkg"), "tracks");
    let zones = shapes(&plan.join("plan.gpkg"), "zones");
    for card in &cards {
        let (_, zone) = zones.iter().find(|(row, _)| row["zone_id"] == card["zone_id"]).unwrap();
        let (east, north) = (number(card, "drop_east_m"), number(card, "drop_north_m"));
        let drop = Geometry::from(Point::new(east, north));
        let (from_track, to_zone) = (least(&tracks, &drop), Euclidean.distance(&drop, zone));
        let nearest = least(&tracks, zone);
        assert!(from_track < 1e-6, "{}: {from_track} m off the track", card["block_id"]);
        assert!((number(card, "to_track_m") - nearest).abs() < 1e-6, "{}", card["block_id"]);
        assert!(to_zone <= nearest + 1.0 + 1e-6, "{}: {to_zone} m", card["block_id"]);
    }

    let told = written::json(&plan);
    assert_eq!(told["cards"].as_array().unwrap().len(), cards.len());
    let cautions = told["cautions"].as_array().unwrap();
    let is_on_cards = |about: &str| about != "drop points" && !AFTER.contains(&about);
    for card in &cards {
        for caution in cautions.iter().filter(|one| is_on_cards(one["about"].as_str().unwrap())) {
            let concerned =
                caution["zones"].as_array().unwrap().iter().any(|id| *id == *card["zone_id"]);
            let about = format!("{} on ", caution["about"].as_str().unwrap());
            let told = card["hazards"].split("; ").any(|hazard| hazard.starts_with(&about));
            assert_eq!(told, concerned, "{about}: {}", card["hazards"]);
        }
    }
    let safely = cautions.iter().find(|caution| caution["about"] == "drop points").unwrap();
    assert!(safely["text"].as_str().unwrap().contains("settled by people on site"));
    let globe = (number(&cards[0], "drop_longitude_deg"), number(&cards[0], "drop_latitude_deg"));
    assert!(globe.0.abs() <= 180.0 && (-60.0..-30.0).contains(&globe.1), "{globe:?}");
}

#[test]
fn without_tracks_cards_have_no_drop_point_and_zones_alone_have_no_cards() {
    let folder = scratch();
    small::write(folder.path());
    expect(folder.path(), &["plan", "site.toml", "-o", "plan"], 0);
    let cards = table(&folder.path().join("plan/cards.csv"));
    assert!(!cards.is_empty());
    for column in
        ["drop_east_m", "drop_north_m", "to_track_m", "drop_longitude_deg", "drop_latitude_deg"]
    {
        assert!(cards.iter().all(|card| card[column].is_empty()), "{column}");
    }
    let told = written::json(&folder.path().join("plan"))["cautions"].to_string();
    assert!(!told.contains("drop point"), "{told}");
    expect(
        folder.path(),
        &["plan", "site.toml", "-o", "plan", "--overwrite", "--only", "zones"],
        0,
    );
    assert!(!names(&folder.path().join("plan")).iter().any(|name| name == "cards.csv"));
}

fn with_tracks(folder: &Path, kind: &str, coordinates: &str) {
    small::write(folder);
    small::text(folder, "ways.geojson", &small::feature(kind, coordinates));
    small::replace(
        folder,
        "site.toml",
        "[[keep_clear]]",
        "[layers.tracks]\nfile = \"ways.geojson\"\n[[keep_clear]]",
    );
    small::replace(folder, "site.toml", "distance_m = 5", "distance_m = 5\nask_within_m = 9");
}

#[test]
fn a_drop_point_that_lies_where_to_ask_first_says_so_and_threads_change_nothing() {
    let folder = scratch();
    // Along the stream, which is kept clear 5 m wide and asked about within 9 m.
    with_tracks(
        folder.path(),
        "LineString",
        &small::points(&[(96.0, 10.0), (101.0, 80.0), (93.0, 190.0)]),
    );
    let said = expect(folder.path(), &["check", "site.toml"], 0);
    assert!(text(&said.stdout).contains("tracks: ways.geojson"), "{}", text(&said.stdout));
    expect(folder.path(), &["plan", "site.toml", "-o", "plan"], 0);
    let cards = table(&folder.path().join("plan/cards.csv"));
    let beside: Vec<_> =
        cards.iter().filter(|card| (number(card, "to_track_m") - 5.0).abs() < 0.02).collect();
    assert!(!beside.is_empty(), "{cards:?}");
    for card in &cards {
        assert!(card["hazards"].ends_with("the drop point lies within 9 m of stream"), "{card:?}");
    }
    let bytes = || std::fs::read(folder.path().join("plan/cards.csv")).unwrap();
    let before = bytes();
    expect(folder.path(), &["plan", "site.toml", "-o", "plan", "--overwrite", "--threads", "1"], 0);
    assert!(bytes() == before, "the same on any number of threads");
}

#[test]
fn an_area_is_no_track() {
    let folder = scratch();
    let ring = small::points(&[(0.0, 0.0), (9.0, 0.0), (9.0, 9.0), (0.0, 0.0)]);
    with_tracks(folder.path(), "Polygon", &format!("[{ring}]"));
    let refused = expect(folder.path(), &["plan", "site.toml", "-o", "plan"], 2);
    let said = text(&refused.stderr);
    assert!(said.contains("ways.geojson") && said.contains("draw the track as a line"), "{said}");
    assert!(!folder.path().join("plan").exists());
}
