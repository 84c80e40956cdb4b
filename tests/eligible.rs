//! Planted ground held against rule sets, by running the real binary.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::float_cmp,
    reason = "a test that stops has failed"
)]

mod support;

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

use gdal::Dataset;
use gdal::vector::{Geometry, LayerAccess};
use serde_json::Value;
use support::{expect, names, repository, scratch, small, text, written};

const FILES: [&str; 3] = ["eligible.csv", "eligible.gpkg", "eligible.json"];

fn record(folder: &Path) -> Value {
    serde_json::from_slice(&std::fs::read(folder.join("eligible.json")).unwrap()).unwrap()
}

fn rows(file: &Path) -> Vec<BTreeMap<String, String>> {
    let mut table = csv::Reader::from_path(file).unwrap();
    table.deserialize().map(Result::unwrap).collect()
}

fn number(row: &BTreeMap<String, String>, name: &str) -> f64 {
    row[name].parse().unwrap_or_else(|_| panic!("{name}: {}", row[name]))
}

fn polygons(file: &Path, layer: &str, id: &str) -> BTreeMap<String, Geometry> {
    let dataset = Dataset::open(file).unwrap();
    let mut layer = dataset.layer_by_name(layer).unwrap();
    let at = layer.defn().field_index(id).unwrap();
    let of = |feature: gdal::vector::Feature<'_>| {
        let name = feature.field_as_string(at).unwrap().unwrap();
        (name, feature.geometry().unwrap().clone())
    };
    layer.features().map(of).collect()
}

#[test]
fn the_sample_property_under_its_plan() {
    let folder = scratch();
    let site = repository().join("sample-layers");
    let site = site.to_str().unwrap();
    expect(folder.path(), &["plan", site, "-o", "plan"], 0);
    let output = expect(folder.path(), &["eligible", site, "plan", "-o", "eligible"], 1);
    insta::assert_snapshot!("the_sample_against_rules_in_words", text(&output.stdout));
    let folder_of = |name: &str| folder.path().join(name);
    assert_eq!(names(&folder_of("eligible")), FILES);
    // The plan that is made on the spot gives the same bytes.
    expect(folder.path(), &["eligible", site, "-o", "again", "--threads", "1"], 1);
    for file in FILES {
        let read = |folder: &str| std::fs::read(folder_of(folder).join(file)).unwrap();
        assert_eq!(read("eligible"), read("again"), "{file}");
    }
    let check = record(&folder_of("eligible"));
    assert_eq!(check["schema"], "hillweave.eligible/1");
    let pieces = check["pieces"].as_array().unwrap();

    // Every planted hectare of the plan is in one piece.
    let plan = written::json(&folder_of("plan"));
    let blocks = plan["blocks"].as_array().unwrap();
    let sum = |rows: &[Value], key: &str| -> f64 {
        rows.iter().map(|row| row[key].as_f64().unwrap()).sum()
    };
    assert!((sum(pieces, "planted_plan_ha") - sum(blocks, "plan_area_ha")).abs() < 1e-4);
    // Stems live at the rates of the orders, which are those of the blocks together.
    let orders = plan["line_orders"].as_array().unwrap();
    let survival: BTreeMap<(&str, Option<i64>), f64> = orders
        .iter()
        .map(|one| {
            let line = one["stock_id"].as_str().unwrap();
            ((line, one["season"].as_i64()), one["survival"].as_f64().unwrap())
        })
        .collect();
    let expected: f64 = blocks
        .iter()
        .map(|one| {
            let line = one["stock_id"].as_str().unwrap();
            one["seedlings"].as_f64().unwrap() * survival[&(line, one["season"].as_i64())]
        })
        .sum();
    let living: f64 = pieces
        .iter()
        .map(|one| one["live_sph"].as_f64().unwrap() * one["planted_plan_ha"].as_f64().unwrap())
        .sum();
    assert!((living / expected - 1.0).abs() < 0.02, "{living} {expected}");

    // GEOS joins the same zones into as many polygons of the same size.
    let planted: BTreeSet<&str> =
        blocks.iter().map(|one| one["zone_id"].as_str().unwrap()).collect();
    let zones = polygons(&folder_of("plan").join("plan.gpkg"), "zones", "zone_id");
    let joined = zones
        .iter()
        .filter(|(zone, _)| planted.contains(zone.as_str()))
        .map(|(_, outline)| outline.clone())
        .reduce(|all, one| all.union(&one).unwrap())
        .unwrap();
    let mut theirs: Vec<f64> =
        (0..joined.geometry_count()).map(|at| joined.get_geometry(at).area()).collect();
    theirs.sort_by(|one, other| other.total_cmp(one));
    let ours = polygons(&folder_of("eligible").join("eligible.gpkg"), "planted_pieces", "piece_id");
    assert_eq!(ours.len(), theirs.len());
    for (piece, theirs) in ours.values().zip(&theirs) {
        assert!(piece.is_valid());
        assert!((piece.area() - theirs).abs() < 0.1, "{} {theirs}", piece.area());
    }

    // Each test stands on each piece, and its verdict follows from its own row.
    let table = rows(&folder_of("eligible").join("eligible.csv"));
    let rules = check["rules"].as_array().unwrap();
    let tests: usize = rules.iter().map(|rule| rule["tests"].as_array().unwrap().len()).sum();
    assert_eq!(table.len(), pieces.len() * tests);
    for row in &table {
        let most = row["found_most"].parse().unwrap_or(f64::INFINITY);
        let holds = [number(row, "found_least"), most].map(|found| match &*row["compare"] {
            "at_least" => found >= number(row, "asked"),
            "more_than" => found > number(row, "asked"),
            "at_most" => found <= number(row, "asked"),
            other => panic!("{other}"),
        });
        let verdict = match holds {
            [true, true] => "meets",
            [false, false] => "does_not_meet",
            _ => "cannot_be_told",
        };
        assert_eq!(row["verdict"], verdict, "{row:?}");
        assert!(row["caution"].contains("check with the scheme"));
    }
}

const OWN: &str = "\
name = \"a made-up scheme\"
jurisdiction = \"nowhere\"
state = \"in_force\"
check_with = \"its makers\"
[source]
author = \"nobody\"
title = \"terms\"
date = \"2024\"
[[test]]
measure = \"area_ha\"
compare = \"at_least\"
value = 0.2
[[test]]
measure = \"mature_height_m\"
compare = \"at_least\"
value = 3
";

fn with_rules(folder: &Path) {
    small::write(folder);
    let rules = "\n[eligibility]\nrules = [\"own.toml\"]\n";
    small::text(folder, "site.toml", &format!("{}{rules}", small::SITE));
    small::text(folder, "own.toml", OWN);
}

const RUN: [&str; 5] = ["eligible", "site.toml", "plan", "-o", "eligible"];

fn verdicts(folder: &Path) -> BTreeSet<String> {
    let rows = rows(&folder.join("eligible/eligible.csv"));
    rows.iter().filter(|row| row["piece_id"] == "P001").map(|row| row["verdict"].clone()).collect()
}

/// Heights that the stock file does not tell cannot be told; once it does, the tests are met.
#[test]
fn rules_of_the_site_and_heights_that_are_not_known() {
    let folder = scratch();
    with_rules(folder.path());
    expect(folder.path(), &["plan", "site.toml", "-o", "plan"], 0);
    expect(folder.path(), &RUN, 1);
    let check = record(&folder.path().join("eligible"));
    assert_eq!(check["rules"].as_array().unwrap().len(), 1);
    assert_eq!(check["rules"][0]["rule_id"], "own");
    assert_eq!(
        verdicts(folder.path()).into_iter().collect::<Vec<_>>(),
        ["cannot_be_told", "meets"]
    );
    expect(folder.path(), &RUN, 2);
    for kind in ["kind = \"cultivar\"", "kind = \"seed_line\""] {
        small::replace(
            folder.path(),
            "stock.toml",
            kind,
            &format!("{kind}\nmature_height_m = 3.5"),
        );
    }
    let output = support::hillweave(folder.path(), &[&RUN[..], &["--overwrite"]].concat());
    assert_eq!(verdicts(folder.path()).into_iter().collect::<Vec<_>>(), ["meets"]);
    let words = text(&output.stdout);
    assert!(words.contains("meets the test as written") && words.contains("check with"), "{words}");
    assert!(!words.contains("is eligible") && !words.contains("qualifies"), "{words}");
}

#[test]
fn faults_of_rule_files_in_words() {
    let folder = scratch();
    with_rules(folder.path());
    expect(folder.path(), &["plan", "site.toml", "-o", "plan"], 0);
    let faulty = OWN
        .replace("date = \"2024\"\n", "")
        .replace("value = 0.2", "value = -0.2")
        .replace("value = 3", "value = nan\nyaers = 3");
    small::text(folder.path(), "own.toml", &faulty);
    let output = expect(folder.path(), &RUN, 2);
    insta::assert_snapshot!(text(&output.stderr));
    assert!(!folder.path().join("eligible").exists(), "nothing is half written");
    std::fs::remove_file(folder.path().join("own.toml")).unwrap();
    let output = expect(folder.path(), &RUN, 2);
    assert!(text(&output.stderr).contains("own.toml"));
    small::replace(folder.path(), "site.toml", "[\"own.toml\"]", "[]");
    let output = expect(folder.path(), &RUN, 2);
    assert!(text(&output.stderr).contains("at least one rule file"), "{}", text(&output.stderr));
}

#[test]
fn a_plan_of_zones_alone_is_refused() {
    let folder = scratch();
    with_rules(folder.path());
    expect(folder.path(), &["plan", "site.toml", "-o", "zones", "--only", "zones"], 0);
    let output = expect(folder.path(), &["eligible", "site.toml", "zones", "-o", "eligible"], 2);
    let words = text(&output.stderr);
    assert!(words.contains("nothing that is planted") && words.contains("plan.json"), "{words}");
    let over = ["eligible", "site.toml", "zones", "-o", "zones", "--overwrite"];
    let output = expect(folder.path(), &over, 2);
    assert!(text(&output.stderr).contains("the plan would be lost"));
    assert!(folder.path().join("zones/plan.json").is_file());
}
