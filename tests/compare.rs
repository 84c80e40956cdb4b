//! Two plans held against each other, by running the real binary: what is told, the laws that figures obey, and what is
//! refused. `tests/outside.rs` has GEOS lay the plans over one another.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::float_cmp,
    reason = "a test that stops has failed"
)]

mod support;

use std::collections::BTreeMap;
use std::fmt::Write;
use std::path::Path;

use geo::{Area, InteriorPoint};
use serde_json::Value;
use support::{copy_folder, expect, names, repository, scratch, small, text, written};

const FILES: [&str; 6] = [
    "compare.gpkg",
    "compare.json",
    "compare_ground.csv",
    "compare_lines.csv",
    "compare_orders.csv",
    "compare_zones.csv",
];

fn record(folder: &Path) -> Value {
    serde_json::from_slice(&std::fs::read(folder.join("compare.json")).unwrap()).unwrap()
}

fn hectares(value: &Value) -> f64 {
    value.as_f64().unwrap()
}

/// Ground by what stands there, in the first plan (`from`) or the second (`to`).
fn sums(told: &Value, side: &str) -> BTreeMap<String, f64> {
    let mut sums = BTreeMap::new();
    for row in told["ground"].as_array().unwrap() {
        *sums.entry(row[side].as_str().unwrap().to_owned()).or_default() +=
            hectares(&row["plan_area_ha"]);
    }
    sums
}

#[test]
fn the_sample_with_less_of_a_line_and_a_zone_fixed_by_hand() {
    let folder = scratch();
    let run = |arguments: &[&str], status| expect(folder.path(), arguments, status);
    copy_folder(&repository().join("sample-layers"), &folder.path().join("site"));
    run(&["plan", "site", "-o", "usual", "--quiet"], 0);
    let blocks = written::layer(&folder.path().join("usual"), "blocks");
    let amber = blocks.iter().find(|block| block.text("stock_id") == "amber").unwrap();
    let spot = amber.geometry.interior_point().unwrap();
    let choice = format!(
        "[[zone]]\nat = [{}, {}]\nline = \"tops\"\nnote = \"seen from the house\"\n",
        spot.x(),
        spot.y()
    );
    small::text(folder.path(), "site/overrides.toml", &choice);
    let site = folder.path().join("site");
    small::replace(&site, "site.toml", "[mosaic]\n", "[mosaic]\noverrides = \"overrides.toml\"\n");
    small::replace(&site, "stock.toml", "supply = 260000", "supply = 120000");
    run(&["plan", "site", "-o", "less", "--quiet"], 0);
    for plan in ["usual", "less"] {
        run(&["cover", "site", plan, "-o", &format!("cover-{plan}"), "--quiet"], 1);
    }
    let covers = ["--cover", "cover-usual", "cover-less"];
    let output = run(&[&["compare", "usual", "less", "-o", "changes"], &covers[..]].concat(), 0);
    insta::assert_snapshot!("the_sample_with_less_of_a_line_in_words", text(&output.stdout));
    let changes = folder.path().join("changes");
    assert_eq!(names(&changes), FILES);
    let told = record(&changes);
    assert_eq!(told["schema"], "hillweave.compare/1");
    // Ground by line is that of either plan.
    for (side, plan) in [("from", "usual"), ("to", "less")] {
        let sums = sums(&told, side);
        let plan = written::json(&folder.path().join(plan));
        for order in plan["orders"].as_array().unwrap() {
            let expected = hectares(&order["plan_area_ha"]);
            let found = sums.get(order["stock_id"].as_str().unwrap()).copied().unwrap_or_default();
            assert!(
                (found - expected).abs() <= 1e-6 * expected,
                "{side} {}: {found} {expected}",
                order["stock_id"]
            );
        }
        let left = hectares(&plan["totals"]["left_plan_ha"]);
        assert!((sums["not planted"] - left).abs() <= 1e-6 * left);
    }
    // Ground below the target is that of either check, small pieces counted once.
    let below = |side: usize| hectares(&told["cover"]["below_plan_ha"][side]);
    for (side, plan) in ["usual", "less"].into_iter().enumerate() {
        let check = folder.path().join(format!("cover-{plan}")).join("cover.json");
        let check: serde_json::Value =
            serde_json::from_slice(&std::fs::read(check).unwrap()).unwrap();
        assert!((below(side) - hectares(&check["below_plan_ha"])).abs() <= 1e-9);
        assert!(hectares(&check["below_small_plan_ha"]) > 0.0);
    }
    // A file that both plans read is told once, whatever it is read for.
    let inputs = told["inputs"]["changed"].as_array().unwrap();
    assert!(inputs.iter().all(|one| one["a"] != one["b"]), "{inputs:?}");
    // Pieces tile the property.
    let file = gdal::Dataset::open(changes.join("compare.gpkg")).unwrap();
    let pieces = written::rows(&file, "changes");
    let whole: f64 = pieces.iter().map(|piece| piece.geometry.unsigned_area() / 1e4).sum();
    let property = hectares(&told["plans"][0]["property_plan_ha"]);
    assert!((whole - property).abs() <= 1e-6 * property, "{whole} {property}");
    let changed: f64 = pieces.iter().map(|piece| piece.number("line_changes_ha")).sum();
    assert!((changed - hectares(&told["line_changes_plan_ha"])).abs() <= 1e-6);
    // The zone that was fixed goes to its line.
    let fixed =
        pieces.iter().find(|piece| piece.text("from_zone") == amber.text("zone_id")).unwrap();
    assert!(fixed.text("to_lines").contains("tops") && fixed.text("change") == "line");
    // The other way round it is the mirror image, and the same on another number of threads.
    run(&["compare", "less", "usual", "-o", "mirror", "--quiet"], 0);
    let mirror = record(&folder.path().join("mirror"));
    assert_eq!(sums(&told, "from").len(), sums(&mirror, "to").len());
    for (name, found) in sums(&mirror, "to") {
        assert!((found - sums(&told, "from")[&name]).abs() <= 1e-9, "{name}");
    }
    run(
        &[&["compare", "usual", "less", "-o", "again", "--threads", "1", "-q"], &covers[..]]
            .concat(),
        0,
    );
    for file in FILES {
        let bytes = |name: &str| std::fs::read(folder.path().join(name).join(file)).unwrap();
        assert!(bytes("changes") == bytes("again"), "{file}");
    }
}

/// A small plan in a folder of its own.
fn small_plan(folder: &Path, name: &str, change: impl FnOnce(&Path)) {
    let site = folder.join(format!("site-{name}"));
    std::fs::create_dir(&site).unwrap();
    small::write(&site);
    change(&site);
    expect(folder, &["plan", &format!("site-{name}"), "-o", name, "--quiet"], 0);
}

#[test]
fn a_plan_differs_in_nothing_from_itself() {
    let folder = scratch();
    small_plan(folder.path(), "plan", |_| ());
    expect(folder.path(), &["compare", "plan", "plan/plan.json", "-o", "changes", "--quiet"], 0);
    let told = record(&folder.path().join("changes"));
    assert_eq!(told["line_changes_plan_ha"], 0.0);
    assert_eq!(told["density_changes_plan_ha"], 0.0);
    for (list, of) in [("changed", "inputs"), ("changed", "defaults")] {
        assert!(told[of][list].as_array().unwrap().is_empty(), "{of}");
    }
    assert!(told["zone_changes"].as_array().unwrap().is_empty());
    assert!(told["ground"].as_array().unwrap().iter().all(|row| row["from"] == row["to"]));
    assert_eq!(told["plans"][0], told["plans"][1]);
    let printed = expect(folder.path(), &["compare", "plan", "plan", "--json"], 0);
    let printed: Value = serde_json::from_slice(&printed.stdout).unwrap();
    assert_eq!(printed["ground"], told["ground"]);
}

/// The same rectangle of ground, its western or eastern half.
fn half(folder: &Path, west: f64) {
    let ring =
        [(west, 30.0), (west + 60.0, 30.0), (west + 60.0, 170.0), (west, 170.0), (west, 30.0)];
    let ring = format!("[{}]", small::points(&ring));
    small::text(folder, "boundary.geojson", &small::feature("Polygon", &ring));
}

#[test]
fn what_cannot_be_compared_is_refused_in_words() {
    let folder = scratch();
    small_plan(folder.path(), "west", |site| half(site, 30.0));
    small_plan(folder.path(), "east", |site| half(site, 110.0));
    small_plan(folder.path(), "other-grid", |site| {
        small::replace(site, "site.toml", "[site]\n", "[site]\ncrs = \"EPSG:32760\"\ncell_m = 5\n");
    });
    small_plan(folder.path(), "other-name", |site| {
        half(site, 30.0);
        small::replace(site, "site.toml", "Small Fold", "Little Fold");
    });
    let mut said = String::new();
    let mut ask = |arguments: &[&str], status| {
        let output = expect(folder.path(), arguments, status);
        let words = [text(&output.stdout), text(&output.stderr)].concat();
        writeln!(said, "$ hillweave {}\n{}", arguments.join(" "), words.trim_end()).unwrap();
    };
    ask(&["compare", "west", "nowhere"], 2);
    ask(&["compare", "west", "east"], 2);
    ask(&["compare", "west", "other-grid"], 2);
    ask(&["compare", "west", "west", "-o", "west", "--overwrite"], 2);
    ask(&["compare", "west", "west", "--cover", "west", "east"], 2);
    ask(&["compare", "west", "other-name"], 0);
    insta::assert_snapshot!("what_cannot_be_compared_in_words", said);
}
