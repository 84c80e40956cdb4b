//! Blocks: the share of a zone that a stock takes, and its whole plants.

use stock::Library;

use super::{largest_remainder, order_quantity, trim_to_supply};
use crate::layout::ZoneDemand;
use crate::mosaic::Given;
use crate::offers::Seasons;

/// Shares below this are dust of the solver's arithmetic.
const DUST: f64 = 1e-9;

/// One zone × one stock × one season with its counts.
#[derive(Debug, Clone, PartialEq)]
pub struct BlockCount {
    /// Position of the zone.
    pub zone: usize,
    /// Position of the stock.
    pub stock: usize,
    /// Planting season, counted from 0.
    pub season: usize,
    /// Share of the zone, above 0 to 1.
    pub share: f64,
    /// Plants in the ground.
    pub seedlings: u64,
    /// Plants to order.
    pub order_qty: u64,
}

/// Whole plants for every block: largest remainder over the whole plan, so that blocks add up to
/// every total above them; then no line orders more than its supply, in a season and in all.
///
/// `given` is by zone.
#[must_use]
pub fn count_blocks(
    given: &[Vec<Given>],
    demands: &[ZoneDemand],
    library: &Library,
    seasons: &Seasons,
) -> Vec<BlockCount> {
    let taken = given.iter().enumerate().flat_map(|(zone, parts)| {
        parts.iter().filter(|part| part.share > DUST).map(move |part| (zone, *part))
    });
    let taken: Vec<(usize, Given)> = taken.collect();
    let amounts: Vec<f64> =
        taken.iter().map(|(zone, part)| demands[*zone].plants * part.share).collect();
    let mut seedlings = largest_remainder(&amounts);
    for (stock, line) in library.stocks().iter().enumerate() {
        let mut trim = |supply: Option<u64>, is_meant: &dyn Fn(&Given) -> bool| {
            let Some(supply) = supply else { return };
            let meant = |at: &usize| taken[*at].1.line == stock && is_meant(&taken[*at].1);
            let at: Vec<usize> = (0..taken.len()).filter(meant).collect();
            let mut blocks: Vec<(u64, f64)> =
                at.iter().map(|at| (seedlings[*at], demands[taken[*at].0].survival())).collect();
            trim_to_supply(&mut blocks, supply);
            for (at, (plants, _)) in at.into_iter().zip(blocks) {
                seedlings[at] = plants;
            }
        };
        for season in 0..seasons.count {
            let supply = seasons.year(season).and_then(|year| line.supply_in(year));
            trim(supply, &|part| part.season == season);
        }
        trim(seasons.supply(line), &|_| true);
    }
    let block = |((zone, part), seedlings): ((usize, Given), u64)| BlockCount {
        zone,
        stock: part.line,
        season: part.season,
        share: part.share,
        seedlings,
        order_qty: order_quantity(seedlings, demands[zone].survival()),
    };
    taken.into_iter().zip(seedlings).map(block).collect()
}
