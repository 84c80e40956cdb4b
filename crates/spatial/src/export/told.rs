//! What the record of a plan says that its map layers do not.

use std::collections::BTreeMap;
use std::path::Path;

use serde::Deserialize;

use crate::plan::read_plan;
use crate::problem::Problem;

/// Of a plan's record.
#[derive(Deserialize)]
pub(super) struct Told {
    pub(super) site: String,
    pub(super) version: String,
    #[serde(default)]
    pub(super) cards: Vec<Card>,
}

/// Of a card.
#[derive(Deserialize)]
pub(super) struct Card {
    pub(super) zone_id: String,
    pub(super) letter: String,
    pub(super) colour_hex: String,
    pub(super) stock_id: String,
    pub(super) stock_name: String,
    pub(super) season: Option<i32>,
    pub(super) order_qty: u64,
    pub(super) boxes: Option<u64>,
    pub(super) drop_east_m: Option<f64>,
    pub(super) drop_north_m: Option<f64>,
    pub(super) hazards: String,
}

/// Reads it.
///
/// # Errors
/// When there is no plan, or it is of another version or shape.
pub(super) fn read(folder: &Path) -> Result<Told, Problem> {
    read_plan(folder)
}

impl Told {
    /// The colour of each line that is planted, as the cards have it, and its name.
    pub(super) fn lines(&self) -> BTreeMap<&str, (&str, &str)> {
        let mut lines = BTreeMap::new();
        for card in &self.cards {
            lines.insert(
                card.stock_id.as_str(),
                (card.colour_hex.as_str(), card.stock_name.as_str()),
            );
        }
        lines
    }
}
