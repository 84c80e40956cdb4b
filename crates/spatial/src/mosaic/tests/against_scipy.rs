//! Every rule together on random ground, against HiGHS by way of `scipy.optimize.milp`
//! (`tests/outside/assignment.py`, which formulates the programme on its own).

use std::path::Path;
use std::process::Command;

use proptest::prelude::*;
use proptest::strategy::ValueTree;
use proptest::test_runner::TestRunner;
use serde_json::{Value, json};

use super::super::{Assignment, MosaicError, Programme, solve};
use super::{broken_rule, rule_books};

fn instance(programme: &Programme, answer: Option<&Assignment>) -> Value {
    let zones: Vec<Value> = programme
        .zones
        .iter()
        .map(|zone| {
            let offer = |offer: &super::Offer| {
                json!({
                    "worth_per_ha": offer.worth_per_ha,
                    "plants_per_ha": offer.plants_per_ha,
                    "cost_per_ha": offer.cost_per_ha,
                    "days_per_ha": offer.days_per_ha,
                    "weeks": offer.weeks.iter().collect::<Vec<_>>(),
                })
            };
            json!({
                "area_ha": zone.area_ha,
                "open_share": zone.open_share,
                "left_worth_per_ha": zone.left_worth_per_ha,
                "must_plant": zone.must_plant,
                "offers": zone.offers.iter().map(|o| o.as_ref().map(offer)).collect::<Vec<_>>(),
            })
        })
        .collect();
    let line = |line: &super::LineLimit| json!({"supply": line.supply, "by_season": line.by_season, "min_lot": line.min_lot});
    let part = |part: &super::Given| json!([part.line, part.season, part.share]);
    let given = answer.map(|answer| -> Vec<Vec<Value>> {
        answer.given.iter().map(|parts| parts.iter().map(part).collect()).collect()
    });
    json!({
        "zones": zones,
        "lines": programme.lines.iter().map(line).collect::<Vec<_>>(),
        "seasons": programme.seasons,
        "wait": programme.wait,
        "budget": programme.budget,
        "season_budget": programme.season_budget,
        "season_days": programme.season_days,
        "flowering": programme.flowering
            .map(|rule| json!({"weeks": rule.weeks, "least_ha": rule.least_ha})),
        "min_share": programme.min_share,
        "line_cap": programme.line_cap,
        "given": given,
        "bound": answer.map(|answer| answer.bound),
        "gap": programme.gap.max(1e-5),
    })
}

/// Source: HiGHS 1.x (Huangfu & Hall 2018), by way of scipy.
#[test]
#[ignore = "needs scipy: cargo xtask test installs it"]
fn two_hundred_rule_books_end_where_highs_ends() {
    let mut runner = TestRunner::deterministic();
    let mut instances = Vec::new();
    let mut solvable = 0;
    for _ in 0..200 {
        let programme = rule_books(1..8, 1..4).new_tree(&mut runner).expect("drawn").current();
        let answer = match solve(&programme) {
            Ok(answer) => Some(answer),
            Err(MosaicError::Impossible { .. }) => None,
            Err(other) => panic!("{other}\n{programme:?}"),
        };
        if let Some(answer) = &answer {
            solvable += 1;
            assert_eq!(broken_rule(&programme, &answer.given), None, "{programme:?}\n{answer:?}");
        }
        instances.push(instance(&programme, answer.as_ref()));
    }
    assert!((120..200).contains(&solvable), "{solvable} of 200 can be solved");
    let folder = std::env::temp_dir().join(format!("hillweave-assignment-{}", std::process::id()));
    std::fs::create_dir_all(&folder).expect("a folder");
    let file = folder.join("instances.json");
    std::fs::write(&file, Value::from(instances).to_string()).expect("written");
    let python = std::env::var_os("HILLWEAVE_PYTHON").expect("run by `cargo xtask test`");
    let checker = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../tests/outside/assignment.py");
    let output = Command::new(python).arg(checker).arg(&file).output().expect("Python runs");
    let said = String::from_utf8_lossy(&output.stdout).into_owned();
    let faults = String::from_utf8_lossy(&output.stderr).into_owned();
    assert!(output.status.success(), "{}\n{said}\n{faults}", file.display());
    std::fs::remove_dir_all(folder).expect("removed");
}
