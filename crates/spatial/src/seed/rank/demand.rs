//! What a plan asks of local seed.

use std::collections::BTreeMap;
use std::path::Path;

use serde::Deserialize;
use stock::{Library, StockKind};

use crate::problem::Problem;
use crate::write::{PLAN_JSON, SCHEMA};

#[derive(Deserialize)]
struct Told {
    schema: String,
    blocks: Vec<Block>,
}

#[derive(Deserialize)]
struct Block {
    stock_id: String,
    season: Option<i32>,
    order_qty: u64,
}

/// Plants of seed lines that the plan of a folder orders, winter by winter; those without a winter come last.
///
/// # Errors
/// When there is no plan, or it is of another version or shape.
pub(super) fn read_demand(
    folder: &Path,
    library: &Library,
) -> Result<Vec<(Option<i32>, u64)>, Problem> {
    let file = if folder.is_file() { folder.to_path_buf() } else { folder.join(PLAN_JSON) };
    let again = "make it again with `hillweave plan`, and change nothing in it by hand";
    let bytes = std::fs::read(&file).map_err(|error| {
        let problem = Problem::error("--plan").file(&file).found(error.to_string());
        problem.expected("a plan").remedy("name the folder that `hillweave plan -o DIR` wrote")
    })?;
    let told: Told = serde_json::from_slice(&bytes).map_err(|error| {
        let problem = Problem::error("plan").file(&file).found(error.to_string());
        let problem = problem.expected("what `hillweave plan` writes").remedy(again);
        problem.place(error.line(), error.column())
    })?;
    if told.schema != SCHEMA {
        let problem =
            Problem::error("plan: schema").file(&file).found(format!("`{}`", told.schema));
        return Err(problem.expected(format!("`{SCHEMA}`")).remedy(again));
    }
    let is_seed_line = |block: &&Block| {
        library.find(&block.stock_id).is_some_and(|(_, stock)| stock.kind == StockKind::SeedLine)
    };
    let mut demand: BTreeMap<Option<i32>, u64> = BTreeMap::new();
    for block in told.blocks.iter().filter(is_seed_line) {
        let sum = demand.entry(block.season).or_default();
        *sum = sum.saturating_add(block.order_qty);
    }
    // Plants without a winter can wait: they come last.
    let (without, dated): (Vec<_>, Vec<_>) =
        demand.into_iter().partition(|(winter, _)| winter.is_none());
    Ok(dated.into_iter().chain(without).collect())
}
