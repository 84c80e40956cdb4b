//! Plans in other formats, by running the real binary: what is told, what is refused, and the same bytes each time.
//! `tests/outside.rs` gives the files to readers that had no part in writing them.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a test that stops has failed")]

mod support;

use std::collections::BTreeSet;
use std::fmt::Write;
use std::path::Path;

use serde_json::Value;
use support::{expect, names, repository, scratch, small, text};

fn record(folder: &Path) -> Value {
    serde_json::from_slice(&std::fs::read(folder.join("export.json")).unwrap()).unwrap()
}

/// A small site and its plan, with a place for each plant.
fn small_plan(folder: &Path) {
    small::write(folder);
    small::replace(folder, "site.toml", "[stock]\n", "[layout]\nplants = \"rows\"\n[stock]\n");
    expect(folder, &["plan", "site.toml", "-o", "plan", "--quiet"], 0);
}

#[test]
fn the_sample_in_every_format_in_words() {
    let folder = scratch();
    let site = repository().join("sample-layers");
    expect(folder.path(), &["plan", site.to_str().unwrap(), "-o", "plan", "--quiet"], 0);
    let output = expect(folder.path(), &["export", "plan", "-o", "export"], 1);
    insta::assert_snapshot!("the_sample_in_every_format_in_words", text(&output.stdout));
    let export = folder.path().join("export");
    let told = record(&export);
    assert_eq!(told["schema"], "hillweave.export/1");
    // What the record names is there, and all that is there is named by it or belongs to a set that is.
    let named: BTreeSet<&str> = told["files"]
        .as_array()
        .unwrap()
        .iter()
        .map(|file| file["file"].as_str().unwrap())
        .collect();
    let besides = ["export.json", "shapefile_names.csv"];
    for name in names(&export) {
        let of_set = name.rsplit_once('.').map(|(stem, _)| format!("{stem}.shp"));
        let known = named.contains(&*name) || of_set.is_some_and(|set| named.contains(&*set));
        assert!(known || besides.contains(&&*name), "{name}");
    }
    // Hectares are those of the plan.
    let plan: Value =
        serde_json::from_slice(&std::fs::read(folder.path().join("plan/plan.json")).unwrap())
            .unwrap();
    let grid: f64 = told["files"]
        .as_array()
        .unwrap()
        .iter()
        .filter(|file| file["format"] == "shapefile" && file["file"] != "blocks.shp")
        .map(|file| file["layers"][0]["plan_area_ha"].as_f64().unwrap())
        .sum();
    let property = plan["totals"]["property_plan_ha"].as_f64().unwrap();
    assert!((grid - property).abs() < 1e-6 * property, "{grid} and {property}");
}

#[test]
fn the_same_plan_gives_the_same_bytes() {
    let folder = scratch();
    small_plan(folder.path());
    expect(folder.path(), &["export", "plan", "-o", "one", "--threads", "1", "--quiet"], 0);
    std::thread::sleep(std::time::Duration::from_millis(2100)); // a table tells the day, a file system the second
    expect(folder.path(), &["export", "plan/plan.json", "-o", "two", "--quiet"], 0);
    let files = names(&folder.path().join("one"));
    assert!(files.iter().any(|file| file == "plants.fgb"), "{files:?}");
    assert_eq!(files, names(&folder.path().join("two")));
    for file in files {
        let bytes =
            |folder_name: &str| std::fs::read(folder.path().join(folder_name).join(&file)).unwrap();
        assert!(bytes("one") == bytes("two"), "{file}");
    }
}

#[test]
fn only_the_formats_that_are_asked_for_are_written() {
    let folder = scratch();
    small_plan(folder.path());
    expect(folder.path(), &["export", "plan", "-o", "export", "--format", "gpx,kml,gpx"], 0);
    assert_eq!(names(&folder.path().join("export")), ["export.json", "plan.gpx", "plan.kml"]);
    let refused = expect(folder.path(), &["export", "plan", "-o", "export", "--format", "kml"], 2);
    assert!(text(&refused.stderr).contains("--overwrite"));
    expect(folder.path(), &["export", "plan", "-o", "export", "--format", "kml", "--overwrite"], 0);
    assert_eq!(names(&folder.path().join("export")), ["export.json", "plan.kml"]);
}

#[test]
fn what_cannot_be_exported_is_refused_in_words() {
    let folder = scratch();
    small_plan(folder.path());
    let mut said = String::new();
    let mut refuse = |arguments: &[&str]| {
        let output = expect(folder.path(), arguments, 2);
        assert!(!folder.path().join("out").exists());
        let words = text(&output.stderr).replace(&folder.path().display().to_string(), "[here]");
        writeln!(said, "$ hillweave {}\n{}", arguments.join(" "), words.trim_end()).unwrap();
    };
    refuse(&["export", "nowhere", "-o", "out"]);
    refuse(&["export", "plan", "-o", "plan", "--overwrite"]);
    refuse(&["export", "plan", "-o", "out", "--format", "tiff"]);
    let gpkg = folder.path().join("plan/plan.gpkg");
    let whole = std::fs::read(&gpkg).unwrap();
    std::fs::write(&gpkg, &whole[..whole.len() / 3]).unwrap();
    refuse(&["export", "plan", "-o", "out"]);
    std::fs::remove_file(&gpkg).unwrap();
    refuse(&["export", "plan", "-o", "out"]);
    std::fs::write(&gpkg, &whole).unwrap();
    small::replace(
        &folder.path().join("plan"),
        "plan.json",
        "\"zone_id\": \"Z001\"",
        "\"zone_id\": \"Z901\"",
    );
    refuse(&["export", "plan", "-o", "out"]);
    insta::assert_snapshot!("what_cannot_be_exported_in_words", said);
}
