//! A plan of two zones and two lines over two winters, for tests.

use std::path::Path;

use stock::Library;

use super::{PlantedPlan, PlotCount, read_counts, read_planted};
use crate::problem::Problem;

/// `plan.json`, as far as a survey reads it.
pub(super) const PLAN: &str = r#"{
  "schema": "hillweave.plan/1", "site": "Small Fold",
  "zones": [
    {"zone_id": "Z001", "slope_mean_deg": 30.0},
    {"zone_id": "Z002", "slope_mean_deg": 8.0},
    {"zone_id": "Z003", "slope_mean_deg": 12.0}
  ],
  "blocks": [
    {"zone_id": "Z001", "stock_id": "amber", "season": 2027, "seedlings": 700, "order_qty": 875},
    {"zone_id": "Z001", "stock_id": "tops", "season": 2027, "seedlings": 400, "order_qty": 500},
    {"zone_id": "Z001", "stock_id": "amber", "season": 2028, "seedlings": 300, "order_qty": 375},
    {"zone_id": "Z002", "stock_id": "amber", "season": 2027, "seedlings": 600, "order_qty": 750}
  ],
  "orders": [{"stock_id": "amber", "name": "Amber Spur"}, {"stock_id": "tops", "name": "Kestrel tops"}],
  "cautions": [
    {"about": "slopes over 35°", "zones": ["Z001", "Z003"], "text": "keep people off"},
    {"about": "within 20 m of power line", "zones": ["Z003"], "text": "ask first"}
  ]
}"#;

/// The lines of the plan, with a smallest lot for one.
const STOCK: &str = "[[stock]]\nid = \"amber\"\nname = \"Amber Spur\"\nkind = \"cultivar\"\nmin_lot = 500\n\
    [[stock]]\nid = \"tops\"\nname = \"Kestrel tops\"\nkind = \"seed_line\"\n";

/// A folder that holds the plan.
pub(super) fn room() -> tempfile::TempDir {
    let room = tempfile::tempdir().unwrap();
    std::fs::write(room.path().join("plan.json"), PLAN).unwrap();
    room
}

/// The plan.
pub(super) fn plan() -> PlantedPlan {
    read_planted(room().path(), None).unwrap()
}

/// The library.
pub(super) fn library() -> Library {
    Library::parse(STOCK).unwrap()
}

/// Counts from a text.
pub(super) fn counts(text: &str) -> Result<Vec<PlotCount>, Vec<Problem>> {
    let room = tempfile::tempdir().unwrap();
    let file = room.path().join("counts.csv");
    std::fs::write(&file, text).unwrap();
    read_counts(&file, &plan())
}

/// Where the counts are said to come from.
pub(super) fn counts_file() -> &'static Path {
    Path::new("counts.csv")
}
