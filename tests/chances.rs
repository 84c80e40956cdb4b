//! How far a plan may be off, by running the real binary on the sample property.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a test that stops has failed")]

mod support;

use std::collections::BTreeMap;
use std::path::Path;

use serde_json::Value;
use support::{expect, names, repository, scratch, small, text};

const FILES: [&str; 4] = ["chance_lines.csv", "chance_zones.csv", "chances.csv", "chances.json"];

fn rows(file: &Path) -> Vec<BTreeMap<String, String>> {
    let mut table = csv::Reader::from_path(file).unwrap();
    table.deserialize().map(Result::unwrap).collect()
}

fn number(row: &BTreeMap<String, String>, name: &str) -> f64 {
    row[name].parse().unwrap_or_else(|_| panic!("{name}: {}", row[name]))
}

#[test]
fn the_sample_property_drawn_again_and_again() {
    let folder = scratch();
    let site = repository().join("sample-layers");
    let site = site.to_str().unwrap();
    expect(folder.path(), &["plan", site, "-o", "plan"], 0);
    let arguments = ["chances", site, "plan", "-o", "one", "--draws", "400", "--threads", "1"];
    let output = expect(folder.path(), &arguments, 0);
    insta::assert_snapshot!("the_chances_of_the_sample_in_words", text(&output.stdout));
    let one = folder.path().join("one");
    assert_eq!(names(&one), FILES);
    // Without a plan one is made, and two threads draw the same.
    expect(folder.path(), &["chances", site, "-o", "two", "--draws", "400", "--threads", "2"], 0);
    for file in FILES {
        let read = |folder: &str| std::fs::read(one.with_file_name(folder).join(file)).unwrap();
        assert_eq!(read("one"), read("two"), "{file}");
    }

    let figures = rows(&one.join("chances.csv"));
    for row in &figures {
        assert!(
            number(row, "low") <= number(row, "middle")
                && number(row, "middle") <= number(row, "high")
        );
    }
    // Where nothing is off the figures are the plan's own.
    let plan: Value =
        serde_json::from_slice(&std::fs::read(folder.path().join("plan/plan.json")).unwrap())
            .unwrap();
    let seedlings = plan["totals"]["seedlings"].as_f64().unwrap();
    assert!((number(&figures[0], "plan") - seedlings).abs() < 0.5, "{:?}", figures[0]);
    let lines = rows(&one.join("chance_lines.csv"));
    let ordered: f64 = lines.iter().map(|line| number(line, "order_qty")).sum();
    assert!((ordered - plan["totals"]["order_qty"].as_f64().unwrap()).abs() < 0.5);
    let zones = rows(&one.join("chance_zones.csv"));
    assert_eq!(zones.len(), plan["zones"].as_array().unwrap().len());
    for zone in &zones {
        assert!(zone["keeps"].is_empty() != zone["note"].is_empty(), "{zone:?}");
    }
}

#[test]
fn a_site_without_weather_says_so_and_odd_numbers_are_refused() {
    let folder = scratch();
    small::write(folder.path());
    let output =
        expect(folder.path(), &["chances", "site.toml", "-o", "chances", "--draws", "20"], 1);
    assert!(text(&output.stdout).contains("no weather"), "{}", text(&output.stdout));
    expect(folder.path(), &["chances", "site.toml", "-o", "none", "--draws", "1"], 2);
    expect(folder.path(), &["plan", "site.toml", "-o", "plan"], 0);
    let over = ["chances", "site.toml", "plan", "-o", "plan", "--overwrite"];
    let output = expect(folder.path(), &over, 2);
    assert!(text(&output.stderr).contains("the plan would be lost"));
    assert!(folder.path().join("plan/plan.json").is_file());
    let keys = format!("{}\n[chances]\nsurvival_year = -1\n", small::SITE);
    small::text(folder.path(), "site.toml", &keys);
    let output = expect(folder.path(), &["chances", "site.toml", "-o", "none"], 2);
    assert!(text(&output.stderr).contains("chances.survival_year"), "{}", text(&output.stderr));
    assert!(!folder.path().join("none").exists());
}
