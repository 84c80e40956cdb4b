//! A solved mosaic as reasons are found in it.

use stock::Library;

use super::uses::Uses;
use crate::assign::Mosaic;
use crate::counts::BlockCount;
use crate::fit::ZoneFit;
use crate::layout::ZoneDemand;
use crate::offers::{Seasons, Sourcing};
use crate::overrides::Overrides;
use crate::site::Site;

/// What was asked, what came of it, and what it takes of every limit.
pub(super) struct Case<'a> {
    pub(super) site: &'a Site,
    pub(super) library: &'a Library,
    /// `[zone][stock]`.
    pub(super) fits: &'a [Vec<ZoneFit>],
    pub(super) demands: &'a [ZoneDemand],
    pub(super) seasons: Seasons,
    pub(super) sourcing: &'a Sourcing,
    pub(super) overrides: &'a Overrides,
    pub(super) mosaic: &'a Mosaic,
    pub(super) blocks: &'a [BlockCount],
    pub(super) uses: Uses,
}

impl<'a> Case<'a> {
    /// Why a line may not go on a zone, by hand or by where its seed is from; `None`: it may.
    pub(super) fn bar(&self, zone: usize, line: usize) -> Option<String> {
        let choices = || self.overrides.of_zone(zone);
        if let Some(fixed) = choices().find_map(|one| one.line) {
            return (fixed != line).then(|| format!("{} is fixed here by hand", self.name(fixed)));
        }
        if choices().any(|one| one.forbid.contains(&line)) {
            return Some("it is forbidden here by hand".to_owned());
        }
        self.sourcing.bar(zone, line).map(str::to_owned)
    }

    /// The name of a line.
    pub(super) fn name(&self, line: usize) -> &'a str {
        &self.library.stocks()[line].name
    }

    /// ` in ` a winter, where the plan has more than one; else nothing.
    pub(super) fn in_winter(&self, season: usize) -> String {
        match self.seasons.count {
            0 | 1 => String::new(),
            _ => format!(" in {}", self.seasons.words(season)),
        }
    }

    /// The blocks of a zone.
    pub(super) fn blocks_of(&self, zone: usize) -> impl Iterator<Item = &'a BlockCount> {
        self.blocks.iter().filter(move |block| block.zone == zone)
    }

    /// Whether a line stands in a zone.
    pub(super) fn stands_in(&self, zone: usize, line: usize) -> bool {
        self.blocks_of(zone).any(|block| block.stock == line)
    }
}
