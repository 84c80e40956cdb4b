//! Variances by restricted maximum likelihood and predictions of trees, against `MixedLM` of statsmodels
//! (`tests/outside/mixed_model.py`).

#![allow(clippy::unwrap_used, clippy::expect_used, reason = "a test that stops has failed")]

use std::collections::BTreeMap;
use std::path::Path;
use std::process::Command;

use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64Mcg;
use serde_json::{Value, json};
use sourcing::variance::{Components, Record, Records, reml, values};

/// Records with the stand of each tree.
struct Case {
    name: &'static str,
    stand_of: Vec<usize>,
    years: usize,
    records: Vec<Record>,
}

impl Case {
    /// What we find of it, with its records.
    fn found(&self) -> (Value, Components) {
        let records = Records::new(&self.records, &self.stand_of, self.years).unwrap();
        let fitted = reml(&records);
        let told = fitted.components;
        let trees = values(&records, &told).trees;
        let deviations: BTreeMap<String, f64> = trees
            .iter()
            .enumerate()
            .filter_map(|(at, tree)| Some((name_of(at), tree.as_ref()?.deviation)))
            .collect();
        let row = |one: &Record| {
            json!({
                "tree": name_of(one.tree), "stand": self.stand_of[one.tree], "year": one.year,
                "value": one.value,
            })
        };
        let case = json!({
            "name": self.name,
            "records": self.records.iter().map(row).collect::<Vec<_>>(),
            "found": {
                "tree": told.tree, "stand": told.stand, "year": told.year, "error": told.error,
                "mean": fitted.mean, "mean_error": fitted.mean_error, "deviations": deviations,
            },
        });
        (case, told)
    }
}

fn name_of(tree: usize) -> String {
    format!("T{tree:03}")
}

/// Trees of one stand and year, a row each.
fn one_way(name: &'static str, rows: &[&[f64]]) -> Case {
    let of = |(tree, row): (usize, &&[f64])| {
        row.iter().map(move |value| Record { tree, year: 0, value: *value }).collect::<Vec<_>>()
    };
    let records = rows.iter().enumerate().flat_map(of).collect();
    Case { name, stand_of: vec![0; rows.len()], years: 1, records }
}

/// Source: Davies & Goldsmith 1972, Statistical Methods in Research and Production, 4th ed. (from memory).
fn dyestuff() -> Case {
    one_way(
        "dyestuff",
        &[
            &[1545.0, 1440.0, 1440.0, 1520.0, 1580.0],
            &[1540.0, 1555.0, 1490.0, 1560.0, 1495.0],
            &[1595.0, 1550.0, 1605.0, 1510.0, 1560.0],
            &[1445.0, 1440.0, 1595.0, 1465.0, 1545.0],
            &[1595.0, 1630.0, 1515.0, 1635.0, 1625.0],
            &[1520.0, 1455.0, 1450.0, 1480.0, 1445.0],
        ],
    )
}

/// The sheets of the sample property, read by their first columns.
fn sample_sheets() -> Case {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../sample-layers");
    let text = |name: &str| std::fs::read_to_string(folder.join(name)).expect("a sheet");
    let (field, lab) = (text("field_sheet.csv"), text("lab_sheet.csv"));
    let cells = |line: &str| line.split(',').map(str::to_owned).collect::<Vec<_>>();
    let trees: Vec<Vec<String>> = field.lines().skip(1).map(cells).collect();
    let mut stands: Vec<&String> = trees.iter().map(|tree| &tree[1]).collect();
    stands.sort();
    stands.dedup();
    let stand_of = trees.iter().map(|tree| stands.binary_search(&&tree[1]).unwrap()).collect();
    let record = |line: &str| {
        let row = cells(line);
        let dha_ug: f64 = match row[3].strip_prefix('<') {
            Some(limit) => limit.parse::<f64>().unwrap() / 2.0,
            None => row[3].parse().unwrap(),
        };
        let sugar_mg: f64 = row[4].parse().unwrap();
        Record {
            tree: trees.iter().position(|tree| tree[0] == row[0]).unwrap(),
            year: usize::from(row[1].as_str() > "2025-06-30"),
            value: dha_ug / 1_000.0 / sugar_mg * 800_000.0,
        }
    };
    let records = lab.lines().skip(1).map(record).collect();
    Case { name: "sample sheets", stand_of, years: 2, records }
}

/// Seven stands of 2 to 11 trees over four years, each tree in some of them, once or twice.
fn unbalanced() -> Case {
    let mut chance = Pcg64Mcg::seed_from_u64(21);
    let mut normal = move || (0..12).map(|_| chance.random::<f64>()).sum::<f64>() - 6.0;
    let mut stand_of = Vec::new();
    for (stand, trees) in [2, 11, 5, 8, 3, 4, 7].into_iter().enumerate() {
        stand_of.extend(std::iter::repeat_n(stand, trees));
    }
    let years: Vec<f64> = (0..4).map(|_| 0.7 * normal()).collect();
    let stands: Vec<f64> = (0..7).map(|_| 0.9 * normal()).collect();
    let mut records = Vec::new();
    for (tree, stand) in stand_of.iter().enumerate() {
        let own = 10.0 + stands[*stand] + 1.2 * normal();
        for (year, beside) in years.iter().enumerate() {
            let samples = [0, 1, 0, 2, 1][(tree * 3 + year * 4 + stand) % 5];
            let error = || 0.8 * normal();
            let samples = std::iter::repeat_with(error).take(samples);
            records.extend(samples.map(|error| Record { tree, year, value: own + beside + error }));
        }
    }
    Case { name: "unbalanced, nested and crossed", stand_of, years: 4, records }
}

/// Trees that differ less than chance has it.
fn no_tree() -> Case {
    one_way("no tree", &[&[1.0, 9.0, 5.0], &[9.5, 1.2, 4.8], &[5.0, 0.9, 9.0]])
}

/// The same among stands and years.
fn no_tree_in_stands() -> Case {
    let mut chance = Pcg64Mcg::seed_from_u64(3);
    let stand_of: Vec<usize> = (0..12).map(|tree| tree / 3).collect();
    let mut records = Vec::new();
    for (tree, stand) in stand_of.iter().enumerate() {
        for year in 0..3 {
            // What is high in one year is low in the next: trees are alike.
            let swing = if (tree + year) % 2 == 0 { 1.0 } else { -1.0 };
            let value =
                3.0 * *stand as f64 + [0.0, 4.0, 1.0][year] + swing + chance.random::<f64>();
            records.push(Record { tree, year, value });
        }
    }
    Case { name: "no tree, in stands and years", stand_of, years: 3, records }
}

/// Source: statsmodels 0.14 or later, `MixedLM`, restricted maximum likelihood; its likelihood is searched to
/// the end by scipy.
#[test]
#[ignore = "needs statsmodels: cargo xtask test installs it"]
fn variances_and_predictions_are_those_of_statsmodels() {
    let cases = [dyestuff(), sample_sheets(), unbalanced(), no_tree(), no_tree_in_stands()];
    let found: Vec<(Value, Components)> = cases.iter().map(Case::found).collect();
    for ((_, told), case) in found.iter().zip(&cases) {
        let is_nothing = told.tree.unwrap() < 1e-9 * told.total();
        let is_whole =
            [told.stand, told.year].iter().flatten().all(|one| *one > 0.01 * told.total());
        assert!(is_whole, "{}: stands and years differ: {told:?}", case.name);
        assert_eq!(is_nothing, case.name.starts_with("no tree"), "{}: {told:?}", case.name);
    }
    let cases: Vec<&Value> = found.iter().map(|(case, _)| case).collect();
    let folder = std::env::temp_dir().join(format!("hillweave-mixed-{}", std::process::id()));
    std::fs::create_dir_all(&folder).expect("a folder");
    let file = folder.join("cases.json");
    std::fs::write(&file, json!({"cases": cases}).to_string()).expect("written");
    let python = std::env::var_os("HILLWEAVE_PYTHON").expect("run by `cargo xtask test`");
    let checker = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../tests/outside/mixed_model.py");
    let output = Command::new(python).arg(checker).arg(&file).output().expect("Python runs");
    let said = String::from_utf8_lossy(&output.stdout).into_owned();
    let faults = String::from_utf8_lossy(&output.stderr).into_owned();
    assert!(output.status.success(), "{}\n{said}\n{faults}", file.display());
    std::fs::remove_dir_all(folder).expect("removed");
}
