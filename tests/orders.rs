//! Orders of the sample property: the same plants in every file, whole trays, within supplies.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "a test that stops has failed"
)]

mod support;

use std::collections::BTreeMap;
use std::path::Path;

use support::{copy_folder, expect, repository, scratch, small, text, written};

/// Sums a column of a CSV file by another.
fn summed(file: &Path, by: &str, of: &str) -> BTreeMap<String, u64> {
    let mut table = csv::Reader::from_path(file).unwrap();
    let header = table.headers().unwrap().clone();
    let place = |name: &str| header.iter().position(|column| column == name).unwrap();
    let (by, of) = (place(by), place(of));
    let mut sums = BTreeMap::new();
    for row in table.records().map(Result::unwrap) {
        *sums.entry(row[by].to_owned()).or_default() += row[of].parse::<u64>().unwrap();
    }
    sums
}

#[test]
fn deliveries_orders_and_blocks_are_the_same_plants() {
    let folder = scratch();
    copy_folder(&repository().join("sample-layers"), &folder.path().join("site"));
    expect(folder.path(), &["plan", "site/site.toml", "-o", "plan"], 0);
    let plan = folder.path().join("plan");
    let by_delivery = summed(&plan.join("orders.csv"), "stock_id", "plants");
    assert_eq!(by_delivery, summed(&plan.join("schedule.csv"), "stock_id", "order_qty"));
    let told = written::json(&plan);
    assert_eq!(told["totals"]["order_qty"], by_delivery.values().sum::<u64>());
    let number = |row: &serde_json::Value, key: &str| row[key].as_u64().unwrap();
    let (mut held, mut free) = (0, 0);
    for order in told["line_orders"].as_array().unwrap() {
        let plants = number(order, "order_qty");
        let added: u64 =
            ["needed", "spare", "lot", "tray"].iter().map(|key| number(order, key)).sum();
        assert_eq!(plants, added - number(order, "held_back"), "{order}");
        assert_eq!(Some(&plants), by_delivery.get(order["stock_id"].as_str().unwrap()));
        let deliveries = order["deliveries"].as_array().unwrap();
        assert_eq!(plants, deliveries.iter().map(|one| number(one, "plants")).sum::<u64>());
        // As the sample's [order] has it.
        assert!(deliveries.iter().all(|one| number(one, "plants") <= 60_000), "{order}");
        let chance = order["chance"].as_f64().unwrap();
        if order["held_back_by"] == "" {
            free += 1;
            assert!(plants.is_multiple_of(45) && chance >= 0.9, "{order}");
        } else {
            held += 1;
            assert_eq!(order["held_back_by"], "supply");
            assert!(plants <= number(order, "needed") + 45, "{order}");
        }
    }
    assert!(held > 0 && free > 0, "both kinds are on the sample property");
    let warned = told["warnings"].to_string();
    assert!(warned.contains("25000 plants of Lantern Ridge"), "{warned}");
}

#[test]
fn a_line_has_its_own_density_where_no_closer_rule_holds() {
    let planted = |rules: &str| {
        let folder = scratch();
        small::write(folder.path());
        let rules = format!("[density]\nrule = [{rules}]\n[zones]");
        small::replace(folder.path(), "site.toml", "[zones]", &rules);
        expect(folder.path(), &["plan", "site.toml", "-o", "plan"], 0);
        let told = written::json(&folder.path().join("plan"));
        let blocks = told["blocks"].as_array().unwrap().clone();
        blocks
            .into_iter()
            .map(|block| {
                let own = |key: &str| block[key].as_str().unwrap().to_owned();
                let spacing = block["spacing_m"].as_f64().unwrap();
                (own("stock_id"), own("purpose"), (spacing * 100.0).round() as u32)
            })
            .collect::<Vec<_>>()
    };
    let wide = planted("{ line = \"high\", spacing_m = 4, purpose = \"carbon\" }");
    assert!(
        wide.iter().any(|(line, ..)| line == "high") && wide.iter().any(|(line, ..)| line == "low")
    );
    for (line, purpose, spacing) in wide {
        let expected = if line == "high" { ("carbon", 400) } else { ("honey", 300) };
        assert_eq!((&*purpose, spacing), expected, "{line}");
    }
}

#[test]
fn a_density_for_a_line_that_is_not_there_is_refused() {
    let folder = scratch();
    small::write(folder.path());
    let rules = "[density]\nrule = [{ line = \"hihg\", sph = 900 }]\n[zones]";
    small::replace(folder.path(), "site.toml", "[zones]", rules);
    let refused = expect(folder.path(), &["plan", "site.toml", "-o", "plan"], 2);
    let said = text(&refused.stderr);
    assert!(
        said.contains("density.rule.line") && said.contains("did you mean \"high\"?"),
        "{said}"
    );
    let refused = expect(folder.path(), &["check", "site.toml"], 2);
    assert!(text(&refused.stdout).contains("hihg") || text(&refused.stderr).contains("hihg"));
}
