//! Counts of survivors on a small made-up site, by running the real binary.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "a test that stops has failed"
)]

mod support;

use std::fmt::Write;
use std::path::Path;
use std::process::Command;

use serde_json::Value;
use support::{expect, repository, scratch, small, text, written};

/// The small site, planned into `plan`.
fn planned() -> tempfile::TempDir {
    let folder = scratch();
    small::write(folder.path());
    expect(folder.path(), &["plan", "site.toml", "-o", "plan"], 0);
    folder
}

/// Zone, line and plants of every block, the one with most plants first.
fn blocks(folder: &Path) -> Vec<(String, String, u64)> {
    let told = written::json(&folder.join("plan"));
    let one = |block: &Value| {
        let name = |key: &str| block[key].as_str().unwrap().to_owned();
        (name("zone_id"), name("stock_id"), block["seedlings"].as_u64().unwrap())
    };
    let mut blocks: Vec<_> = told["blocks"].as_array().unwrap().iter().map(one).collect();
    blocks.sort_by_key(|(zone, stock, plants)| (u64::MAX - plants, zone.clone(), stock.clone()));
    blocks
}

/// Three plots of `counted` plants in each block, with so many alive in each; blocks beyond the list are
/// not counted.
fn write_counts(folder: &Path, alive: &[[u64; 3]], counted: u64) {
    let mut rows =
        "plot_id,zone_id,stock_id,counted,alive,radius_m,slope_deg,date,note\n".to_owned();
    for ((zone, stock, _), alive) in blocks(folder).iter().zip(alive) {
        for (plot, alive) in alive.iter().enumerate() {
            let plot = format!("{zone}-{stock}-{}", plot + 1);
            // Writing to a String cannot fail.
            let _ = writeln!(
                rows,
                "{plot},{zone},{stock},{counted},{alive},11.28,25,2029-03-02,\"hares, some\""
            );
        }
    }
    small::text(folder, "counts.csv", &rows);
}

/// Stocked, to be planted again, doubtful, dead, and few.
const MIXED: [[u64; 3]; 5] = [[38, 39, 37], [20, 26, 23], [30, 34, 33], [0, 0, 0], [25, 22, 27]];

const SURVIVAL: [&str; 4] = ["survival", "site.toml", "plan", "counts.csv"];

fn survival(folder: &Path, more: &[&str], status: i32) -> std::process::Output {
    expect(folder, &[&SURVIVAL[..], more].concat(), status)
}

#[test]
fn a_mixed_survey_in_words() {
    let folder = planned();
    write_counts(folder.path(), &MIXED, 40);
    let output =
        survival(folder.path(), &["-o", "blanking.csv", "--tray", "20", "--spare", "0.05"], 1);
    insta::assert_snapshot!(text(&output.stdout));
    let order = std::fs::read_to_string(folder.path().join("blanking.csv")).unwrap();
    insta::assert_snapshot!("the_blanking_order_as_a_table", order);
}

#[test]
fn a_survey_where_all_is_well_in_words() {
    let folder = planned();
    let all = blocks(folder.path()).len();
    write_counts(folder.path(), &vec![[39, 38, 40]; all], 40);
    let output = survival(folder.path(), &["-o", "blanking.csv"], 0);
    insta::assert_snapshot!(text(&output.stdout));
    let order = std::fs::read_to_string(folder.path().join("blanking.csv")).unwrap();
    assert_eq!(order.lines().count(), 1, "a heading alone: {order}");
}

#[test]
fn faults_of_the_counts_in_words() {
    let folder = planned();
    let (zone, stock, _) = &blocks(folder.path())[0];
    let rows = format!(
        "plot_id,zone_id,stock_id,counted,alive,radius\n\
         P1,{zone},{stock},10,11,\n\
         P2,Z01,{stock},10,nine,\n\
         P3,{zone},{stock}s,10,9,\n\
         P1,{zone},{stock},10,9,\n"
    );
    small::text(folder.path(), "counts.csv", &rows);
    let output = survival(folder.path(), &["-o", "blanking.csv"], 2);
    insta::assert_snapshot!(text(&output.stderr));
    assert!(output.stdout.is_empty() && !folder.path().join("blanking.csv").exists());
}

#[test]
fn faults_of_site_and_plan_are_told_together() {
    let folder = planned();
    write_counts(folder.path(), &MIXED, 40);
    small::replace(folder.path(), "site.toml", "min_area_ha", "min_area");
    let output = expect(folder.path(), &["survival", "site.toml", "lost", "counts.csv"], 2);
    let said = text(&output.stderr);
    assert!(said.contains("min_area_ha") && said.contains("lost"), "{said}");
    assert!(said.contains("nothing was written: 2 errors"), "{said}");
}

#[test]
fn nothing_is_replaced_unasked_nor_the_counts_ever() {
    let folder = planned();
    write_counts(folder.path(), &MIXED, 40);
    let counts = std::fs::read(folder.path().join("counts.csv")).unwrap();
    survival(folder.path(), &["-o", "blanking.csv"], 1);
    let refused = survival(folder.path(), &["-o", "blanking.csv"], 2);
    assert!(text(&refused.stderr).contains("--overwrite"));
    survival(folder.path(), &["-o", "blanking.csv", "--overwrite"], 1);
    let itself = survival(folder.path(), &["-o", "counts.csv", "--overwrite"], 2);
    assert!(text(&itself.stderr).contains("the file of the counts"));
    survival(folder.path(), &["-o", "lost/blanking.csv"], 2);
    assert_eq!(std::fs::read(folder.path().join("counts.csv")).unwrap(), counts);
}

/// Shares that cannot be, and trays of nothing.
#[test]
fn options_that_cannot_be_are_refused() {
    let folder = scratch();
    for (option, value) in [
        ("--confidence", "1"),
        ("--threshold", "0"),
        ("--threshold", "80"),
        ("--order-confidence", "nan"),
        ("--tray", "0"),
        ("--spare", "-0.1"),
        ("--planted", "all"),
    ] {
        let asked = format!("{option}={value}");
        let output = survival(folder.path(), &[&asked], 2);
        assert!(text(&output.stderr).contains(option), "{}", text(&output.stderr));
    }
}

/// Totals are the sums of their rows, the file says what the report says, and each order is whole trays.
#[test]
fn report_and_order_agree() {
    let folder = planned();
    write_counts(folder.path(), &MIXED, 40);
    let arguments = ["--json", "-o", "blanking.csv", "--tray", "20"];
    let output = survival(folder.path(), &arguments, 1);
    let told: Value = serde_json::from_slice(&output.stdout).unwrap();
    assert_eq!(told["schema"], "hillweave.survival/1");
    assert_eq!(told["written"], "blanking.csv");
    let rows = told["rows"].as_array().unwrap();
    assert_eq!(rows.len(), MIXED.len());
    for key in ["counted", "alive", "planted", "target", "alive_estimate"] {
        let of_rows: u64 = rows.iter().map(|row| row[key].as_u64().unwrap()).sum();
        let lines = told["lines"].as_array().unwrap().iter();
        assert_eq!(told["total"][key].as_u64().unwrap(), of_rows, "{key}");
        assert_eq!(lines.map(|line| line[key].as_u64().unwrap()).sum::<u64>(), of_rows, "{key}");
    }
    let plan = blocks(folder.path());
    for row in rows {
        let block = plan
            .iter()
            .find(|(zone, stock, _)| row["zone_id"] == **zone && row["stock_id"] == **stock);
        assert_eq!(row["planted"].as_u64().unwrap(), block.unwrap().2);
    }
    let mut file = csv::Reader::from_path(folder.path().join("blanking.csv")).unwrap();
    let heading = file.headers().unwrap().clone();
    let orders = told["orders"].as_array().unwrap();
    let written: Vec<_> = file.records().map(Result::unwrap).collect();
    assert_eq!(written.len(), orders.len());
    assert!(!orders.is_empty());
    for (cells, order) in written.iter().zip(orders) {
        for (name, cell) in heading.iter().zip(cells) {
            match &order[name] {
                Value::String(words) => assert_eq!(words, cell, "{name}"),
                number => assert_eq!(number.as_f64().unwrap().to_string(), cell, "{name}"),
            }
        }
        assert_eq!(order["order_qty"].as_u64().unwrap() % 20, 0);
    }
}

/// A line's smallest lot comes from the stock file.
#[test]
fn the_smallest_lot_of_the_stock_file_is_held_to() {
    let folder = planned();
    write_counts(folder.path(), &[[26, 27, 28]], 40);
    let (_, line, _) = &blocks(folder.path())[0];
    let kind = if line == "low" { "id = \"low\"\n" } else { "id = \"high\"\n" };
    small::replace(folder.path(), "stock.toml", kind, &format!("{kind}min_lot = 5000\n"));
    let output = survival(folder.path(), &["--json"], 1);
    let told: Value = serde_json::from_slice(&output.stdout).unwrap();
    let order = &told["orders"][0];
    assert_eq!(order["order_qty"], 5_000, "{order}");
    assert_eq!(order["needed"].as_u64().unwrap() + order["lot"].as_u64().unwrap(), 5_000);
}

/// The plan planted over two winters: counts of the first are held against the first alone.
#[test]
fn a_winter_is_held_against_its_own_plants() {
    let folder = scratch();
    small::write(folder.path());
    let rules = "[mosaic]\nfirst_season = 2027\nseasons = 2\nseason_budget_nzd = 1200\n[stock]\n";
    small::replace(folder.path(), "site.toml", "[stock]\n", rules);
    for line in ["kind = \"cultivar\"\n", "kind = \"seed_line\"\n"] {
        small::replace(folder.path(), "stock.toml", line, &format!("{line}price_nzd = 1\n"));
    }
    expect(folder.path(), &["plan", "site.toml", "-o", "plan"], 0);
    let told = written::json(&folder.path().join("plan"));
    let years: Vec<i64> = told["blocks"]
        .as_array()
        .unwrap()
        .iter()
        .map(|block| block["season"].as_i64().unwrap())
        .collect();
    assert!(years.contains(&2027) && years.contains(&2028), "{years:?}");
    write_counts(folder.path(), &[[39, 39, 39]], 40);
    let both: Value =
        serde_json::from_slice(&survival(folder.path(), &["--json"], 1).stdout).unwrap();
    let warned = both["warnings"].to_string();
    assert!(warned.contains("2027, 2028") && warned.contains("--season"), "{warned}");
    let refused = survival(folder.path(), &["--season", "2031"], 2);
    assert!(text(&refused.stderr).contains("2027 or 2028"));
    let (zone, stock, plants) = &blocks(folder.path())[0];
    let year = told["blocks"]
        .as_array()
        .unwrap()
        .iter()
        .find(|block| {
            block["zone_id"] == **zone
                && block["stock_id"] == **stock
                && block["seedlings"] == *plants
        })
        .unwrap()["season"]
        .to_string();
    let one = survival(folder.path(), &["--json", "--season", &year], 1);
    let one: Value = serde_json::from_slice(&one.stdout).unwrap();
    assert_eq!(one["rows"][0]["planted"], *plants);
    assert!(!one["warnings"].to_string().contains("2027, 2028"));
}

/// Source: `scipy.stats` (Wilson intervals, binomial tails) by `tests/outside/tally.py`.
#[test]
#[ignore = "needs scipy: cargo xtask test installs it"]
fn intervals_and_orders_of_a_survey_are_those_of_scipy() {
    let folder = planned();
    write_counts(folder.path(), &MIXED, 40);
    let output = survival(folder.path(), &["--json"], 1);
    let report = folder.path().join("survival.json");
    std::fs::write(&report, &output.stdout).unwrap();
    let python = std::env::var_os("HILLWEAVE_PYTHON").expect("run by `cargo xtask test`");
    let checker = repository().join("tests/outside/tally.py");
    let output = Command::new(python).arg(checker).arg("--report").arg(&report).output().unwrap();
    assert!(output.status.success(), "{}{}", text(&output.stdout), text(&output.stderr));
}
