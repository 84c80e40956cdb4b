//! A site held against its plan: whose each cell is, what is asked first, what cannot be priced.

use std::collections::BTreeSet;

use geo::{BoundingRect, Intersects};
use rayon::prelude::*;
use stock::Library;
use terrain::{Raster, cells_within};

use super::judge::{Held, Owner, What};
use super::kinds::Footing;
use super::planted::Planted;
use super::rows::{PieceRow, PlantedBy};
use super::setting::Tables;
use super::verdict::{About, checked, doubts};
use super::{CheckedCover, CoverAsked};
use crate::checks::{BriefCaution, within_words};
use crate::pipeline::Zoned;
use crate::problem::Problem;
use crate::read::Ready;
use crate::site::Site;
use crate::zones::{CellShares, ClearReason, Zones, cell_shares};

/// A site with its zones.
pub(super) struct OnSite<'a> {
    pub(super) site: &'a Site,
    pub(super) ready: &'a Ready,
    pub(super) zones: &'a Zones,
    pub(super) slope: &'a Raster<f32>,
}

impl<'a> OnSite<'a> {
    pub(super) fn of(zoned: &'a Zoned) -> Self {
        let slope = &zoned.ground.slope_deg;
        Self { site: &zoned.site, ready: &zoned.ready, zones: &zoned.zones, slope }
    }

    pub(super) fn check(
        &self,
        asked: &CoverAsked<'_>,
        (planted, by): (Planted, PlantedBy),
        library: Option<&Library>,
        ls: &Raster<f32>,
        mut warnings: Vec<Problem>,
    ) -> Result<CheckedCover, Problem> {
        let site = self.site;
        let rules = asked.rules(&site.cover);
        let grid = self.slope.grid();
        let others = self.zones.stands.iter().map(|stand| &stand.geometry);
        let others = others.chain(self.zones.keep_clear.iter().map(|clear| &clear.geometry));
        let others: Vec<_> = others.collect();
        let other_cells: Vec<CellShares> =
            others.into_par_iter().map(|geometry| cell_shares(geometry, grid)).collect();
        let owners = self.owners(&other_cells);
        let owner_at = owner_at(&owners, self.slope.cells().len());
        let stands = owners.iter().map(|owner| matches!(owner.what, What::Stand));
        let is_stand: Vec<bool> = std::iter::once(false).chain(stands).collect();
        let in_stand: Vec<bool> =
            owner_at.par_iter().map(|owner| is_stand[*owner as usize]).collect();
        let seeded = cells_within(&in_stand, grid, rules.regenerate_within.0);
        let tables = Tables::of(site);
        let footing = Footing {
            ls: Some(ls),
            seeded: Some(&seeded),
            rules: &rules,
            ..tables.footing(site, self.ready, self.slope)
        };
        let pattern = footing.pattern;
        let first = planted.first;
        let plan = library.map(|library| (site, library));
        let wait = match by {
            PlantedBy::Plan => f64::from(rules.infill_after_years),
            PlantedBy::Nothing => 0.0,
        };
        let lines: BTreeSet<usize> = planted.line.iter().copied().flatten().collect();
        let held = Held { footing, owners, owner_at: &owner_at, planted, plan, wait };
        let mut judged = held.judge()?;
        let asks = self.ask_first(&mut judged.pieces);
        warnings.extend(doubts(&judged, &rules));
        warnings.extend(library.into_iter().flat_map(|library| self.unpriced(&lines, library)));
        let about = About {
            folder: site.folder(),
            name: site.name.clone(),
            inputs: self.ready.inputs.clone(),
            defaults: site.cover.defaults.clone(),
            by,
            pattern,
            first,
            boundary: self.ready.boundary.clone(),
            cautions: asks,
        };
        Ok(checked(judged, about, &rules, self.ready.crs.clone(), warnings))
    }

    /// Tells each piece whose surroundings planters must ask about, and what is to be asked.
    pub(super) fn ask_first(&self, pieces: &mut [PieceRow]) -> Vec<BriefCaution> {
        let mut told = Vec::new();
        for area in &self.ready.keep_clear {
            let Some((around, reach)) =
                area.ask.as_ref().and_then(|ask| Some((ask, ask.bounding_rect()?)))
            else {
                continue;
            };
            let rule = &self.site.keep_clear[area.rule];
            let about = within_words(rule);
            let near = |piece: &PieceRow| {
                piece.geometry.bounding_rect().is_some_and(|bounds| bounds.intersects(&reach))
                    && piece.geometry.intersects(around)
            };
            let mut is_any = false;
            for piece in pieces.iter_mut().filter(|piece| near(piece)) {
                is_any = true;
                if !piece.caution.is_empty() {
                    piece.caution.push_str("; ");
                }
                piece.caution.push_str(&about);
                piece.caution.push_str(": ask first");
            }
            if is_any {
                let text = rule.caution.clone().unwrap_or_else(|| rule.reason.clone());
                told.push(BriefCaution { about: about.into(), text: text.into() });
            }
        }
        told
    }

    /// What remedies that plant cannot be priced by.
    fn unpriced(&self, lines: &BTreeSet<usize>, library: &Library) -> Vec<Problem> {
        let lines = lines.iter().map(|line| &library.stocks()[*line]);
        let without: Vec<&str> = lines
            .filter(|stock| stock.price_nzd.is_none())
            .map(|stock| stock.name.as_str())
            .collect();
        let mut doubts = Vec::new();
        if !without.is_empty() {
            doubts.push(
                Problem::warning("price_nzd")
                    .file(&self.site.stock)
                    .found(format!("no price of {}", without.join(", ")))
                    .expected("a price, by which closer spacing and infill are weighed")
                    .remedy("add it: planting these lines is not weighed as a remedy"),
            );
        }
        if self.site.mosaic.planting_nzd <= 0.0 {
            doubts.push(
                Problem::warning("mosaic.planting_nzd")
                    .file(&self.site.file)
                    .found("0: closer spacing and infill are priced without the planters' pay")
                    .expected("what planting one plant costs")
                    .remedy("set it, so that remedies are weighed alike"),
            );
        }
        doubts
    }

    /// Zones, then stands, then ground kept clear.
    fn owners<'b>(&'b self, others: &'b [CellShares]) -> Vec<Owner<'b>> {
        let zones = self.zones.zones.iter().enumerate().map(|(at, zone)| Owner {
            id: Some(zone.id.clone()),
            what: What::Zone(at),
            cells: &zone.cells,
        });
        let stands = self.zones.stands.iter().map(|stand| (stand.id.clone(), What::Stand));
        let clear = self.zones.keep_clear.iter().map(|clear| {
            let (rules, authority) = self.rules_of(&clear.reason);
            (clear.id.clone(), What::Clear(rules, authority))
        });
        let others = stands.chain(clear).zip(others).map(|((id, what), cells)| Owner {
            id: Some(id),
            what,
            cells,
        });
        zones.chain(others).collect()
    }

    /// Which rules keep a piece clear, and who says so.
    fn rules_of(&self, reason: &ClearReason) -> (String, String) {
        match reason {
            ClearReason::Setback(rules) => {
                let rules = rules.iter().map(|rule| &self.site.keep_clear[*rule]);
                let joined = |words: Vec<&str>| words.join(", ");
                (
                    joined(rules.clone().map(|rule| rule.name.as_str()).collect()),
                    joined(rules.map(|rule| rule.authority.as_str()).collect()),
                )
            }
            ClearReason::Cover(_) => {
                ("cover that is never planted".to_owned(), "the site".to_owned())
            }
            ClearReason::Unknown => ("unknown ground".to_owned(), "the site".to_owned()),
        }
    }
}

/// The owner of each cell plus 1: the one with the largest share of it.
fn owner_at(owners: &[Owner<'_>], cells: usize) -> Vec<u32> {
    let mut owner_at = vec![0_u32; cells];
    let mut largest = vec![0.0_f32; cells];
    for (at, owner) in owners.iter().enumerate() {
        for cell in owner.cells.iter() {
            let place = cell.at as usize;
            if cell.share > largest[place] {
                largest[place] = cell.share;
                owner_at[place] = at as u32 + 1;
            }
        }
    }
    // Cells at the border that lie mostly beyond it belong to nobody.
    for (owner, share) in owner_at.iter_mut().zip(&largest) {
        if *share < LEAST_SHARE {
            *owner = 0;
        }
    }
    owner_at
}

/// Least share of a cell with which it is drawn as somebody's.
const LEAST_SHARE: f32 = 0.34;
