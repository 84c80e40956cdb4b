//! What is set out: blocks on the ground of zones.

use stock::Library;

use super::{LineDemand, ZoneDemand};
use crate::counts::BlockCount;
use crate::ground::Ground;
use crate::site::Site;
use crate::zones::Zones;

/// Counted blocks, and all that they stand on.
#[derive(Clone, Copy)]
pub struct Planting<'a> {
    /// The zones.
    pub zones: &'a Zones,
    /// Their ground.
    pub ground: &'a Ground,
    /// The site.
    pub site: &'a Site,
    /// Its stock.
    pub library: &'a Library,
    /// What each zone asks for.
    pub demands: &'a [ZoneDemand],
    /// In the order of zones.
    pub blocks: &'a [BlockCount],
}

impl Planting<'_> {
    /// Positions of the blocks of a zone.
    pub(super) fn blocks_of(&self, zone: usize) -> Vec<usize> {
        (0..self.blocks.len()).filter(|at| self.blocks[*at].zone == zone).collect()
    }

    /// Lines with their parts of what is planted of a zone, which sum to 1, and what the zone would ask
    /// for under that mixture all over; `None` where nothing is planted.
    pub(super) fn mixture(&self, zone: usize) -> Option<(Vec<(usize, f64)>, LineDemand)> {
        let own = || self.blocks.iter().filter(|block| block.zone == zone && block.seedlings > 0);
        let whole: f64 = own().map(|block| block.share).sum();
        let parts: Vec<(usize, f64)> =
            own().map(|block| (block.stock, block.share / whole)).collect();
        let demand = self.demands[zone].mixed(&parts)?;
        Some((parts, demand))
    }
}
