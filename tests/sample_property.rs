//! The main job on the sample property: laws of the written plan, the same bytes every time.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "a test that stops has failed"
)]

mod support;

use std::path::Path;

use gdal::Dataset;
use gdal::vector::{Geometry, LayerAccess};
use support::{expect, names, sample_in, scratch, small, text, written};

/// Plans the sample property in a folder of its own.
fn plan_sample(folder: &Path, extra: &[&str]) {
    sample_in(folder);
    let mut arguments = vec!["plan", "site/site.toml", "-o", "plan"];
    arguments.extend(extra);
    expect(folder, &arguments, 0);
}

#[test]
fn the_written_plan_obeys_the_laws() {
    let folder = scratch();
    plan_sample(folder.path(), &[]);
    let plan = folder.path().join("plan");
    assert_eq!(
        names(&plan),
        [
            "blocks.geojson",
            "cards.csv",
            "orders.csv",
            "plan.gpkg",
            "plan.json",
            "plan.qgs",
            "schedule.csv",
            "schedule.xlsx",
            "zones.geojson"
        ]
    );
    let property = Dataset::open(folder.path().join("site/property.gpkg")).unwrap();
    let boundary = written::rows(&property, "boundary").remove(0).geometry;
    written::assert_laws(&plan, &boundary);
}

#[test]
fn cultivars_go_where_they_fit_and_local_seed_where_it_must() {
    let folder = scratch();
    plan_sample(folder.path(), &[]);
    let told = written::json(&folder.path().join("plan"));
    let kinds: Vec<&str> = told["orders"]
        .as_array()
        .unwrap()
        .iter()
        .filter(|order| order["seedlings"].as_u64() > Some(0))
        .map(|order| order["stock_kind"].as_str().unwrap())
        .collect();
    assert!(kinds.contains(&"cultivar") && kinds.contains(&"seed_line"), "{kinds:?}");
    for block in told["blocks"].as_array().unwrap() {
        assert!(block["fit"].as_f64().unwrap() >= 0.2, "planted below the floor: {block}");
    }
    assert!(told["solution"]["gap"].as_f64().unwrap() <= 0.001 + 1e-9);
}

/// Water over the ground takes most of a large plan's time, so it is worked out where something asks.
#[test]
fn wetness_is_told_where_it_is_asked_for() {
    let zones = |factors: &str| {
        let folder = scratch();
        small::write(folder.path());
        let zones = format!("[zones]\nfactors = [{factors}]");
        small::replace(folder.path(), "site.toml", "[zones]", &zones);
        expect(folder.path(), &["plan", "site.toml", "-o", "plan", "--only", "zones"], 0);
        written::json(&folder.path().join("plan"))
    };
    let (without, with) = (zones("\"slope_group\""), zones("\"slope_group\", \"wetness_class\""));
    assert!(
        without["ground"]["wetness_edges"].is_null() && with["ground"]["wetness_edges"].is_array()
    );
    let each = |plan: &serde_json::Value, holds: &dyn Fn(&serde_json::Value) -> bool| {
        plan["zones"].as_array().unwrap().iter().all(holds)
    };
    assert!(
        each(&without, &|zone| zone["wetness_class"].is_null() && zone["wetness_mean"].is_null())
    );
    assert!(each(&with, &|zone| zone["wetness_class"].is_string() && zone["wetness_mean"].is_f64()));
    assert_eq!(without["totals"]["property_plan_ha"], with["totals"]["property_plan_ha"]);
}

#[test]
fn the_same_input_gives_the_same_bytes_on_any_number_of_threads() {
    let (one, two, again) = (scratch(), scratch(), scratch());
    plan_sample(one.path(), &["--threads", "1"]);
    plan_sample(two.path(), &["--threads", "2"]);
    plan_sample(again.path(), &["--threads", "2"]);
    let tables = ["schedule.csv", "schedule.xlsx", "orders.csv", "cards.csv"];
    for file in ["zones.geojson", "blocks.geojson", "plan.json"].into_iter().chain(tables) {
        let bytes = |folder: &tempfile::TempDir| {
            std::fs::read(folder.path().join("plan").join(file)).unwrap()
        };
        assert!(bytes(&one) == bytes(&two), "{file} differs between 1 and 2 threads");
        assert!(bytes(&two) == bytes(&again), "{file} differs between two runs");
    }
}

#[test]
fn no_path_of_the_machine_is_in_a_data_file() {
    let folder = scratch();
    plan_sample(folder.path(), &[]);
    let here = folder.path().display().to_string();
    for file in
        ["zones.geojson", "blocks.geojson", "schedule.csv", "orders.csv", "cards.csv", "plan.json"]
    {
        let whole = std::fs::read_to_string(folder.path().join("plan").join(file)).unwrap();
        assert!(!whole.contains(&here), "{file} holds {here}");
    }
}

#[test]
fn more_supply_never_plants_worse_and_less_never_better() {
    let objective = |supply: &str| {
        let folder = scratch();
        small::write(folder.path());
        small::replace(folder.path(), "stock.toml", "supply = 1500", supply);
        expect(folder.path(), &["plan", "site.toml", "-o", "plan"], 0);
        let told = written::json(&folder.path().join("plan"));
        told["solution"]["objective"].as_f64().unwrap()
    };
    let (none, some, more) =
        (objective("supply = 0"), objective("supply = 700"), objective("supply = 5000"));
    assert!(none <= some + 1e-9 && some <= more + 1e-9, "{none} {some} {more}");
    assert!(none < more, "supply makes no difference: the test tests nothing");
}

#[test]
fn a_plan_tells_a_person_what_they_want_to_know() {
    let folder = scratch();
    sample_in(folder.path());
    let output = expect(folder.path(), &["plan", "site/site.toml", "-o", "plan", "--timings"], 0);
    let (out, err) = (text(&output.stdout), text(&output.stderr));
    for word in ["planted", "not planted", "steep", "to order", "cautions", "plan written to plan"]
    {
        assert!(out.contains(word), "`{word}` is missing from\n{out}");
    }
    for stage in ["read", "ground", "zones", "fit", "mosaic", "counts", "write", "total"] {
        assert!(err.contains(stage), "`{stage}` is missing from\n{err}");
    }
}

/// Cautions of the work that follows planting stand once each; the ground near water and neighbours is that of
/// GEOS's buffers around the same streams and inside the same boundary.
#[test]
fn cautions_of_the_work_stand_beside_the_ground_they_concern() {
    let folder = scratch();
    plan_sample(folder.path(), &["--only", "zones"]);
    let plan = folder.path().join("plan");
    let told = written::json(&plan);
    let cautions = told["cautions"].as_array().unwrap();
    let about = |words: &str| {
        let mut of = cautions.iter().filter(|one| one["about"].as_str().unwrap() == words);
        let one = of.next().unwrap_or_else(|| panic!("{words}: {cautions:#?}"));
        assert!(of.next().is_none(), "{words} is told twice");
        let text = one["text"].as_str().unwrap();
        assert!(text.ends_with("local rules and licensed people decide"), "{text}");
        assert!(!text.contains("safe to"), "{text}");
        one["plan_area_ha"].as_f64().unwrap()
    };
    let zones = shapes(&plan.join("plan.gpkg"), "zones");
    let all: f64 = zones.iter().map(|zone| zone.area() / 1e4).sum();
    for whole in ["fire", "plant health"] {
        assert!((about(whole) - all).abs() < 1e-3, "{whole}");
    }
    let property = folder.path().join("site/property.gpkg");
    let boundary = shapes(&property, "boundary").remove(0);
    let inside = boundary.buffer(-30.0, 16).unwrap();
    let by_streams = shapes(&property, "streams")
        .iter()
        .map(|stream| stream.buffer(30.0, 16).unwrap())
        .reduce(|all, one| all.union(&one).unwrap())
        .unwrap();
    let far = inside.difference(&by_streams).unwrap();
    let expected: f64 =
        zones.iter().map(|zone| zone.difference(&far).map_or(0.0, |near| near.area() / 1e4)).sum();
    let found = about("spraying near water and the boundary");
    // Distances between middles of cells of 2 m.
    assert!((found / expected - 1.0).abs() < 0.05, "{found} {expected}");
    let [wet, stock] = ["wet ground", "stock near streams and on wet ground"].map(about);
    assert!(wet > 0.0 && stock >= wet && stock < all, "{wet} {stock} {all}");
}

fn shapes(file: &Path, layer: &str) -> Vec<Geometry> {
    let dataset = Dataset::open(file).unwrap();
    let mut layer = dataset.layer_by_name(layer).unwrap();
    layer.features().map(|feature| feature.geometry().unwrap().clone()).collect()
}
