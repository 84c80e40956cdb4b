//! Random cash against `numpy_financial` (`tests/outside/ledger.py`).

#![allow(clippy::unwrap_used, clippy::expect_used, reason = "a test that stops has failed")]

use std::path::Path;
use std::process::Command;

use ledger::{Flows, Irr, Rate, annuity_factor, internal_rates, npv};
use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64Mcg;
use serde_json::{Value, json};

/// Cash of some years: costs first and income later, or any sign in any year, some years without.
fn flow(random: &mut Pcg64Mcg) -> Value {
    let years = random.random_range(2..35);
    let is_plain = random.random_range(0..2) == 0;
    let turn = random.random_range(1..years);
    let cash: Vec<f64> = (0..years)
        .map(|year| {
            let size = random.random_range(0.0..1_000.0);
            match (is_plain, random.random_range(0..5)) {
                (_, 0) => 0.0,
                (true, _) => {
                    if year < turn {
                        -size
                    } else {
                        size
                    }
                }
                (false, sign) => {
                    if sign % 2 == 0 {
                        size
                    } else {
                        -size
                    }
                }
            }
        })
        .collect();
    let at = random.random_range(-0.2..0.6);
    let flows: Flows = cash.iter().copied().collect();
    let rates: Vec<f64> = match internal_rates(&flows) {
        Irr::None | Irr::Every => vec![],
        Irr::One(one) => vec![one.per_year()],
        Irr::Several(several) => several.into_iter().map(Rate::per_year).collect(),
    };
    json!({"cash": cash, "rate": at, "npv": npv(&flows, Rate::new(at).unwrap()), "rates": rates})
}

fn annuity(random: &mut Pcg64Mcg) -> Value {
    let (at, years) = (random.random_range(-0.3..0.6), random.random_range(1..60));
    json!({"rate": at, "years": years, "factor": annuity_factor(Rate::new(at).unwrap(), years)})
}

/// Source: `numpy_financial` 1.0.0 (`npv`, `irr`, `pv`) and the roots of `numpy`.
#[test]
#[ignore = "needs numpy-financial: cargo xtask test installs it"]
fn random_cash_is_worth_what_numpy_financial_says() {
    let mut random = Pcg64Mcg::seed_from_u64(20);
    let flows: Vec<Value> = (0..400).map(|_| flow(&mut random)).collect();
    let annuities: Vec<Value> = (0..100).map(|_| annuity(&mut random)).collect();
    let folder = std::env::temp_dir().join(format!("hillweave-ledger-{}", std::process::id()));
    std::fs::create_dir_all(&folder).expect("a folder");
    let file = folder.join("cases.json");
    std::fs::write(&file, json!({"flows": flows, "annuities": annuities}).to_string()).unwrap();
    let python = std::env::var_os("HILLWEAVE_PYTHON").expect("run by `cargo xtask test`");
    let checker = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../tests/outside/ledger.py");
    let output = Command::new(python).arg(checker).arg(&file).output().expect("Python runs");
    let said = String::from_utf8_lossy(&output.stdout).into_owned();
    let faults = String::from_utf8_lossy(&output.stderr).into_owned();
    assert!(output.status.success(), "{}\n{said}\n{faults}", file.display());
    std::fs::remove_dir_all(folder).expect("removed");
}
