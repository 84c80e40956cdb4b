//! What a plan costs and may bring, on a small made-up site, by running the real binary.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "a test that stops has failed"
)]

mod support;

use std::collections::BTreeMap;
use std::path::Path;

use serde_json::Value;
use support::{expect, names, scratch, small, text, written};

/// Prices for the small site; invented.
const MONEY: &str = "
[money]
fence_m = 120
income = \"income.csv\"
carbon = \"carbon.csv\"
carbon_price_nzd = [30, 50, 80]
";
/// An invented table of income: no figure of the trade.
const INCOME: &str = "what;year_from;year_to;low_nzd_per_ha;middle_nzd_per_ha;high_nzd_per_ha;note\n\
    hive rent;6;7;0;150;400;invented\nhive rent;8;20;100;450;900;invented\n";
/// An invented table of carbon.
const CARBON: &str = "age_years,tco2_per_ha\n5,5\n10,30\n20,120\n";

/// The small site with prices, planned into `plan`.
fn planned() -> tempfile::TempDir {
    let folder = scratch();
    small::write(folder.path());
    let mut site = small::SITE.to_owned();
    site.push_str("[mosaic]\nplanting_nzd = 0.6\nfirst_season = 2027\n");
    small::text(folder.path(), "site.toml", &site);
    small::replace(folder.path(), "stock.toml", "supply = 1500", "supply = 1500\nprice_nzd = 0.85");
    small::replace(
        folder.path(),
        "stock.toml",
        "kind = \"seed_line\"",
        "kind = \"seed_line\"\nprice_nzd = 1.35",
    );
    expect(folder.path(), &["plan", "site.toml", "-o", "plan"], 0);
    folder
}

fn with_income(folder: &Path) {
    let site = std::fs::read_to_string(folder.join("site.toml")).unwrap();
    small::text(folder, "site.toml", &(site + MONEY));
    small::text(folder, "income.csv", INCOME);
    small::text(folder, "carbon.csv", CARBON);
}

const RUN: [&str; 5] = ["money", "site.toml", "plan", "-o", "money"];

fn table(file: &Path) -> Vec<BTreeMap<String, String>> {
    let mut reader = csv::Reader::from_path(file).unwrap();
    reader.deserialize().map(Result::unwrap).collect()
}

fn number(row: &BTreeMap<String, String>, name: &str) -> f64 {
    row[name].parse().unwrap()
}

fn told(folder: &Path) -> Value {
    serde_json::from_slice(&std::fs::read(folder.join("money/money.json")).unwrap()).unwrap()
}

#[test]
fn costs_alone_in_words() {
    let folder = planned();
    let output = expect(folder.path(), &RUN, 0);
    insta::assert_snapshot!(text(&output.stdout));
    assert_eq!(
        names(&folder.path().join("money")),
        ["cash_flow.csv", "costs.csv", "money.html", "money.json", "sensitivity.csv"]
    );
    let page = std::fs::read_to_string(folder.path().join("money/money.html")).unwrap();
    assert!(page.contains("No income was given and none is assumed"));
    assert!(!page.contains("<script") && !page.contains("http"), "nothing is loaded");
}

#[test]
fn costs_and_income_in_words() {
    let folder = planned();
    with_income(folder.path());
    let output = expect(folder.path(), &RUN, 0);
    insta::assert_snapshot!(text(&output.stdout));
    expect(folder.path(), &RUN, 2);
    expect(folder.path(), &[&RUN[..], &["--overwrite"]].concat(), 0);
}

/// From the tables alone: sums to the cent, and the present value by the formula.
#[test]
fn the_tables_tell_the_totals() {
    let folder = planned();
    with_income(folder.path());
    expect(folder.path(), &RUN, 0);
    let (told, tables) = (told(folder.path()), folder.path().join("money"));
    let costs = table(&tables.join("costs.csv"));
    let cents = |rows: &mut dyn Iterator<Item = f64>| -> i64 {
        rows.map(|nzd| (nzd * 100.0).round() as i64).sum()
    };
    let total = cents(&mut costs.iter().map(|row| number(row, "cost_nzd")));
    assert_eq!(total, (told["cost_nzd"].as_f64().unwrap() * 100.0).round() as i64);
    let planting =
        |row: &&BTreeMap<String, String>| ["plants", "planting"].contains(&&*row["stage"]);
    let plants = cents(&mut costs.iter().filter(planting).map(|row| number(row, "cost_nzd")));
    let plan = written::json(&folder.path().join("plan"));
    let planned = plan["totals"]["cost_nzd"].as_f64().unwrap();
    assert!((plants as f64 / 100.0 - planned).abs() < 0.02, "{plants} {planned}");
    let spent = |year: &str| -> f64 {
        costs.iter().filter(|row| row["year"] == year).map(|row| number(row, "cost_nzd")).sum()
    };
    let cash = table(&tables.join("cash_flow.csv"));
    assert_eq!(cash.len(), 21);
    assert_eq!(cash[0]["calendar_year"], "2027");
    assert!((number(&cash[0], "middle_nzd") + spent("0")).abs() < 0.006);
    assert!((number(&cash[0], "low_nzd") + 1.2 * spent("0")).abs() < 0.006);
    let hectares = told["planted_plan_ha"].as_f64().unwrap();
    // By hand for year 9: 450 of hives, and (30 − 5) / 5 t at 50.
    assert!((number(&cash[9], "middle_nzd") - hectares * (450.0 + 5.0 * 50.0)).abs() < 0.006);
    for (case, row) in ["low", "middle", "high"].iter().zip(told["cases"].as_array().unwrap()) {
        let flows = cash.iter().map(|row| number(row, &format!("{case}_nzd")));
        let worth: f64 =
            flows.enumerate().map(|(year, nzd)| nzd / 1.06_f64.powi(year as i32)).sum();
        assert!((worth - row["npv_nzd"].as_f64().unwrap()).abs() < 0.2, "{case}");
        for rate in row["internal_rates"].as_array().unwrap() {
            let flows = cash.iter().map(|row| number(row, &format!("{case}_nzd")));
            let growth = 1.0 + rate.as_f64().unwrap();
            let worth: f64 =
                flows.enumerate().map(|(year, nzd)| nzd / growth.powi(year as i32)).sum();
            assert!(worth.abs() < 0.2, "{case}: {worth}");
        }
    }
    let swings = table(&tables.join("sensitivity.csv"));
    assert!(
        swings.windows(2).all(|two| number(&two[0], "swing_nzd") >= number(&two[1], "swing_nzd"))
    );
    for row in costs.iter().chain(&cash).chain(&swings) {
        assert!(row["note"].contains("no promise"));
    }
}

#[test]
fn a_plan_that_is_made_gives_the_same_as_the_same_plan_read() {
    let folder = planned();
    let read = expect(folder.path(), &[&RUN[..], &["--json"]].concat(), 0);
    let made = ["money", "site.toml", "-o", "made", "--json"];
    let made = expect(folder.path(), &made, 0);
    assert_eq!(text(&read.stdout), text(&made.stdout));
    assert!(text(&read.stdout).contains("no promise of income"));
}

#[test]
fn faults_of_the_tables_in_words() {
    let folder = planned();
    with_income(folder.path());
    small::replace(folder.path(), "income.csv", "8;20;100;450;900", "8;6;$100;450;900");
    small::replace(folder.path(), "carbon.csv", "20,120", "10,120");
    let output = expect(folder.path(), &RUN, 2);
    insta::assert_snapshot!(text(&output.stderr));
    assert!(!folder.path().join("money").exists(), "nothing is half written");
    small::replace(folder.path(), "site.toml", "carbon_price_nzd = [30, 50, 80]", "");
    let output = expect(folder.path(), &RUN, 2);
    assert!(text(&output.stderr).contains("`carbon_price_nzd` beside it"));
}

#[test]
fn a_plan_of_zones_alone_and_a_missing_plan_are_refused() {
    let folder = planned();
    expect(folder.path(), &["plan", "site.toml", "-o", "zones", "--only", "zones"], 0);
    let output = expect(folder.path(), &["money", "site.toml", "zones", "-o", "money"], 2);
    assert!(text(&output.stderr).contains("nothing that is planted"));
    expect(folder.path(), &["money", "site.toml", "nowhere", "-o", "money"], 2);
}

#[test]
fn a_plan_is_never_written_over() {
    let folder = planned();
    let before = std::fs::read(folder.path().join("plan/plan.json")).unwrap();
    for output in ["plan", "./plan/../plan"] {
        let over = ["money", "site.toml", "plan", "-o", output, "--overwrite"];
        let output = expect(folder.path(), &over, 2);
        assert!(text(&output.stderr).contains("the plan would be lost"));
    }
    assert_eq!(std::fs::read(folder.path().join("plan/plan.json")).unwrap(), before);
}

#[test]
fn a_plan_that_is_older_than_its_stock_file_is_told() {
    let folder = planned();
    small::replace(folder.path(), "stock.toml", "supply = 1500", "supply = 1600");
    let output = expect(folder.path(), &RUN, 1);
    assert!(text(&output.stdout).contains("made before stock.toml changed"));
}

/// Between years 10 and 20 a hectare loses 10 t.
#[test]
fn carbon_that_falls_is_noted() {
    let folder = planned();
    with_income(folder.path());
    let note = "the low case is not the worst there";
    assert!(!text(&expect(folder.path(), &RUN, 0).stdout).contains(note));
    small::replace(folder.path(), "carbon.csv", "20,120", "20,20");
    let again = [&RUN[..], &["--overwrite"]].concat();
    assert!(text(&expect(folder.path(), &again, 0).stdout).contains(note));
}
