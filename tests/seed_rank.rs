//! Mother trees ranked and chosen, by running the real binary on the sheets of the sample property; what it
//! wrote is reckoned again from the files, and planned with.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a test that stops has failed")]

mod support;

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

use gdal::Dataset;
use gdal::vector::LayerAccess;
use serde_json::Value;
use support::{copy_folder, expect, names, repository, scratch, small, text};

const FILES: [&str; 10] = [
    "mothers.csv",
    "mothers.gpx",
    "pilot.csv",
    "seed_line.toml",
    "seed_rank.gpkg",
    "seed_rank.html",
    "seed_rank.json",
    "stock.toml",
    "trade_off.csv",
    "trees.csv",
];

fn sample() -> PathBuf {
    repository().join("sample-layers")
}

/// Ranks the sample property into `folder/NAME`; its lab sheet has figures below the laboratory's limit, so
/// there is something to look at.
fn ranked(folder: &Path, name: &str, more: &[&str]) -> std::process::Output {
    let (site, lab) = (sample(), sample().join("lab_sheet.csv"));
    let mut arguments =
        vec!["seed", "rank", site.to_str().unwrap(), lab.to_str().unwrap(), "-o", name];
    arguments.extend(more);
    expect(folder, &arguments, 1)
}

fn rows(file: &Path) -> Vec<BTreeMap<String, String>> {
    csv::Reader::from_path(file).unwrap().deserialize().map(Result::unwrap).collect()
}

fn record(folder: &Path) -> Value {
    serde_json::from_slice(&std::fs::read(folder.join("seed_rank.json")).unwrap()).unwrap()
}

fn number(row: &BTreeMap<String, String>, name: &str) -> f64 {
    row[name].parse().unwrap_or_else(|_| panic!("{name}: `{}`", row[name]))
}

#[test]
fn the_sample_property_ranked() {
    let folder = scratch();
    let output = ranked(folder.path(), "seed", &[]);
    insta::assert_snapshot!("the_ranking_of_the_sample_in_words", text(&output.stdout));
    let seed = folder.path().join("seed");
    assert_eq!(names(&seed), FILES);
    let (trees, mothers) = (rows(&seed.join("trees.csv")), rows(&seed.join("mothers.csv")));
    let told = record(&seed);
    means_are_those_of_the_lab_sheet(&trees);
    mothers_keep_the_rules(&trees, &mothers);
    files_agree(&seed, &trees, &mothers, &told);

    // What it found of the stands serves the next round.
    let site = sample();
    let next = ["seed", "sites", site.to_str().unwrap(), "-o", "next", "--allocation", "neyman"];
    expect(folder.path(), &[&next[..], &["--pilot", "seed/pilot.csv", "--quiet"]].concat(), 0);

    // The same bytes whatever the number of threads; an earlier ranking is only replaced when asked.
    ranked(folder.path(), "again", &["--threads", "1", "--quiet"]);
    for name in FILES.iter().filter(|name| **name != "seed_rank.gpkg") {
        let bytes = |of: &str| std::fs::read(folder.path().join(of).join(name)).unwrap();
        assert_eq!(bytes("seed"), bytes("again"), "{name}");
    }
    let (site, lab) = (sample(), sample().join("lab_sheet.csv"));
    let arguments = ["seed", "rank", site.to_str().unwrap(), lab.to_str().unwrap(), "-o", "seed"];
    let refused = expect(folder.path(), &arguments, 2);
    assert!(text(&refused.stderr).contains("--overwrite"));
    ranked(folder.path(), "seed", &["--overwrite", "--quiet"]);
}

/// Reckoned from the sheet alone: DHA over sugar per flower, times 800,000 (80 °Brix is 80 % sugar).
fn means_are_those_of_the_lab_sheet(trees: &[BTreeMap<String, String>]) {
    let mut samples: BTreeMap<String, Vec<f64>> = BTreeMap::new();
    for row in rows(&sample().join("lab_sheet.csv")) {
        let dha = &row["dha_ug_per_flower"];
        let micrograms = dha.strip_prefix('<').map_or_else(
            || dha.parse::<f64>().unwrap(),
            |limit| limit.parse::<f64>().unwrap() / 2.0,
        );
        let at_80 = micrograms / 1_000.0 / number(&row, "sugar_mg_per_flower") * 800_000.0;
        samples.entry(row["tree_id"].clone()).or_default().push(at_80);
    }
    assert_eq!(samples.len(), trees.len());
    let all: Vec<f64> = samples.values().flatten().copied().collect();
    let mean = all.iter().sum::<f64>() / all.len() as f64;
    for tree in trees {
        let own = &samples[&tree["tree_id"]];
        let own_mean = own.iter().sum::<f64>() / own.len() as f64;
        assert!((number(tree, "dha_mean") - own_mean).abs() < 1e-6 * own_mean, "{tree:?}");
        assert_eq!(tree["samples"], own.len().to_string());
        // Drawn towards the others, never past them: stands and years may shift it by their own.
        let (value, off) = (number(tree, "dha_value"), own_mean - mean);
        assert!((value - mean).abs() < off.abs() + 1_500.0, "{tree:?}");
        let class = match value {
            low if low < 800.0 => "low",
            moderate if moderate <= 1_600.0 => "moderate",
            _ => "high",
        };
        assert_eq!(tree["class"], class);
    }
}

fn mothers_keep_the_rules(
    trees: &[BTreeMap<String, String>],
    mothers: &[BTreeMap<String, String>],
) {
    let field: BTreeMap<String, BTreeMap<String, String>> = rows(&sample().join("field_sheet.csv"))
        .into_iter()
        .map(|row| (row["tree_id"].clone(), row))
        .collect();
    assert_eq!(mothers.len(), 30);
    let tested: BTreeSet<&String> = trees.iter().map(|tree| &tree["tree_id"]).collect();
    let stands: BTreeSet<&String> = mothers.iter().map(|tree| &tree["stand_id"]).collect();
    for (at, mother) in mothers.iter().enumerate() {
        let seen = &field[&mother["tree_id"]];
        assert!(tested.contains(&mother["tree_id"]));
        assert_ne!(seen["permission"], "no");
        let score = |name: &str| seen[name].parse::<u32>().ok();
        assert!(score("vigour").is_none_or(|vigour| vigour >= 2), "{seen:?}");
        assert!(score("disease").is_none_or(|disease| disease <= 3), "{seen:?}");
        let capsules = score("seed_capsules").unwrap_or(0);
        assert!(number(mother, "take_capsules") <= f64::from(capsules) * 0.1 + 1e-9);
        for other in &mothers[..at] {
            let apart = (number(mother, "easting_m") - number(other, "easting_m"))
                .hypot(number(mother, "northing_m") - number(other, "northing_m"));
            assert!(apart >= 20.0, "{apart}");
        }
    }
    let shares: f64 = mothers.iter().map(|mother| number(mother, "seed_share")).sum();
    assert!((shares - 1.0).abs() < 1e-9);
    // Every stand with a tree that may be one has a mother.
    let may_be = trees.iter().filter(|tree| tree["barred"].is_empty());
    let all: BTreeSet<&String> = may_be.map(|tree| &tree["stand_id"]).collect();
    assert_eq!(stands, all);
    // The rank is by worth.
    let worths: Vec<f64> = trees.iter().map(|tree| number(tree, "worth")).collect();
    assert!(worths.windows(2).all(|pair| pair[0] >= pair[1]));
}

fn files_agree(
    seed: &Path,
    trees: &[BTreeMap<String, String>],
    mothers: &[BTreeMap<String, String>],
    told: &Value,
) {
    let layer = Dataset::open(seed.join("seed_rank.gpkg")).unwrap();
    let mut layer = layer.layer_by_name("trees").unwrap();
    assert_eq!(layer.feature_count(), trees.len() as u64);
    for (feature, row) in layer.features().zip(trees) {
        let (x, y, _) = feature.geometry().unwrap().get_point(0);
        assert!((x - number(row, "easting_m")).hypot(y - number(row, "northing_m")) < 1e-6);
        let at = feature.field_index("tree_id").unwrap();
        assert_eq!(feature.field_as_string(at).unwrap().unwrap(), row["tree_id"]);
    }
    let way_points = Dataset::open(seed.join("mothers.gpx")).unwrap();
    assert_eq!(way_points.layer_by_name("waypoints").unwrap().feature_count(), 30);
    let page = std::fs::read_to_string(seed.join("seed_rank.html")).unwrap();
    assert!(mothers.iter().all(|mother| page.contains(&format!("<b>{}</b>", mother["tree_id"]))));
    // Published form of the status number, 1 / Σ p².
    let squares: f64 = mothers.iter().map(|mother| number(mother, "seed_share").powi(2)).sum();
    let status = told["choice"]["status_number"].as_f64().unwrap();
    assert!((1.0 / squares - status).abs() < 1e-6 * status);
    assert!(status >= 27.0 - 1e-6);
    let capsules: f64 = mothers.iter().map(|mother| number(mother, "take_capsules")).sum();
    let raising = &told["raising"];
    assert!((raising["capsules"].as_f64().unwrap() - capsules).abs() < 1e-9);
    // 20 seeds a capsule, half of them alive, 30 % come up, 15 % are culled.
    let seedlings = (capsules * 20.0 * 0.5 * 0.3 * 0.85 + 1e-6).floor();
    assert!((raising["seedlings"].as_f64().unwrap() - seedlings).abs() < 1e-9);
    let chosen: Vec<_> = rows(&seed.join("trade_off.csv"))
        .into_iter()
        .filter(|row| row["chosen"] == "yes")
        .collect();
    assert_eq!(chosen.len(), 1);
    assert_eq!(chosen[0]["mothers"], "30");
    // Honey: DHA 0.05 to 0.5 of the nectar's, MGO below the molar 72.06 / 90.08 of it.
    let seed_dha = |at: usize| told["choice"]["seed_dha_mg_per_kg"][at].as_f64().unwrap();
    let honey = |name: &str, at: usize| told["honey"][name][at].as_f64().unwrap();
    assert!((honey("fresh_dha_mg_per_kg", 0) - 0.05 * seed_dha(0)).abs() < 1e-6);
    assert!((honey("fresh_dha_mg_per_kg", 1) - 0.5 * seed_dha(2)).abs() < 1e-6);
    let ceiling = told["honey"]["ceiling_mgo_mg_per_kg"].as_f64().unwrap();
    assert!((ceiling / seed_dha(2) - 72.06 / 90.08).abs() < 1e-9);
    assert!(honey("settled_mgo_mg_per_kg", 1) < ceiling);
}

/// The mothers' line goes into the mosaic, no more of it than there is, and the plan's demand is told.
#[test]
fn the_seed_line_is_planted_and_the_plan_is_supplied() {
    let folder = scratch();
    let site = folder.path().join("site");
    copy_folder(&sample(), &site);
    ranked(folder.path(), "seed", &["--quiet"]);
    std::fs::copy(folder.path().join("seed/stock.toml"), site.join("stock.toml")).unwrap();
    let listing = text(&expect(folder.path(), &["stock", "site"], 0).stdout);
    assert!(listing.contains("(local_2027), seed line, being raised, from 2027"), "{listing}");
    assert!(listing.contains("30 mother trees"), "{listing}");
    expect(folder.path(), &["plan", "site", "-o", "plan", "--quiet"], 0);
    let plan: Value =
        serde_json::from_slice(&std::fs::read(folder.path().join("plan/plan.json")).unwrap())
            .unwrap();
    let blocks = plan["blocks"].as_array().unwrap();
    let ordered = |is_counted: &dyn Fn(&str) -> bool| -> u64 {
        let of = blocks.iter().filter(|block| is_counted(block["stock_id"].as_str().unwrap()));
        of.map(|block| block["order_qty"].as_u64().unwrap()).sum()
    };
    let seedlings = record(&folder.path().join("seed"))["raising"]["seedlings"].as_u64().unwrap();
    let local = ordered(&|id| id == "local_2027");
    assert!(local > 0 && local <= seedlings, "{local} of {seedlings}");
    let wanted = ordered(&|id| ["tops", "seeps", "local_2027"].contains(&id));

    // Against the plan; the line's name is taken already.
    let lab = sample().join("lab_sheet.csv");
    let arguments = ["seed", "rank", "site", lab.to_str().unwrap(), "-o", "next", "--plan", "plan"];
    let taken = expect(folder.path(), &arguments, 2);
    assert!(text(&taken.stderr).contains("--line ID"), "{}", text(&taken.stderr));
    assert!(!folder.path().join("next").exists(), "nothing half-made");
    let mut renamed = arguments.to_vec();
    renamed.extend(["--line", "local_b", "--line-name", "Second gathering"]);
    expect(folder.path(), &renamed, 1);
    let told = record(&folder.path().join("next"));
    let winters = told["winters"].as_array().unwrap();
    let sum = |name: &str| winters.iter().map(|row| row[name].as_u64().unwrap()).sum::<u64>();
    assert_eq!((sum("wanted"), told["raising"]["wanted"].as_u64()), (wanted, Some(wanted)));
    assert_eq!(sum("supplied"), seedlings.min(wanted));
    let line = std::fs::read_to_string(folder.path().join("next/seed_line.toml")).unwrap();
    assert!(line.contains("name = \"Second gathering\""), "{line}");
    // A folder that holds the site's own stock is left alone.
    small::replace(&site, "site.toml", "file = \"stock.toml\"", "file = \"../next/stock.toml\"");
    let mut own = renamed.clone();
    own.extend(["--overwrite"]);
    let refused = expect(folder.path(), &own, 2);
    assert!(
        text(&refused.stderr).contains("the site's own stock file"),
        "{}",
        text(&refused.stderr)
    );
}

#[test]
fn faults_of_both_sheets_are_told_at_once_and_nothing_is_written() {
    let folder = scratch();
    let sheet = |name: &str, from: &str, to: &str| {
        let old = std::fs::read_to_string(sample().join(name)).unwrap();
        assert!(old.contains(from), "{name}: {from}");
        std::fs::write(folder.path().join(name), old.replacen(from, to, 1)).unwrap();
    };
    let lab = std::fs::read_to_string(sample().join("lab_sheet.csv")).unwrap();
    let first = lab.lines().nth(1).unwrap().to_owned();
    let cells: Vec<&str> = first.split(',').collect();
    let pooled = format!("{}+{},{}", cells[0], "T002", cells[1..].join(","));
    sheet("lab_sheet.csv", &first, &pooled);
    sheet("field_sheet.csv", "T003,", "T002,");
    let site = sample();
    let arguments = ["seed", "rank", site.to_str().unwrap(), "lab_sheet.csv", "-o", "seed"];
    let output = expect(folder.path(), &arguments, 2);
    insta::assert_snapshot!("faults_of_the_sheets_in_words", text(&output.stderr));
    assert_eq!(names(folder.path()), ["field_sheet.csv", "lab_sheet.csv"]);
}
