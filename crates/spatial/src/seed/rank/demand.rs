//! What a plan asks of local seed.

use std::collections::BTreeMap;
use std::path::Path;

use serde::Deserialize;
use stock::{Library, StockKind};

use crate::plan::read_plan;
use crate::problem::Problem;

#[derive(Deserialize)]
struct Told {
    blocks: Vec<Block>,
}

#[derive(Deserialize)]
struct Block {
    stock_id: String,
    season: Option<i32>,
    order_qty: u64,
}

/// Plants of seed lines that the plan in a folder orders, winter by winter; those without a winter come last.
///
/// # Errors
/// When there is no plan, or it is of another version or shape.
pub(super) fn read_demand(
    folder: &Path,
    library: &Library,
) -> Result<Vec<(Option<i32>, u64)>, Problem> {
    let told: Told = read_plan(folder)?;
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
