//! Binomial tails, plants to order and intervals over a grid, against `scipy.stats` (`tests/outside/tally.py`).

#![allow(clippy::unwrap_used, clippy::expect_used, reason = "a test that stops has failed")]

use std::path::Path;
use std::process::Command;

use serde_json::{Value, json};
use tally::{Binomial, normal_quantile, plants_for, wilson};

const SHARES: [f64; 9] = [0.01, 0.1, 0.3, 0.5, 0.6, 0.75, 0.8, 0.9, 0.99];

/// From the far lower to the far upper tail of each distribution.
fn tails() -> Vec<Value> {
    let mut rows = Vec::new();
    for plants in [1_u64, 2, 7, 30, 110, 1_000, 12_345, 100_000, 1_000_000, 10_000_000] {
        for survival in SHARES {
            let (n, deviation) =
                (plants as f64, (plants as f64 * survival * (1.0 - survival)).sqrt());
            for off in [-30.0, -8.0, -3.0, -1.0, -0.1, 0.0, 0.5, 2.0, 5.0, 12.0, 35.0] {
                let alive = (n * survival + off * deviation).round().clamp(0.0, n) as u64;
                let chance = Binomial::new(plants, survival).unwrap().at_least(alive);
                rows.push(json!({"plants": plants, "survival": survival, "alive": alive, "chance": chance}));
            }
        }
    }
    rows
}

fn orders() -> Vec<Value> {
    let mut rows = Vec::new();
    for target in [1_u64, 2, 10, 43, 750, 1_100, 25_000, 1_000_000] {
        for survival in SHARES.into_iter().filter(|survival| *survival >= 0.3) {
            for confidence in [0.05, 0.5, 0.8, 0.9, 0.95, 0.999] {
                let plants = plants_for(target, survival, confidence).unwrap();
                rows.push(json!({
                    "target": target, "survival": survival, "confidence": confidence, "plants": plants,
                }));
            }
        }
    }
    rows
}

fn intervals() -> Vec<Value> {
    let mut rows = Vec::new();
    for counted in [1_u64, 2, 10, 29, 110, 1_000, 1_000_000] {
        for part in [0.0, 0.03, 0.3, 0.5, 0.8, 0.97, 1.0] {
            for confidence in [0.5, 0.8, 0.95, 0.99, 0.9999] {
                let alive = (part * counted as f64).round() as u64;
                let found = wilson(alive, counted, confidence).unwrap();
                rows.push(json!({
                    "alive": alive, "counted": counted, "confidence": confidence,
                    "low": found.low, "high": found.high,
                }));
            }
        }
    }
    rows
}

fn quantiles() -> Vec<Value> {
    let confidences = [1e-6, 0.01, 0.5, 0.8, 0.95, 0.999, 0.999_999_9];
    let one =
        |confidence| json!({"confidence": confidence, "z": normal_quantile(confidence).unwrap()});
    confidences.into_iter().map(one).collect()
}

/// Source: `scipy.stats.binom`, `binomtest(…).proportion_ci("wilson")`, `norm` (scipy 1.11 or later).
#[test]
#[ignore = "needs scipy: cargo xtask test installs it"]
fn figures_over_a_grid_are_those_of_scipy() {
    let figures = json!({
        "tails": tails(), "orders": orders(), "intervals": intervals(), "quantiles": quantiles(),
    });
    let folder = std::env::temp_dir().join(format!("hillweave-tally-{}", std::process::id()));
    std::fs::create_dir_all(&folder).expect("a folder");
    let file = folder.join("figures.json");
    std::fs::write(&file, figures.to_string()).expect("written");
    let python = std::env::var_os("HILLWEAVE_PYTHON").expect("run by `cargo xtask test`");
    let checker = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../tests/outside/tally.py");
    let output = Command::new(python).arg(checker).arg(&file).output().expect("Python runs");
    let said = String::from_utf8_lossy(&output.stdout).into_owned();
    let faults = String::from_utf8_lossy(&output.stderr).into_owned();
    assert!(output.status.success(), "{}\n{said}\n{faults}", file.display());
    std::fs::remove_dir_all(folder).expect("removed");
}
