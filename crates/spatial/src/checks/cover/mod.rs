//! The check of cover: will the steep ground be protected, from when, and what would mend it.
//!
//! ```text
//! slope, cover, terrains ─► kinds of ground ─► parts (kind × zone) ─┐
//! plan: lines, winters, plants ─────────────────────────────────────┴─► futures by year
//!                                   classes by year ◄───────────────────────┤
//!                                   pieces below the target ◄───────────────┴─► cheapest remedy
//! ```
//! A share of ground protected is a model of crowns or roots; what it leaves out is told with it.

mod bare;
mod by_class;
mod chart;
mod columns;
mod future;
mod judge;
mod kinds;
mod on_site;
mod page;
mod piece;
mod pieces;
pub(in crate::checks) mod planted;
mod remedy;
mod risk;
mod rows;
mod setting;
#[cfg(test)]
mod tests;
mod verdict;
mod words;
mod write;

use std::path::Path;
use std::sync::Arc;

use terrain::Raster;

pub(crate) use columns::BY_YEAR;
pub use columns::PIECES;
pub(crate) use planted::Told as PlantedRecord;
pub use remedy::Remedy;
pub(crate) use risk::{ZoneRisk, risks_of};
pub use rows::{BAND_EDGES, CoverCheck, MaySlipYear, PieceRow, PlantedBy, YearRow};
pub(crate) use setting::pattern_of;
pub use write::write_cover;
pub(crate) use write::{
    COVER_BY_YEAR_CSV, COVER_GPKG, COVER_HTML, COVER_JSON, COVER_NOW_TIF, COVER_PIECES_CSV,
    COVER_THEN_TIF,
};

use crate::ground::{GroundLayer, derivation_of};
use crate::pipeline::{self, Property, Stage};
use crate::plan::{Land, Plan, Reach};
use crate::problem::Problem;
use crate::read::{Crs, ElevationOptions, Ready};
use crate::site::{CoverRules, Measure, Site};
use crate::zones::Zones;
use bare::of_elevation;
use on_site::OnSite;
use planted::{Planted, Told};

/// What is asked of a check.
#[derive(Debug, Clone)]
pub struct CoverAsked<'a> {
    /// On what ground.
    pub ground: CoverGround<'a>,
    /// Measure in the place of the site's.
    pub measure: Option<Measure>,
    /// Target in the place of the site's.
    pub target: Option<f64>,
    /// Years in the place of the site's.
    pub by_years: Option<i32>,
}

/// On what ground cover is checked.
#[derive(Debug, Clone)]
pub enum CoverGround<'a> {
    /// A site under the plan in a folder, or under one that is made of it now.
    Site(&'a Path, Option<&'a Path>),
    /// A site as it is, with nothing planted.
    Unplanted(&'a Path),
    /// An elevation raster alone, and what share of each cell is protected today, from 0 to 1.
    Elevation(&'a Path, ElevationOptions, Option<&'a Path>),
}

/// A check, and what is drawn of it.
pub struct CheckedCover {
    /// The check.
    pub check: CoverCheck,
    /// Coordinate system of its pieces.
    pub crs: Crs,
    /// Share protected today, cell by cell.
    pub now: Raster<f32>,
    /// Share protected at the target year.
    pub then: Raster<f32>,
}

/// Checks the cover of a piece of hill country. `enter` is told of each stage as it begins.
///
/// # Errors
/// Every problem of the input, with its remedy.
pub fn check_cover(
    asked: &CoverAsked<'_>,
    enter: &mut dyn FnMut(&'static str),
) -> Result<CheckedCover, Vec<Problem>> {
    let mut stage = |stage: Stage| enter(stage.name());
    match &asked.ground {
        CoverGround::Elevation(file, options, protected) => {
            of_elevation(asked, (file, options), *protected, enter)
        }
        CoverGround::Site(site, folder) => {
            under_plan(&Land::read(site, *folder, &mut stage)?, asked, enter)
        }
        CoverGround::Unplanted(site) if site_has_stock(site)? => {
            // Remedies that plant need a line that fits.
            let fitted = pipeline::fitted(site, Reach::Orders, &mut stage)?;
            let Property { site, library, ready, ground, zones } = &*fitted.property;
            let warnings = about_ground(ready, &ground.notes, zones);
            let best = fitted.fits.iter().map(|lines| best_line(lines, site.mosaic.fit_floor));
            let planted = nothing_planted(best.collect());
            let ls = ls_factor(ready, site, enter)?;
            enter(COVER);
            let on = OnSite { site, ready, zones, slope: &ground.slope_deg };
            Ok(on.check(asked, planted, Some(library), &ls, warnings)?)
        }
        CoverGround::Unplanted(site) => {
            let zoned = pipeline::zoned(site, &mut stage)?;
            let warnings = about_ground(&zoned.ready, &zoned.ground.notes, &zoned.zones);
            let ls = ls_factor(&zoned.ready, &zoned.site, enter)?;
            enter(COVER);
            let planted = nothing_planted(vec![None; zoned.zones.zones.len()]);
            Ok(OnSite::of(&zoned).check(asked, planted, None, &ls, warnings)?)
        }
    }
}

/// Checks the cover under the plan in a folder, on a property that was read before, by the rules of its site.
///
/// # Errors
/// As [`check_cover`].
pub fn check_cover_on(property: &Arc<Property>, plan: &Path) -> Result<CheckedCover, Vec<Problem>> {
    let ground = CoverGround::Site(&property.site.file, Some(plan));
    let asked = CoverAsked { ground, measure: None, target: None, by_years: None };
    under_plan(&Land::of(property, plan)?, &asked, &mut |_| {})
}

/// Checks the cover under a plan that was just made on a property; `by_years` in place of the site's own.
///
/// # Errors
/// As [`check_cover`].
pub fn check_cover_under(
    property: &Arc<Property>,
    plan: &Plan,
    by_years: Option<i32>,
) -> Result<CheckedCover, Vec<Problem>> {
    let ground = CoverGround::Site(&property.site.file, None);
    let asked = CoverAsked { ground, measure: None, target: None, by_years };
    under_plan(&Land::under(property, plan)?, &asked, &mut |_| {})
}

fn under_plan(
    land: &Land<Told>,
    asked: &CoverAsked<'_>,
    enter: &mut dyn FnMut(&'static str),
) -> Result<CheckedCover, Vec<Problem>> {
    let Property { site, library, ready, ground, zones } = &**land;
    let mut warnings = about_ground(ready, &ground.notes, zones);
    warnings.extend(land.changed.clone());
    let planted = Planted::of(&land.plan, zones, library, site.mosaic.fit_floor)
        .map_err(|problem| land.in_plan(problem))?;
    let ls = ls_factor(ready, site, enter)?;
    enter(COVER);
    let on = OnSite { site, ready, zones, slope: &ground.slope_deg };
    Ok(on.check(asked, (planted, PlantedBy::Plan), Some(library), &ls, warnings)?)
}

fn site_has_stock(site: &Path) -> Result<bool, Vec<Problem>> {
    Ok(crate::site::load(site)?.0.stock.is_file())
}

/// The line that fits best, among equals the first; none below the floor.
fn best_line(lines: &[crate::fit::ZoneFit], floor: f64) -> Option<usize> {
    let fits = lines.iter().enumerate().filter(|(_, one)| one.fit >= floor && one.fit > 0.0);
    fits.rev().max_by(|a, b| a.1.fit.total_cmp(&b.1.fit)).map(|(line, _)| line)
}

/// Nothing planted, and the line of each zone that would be.
fn nothing_planted(line: Vec<Option<usize>>) -> (Planted, PlantedBy) {
    let zones = line.len();
    let (blocks, left) = (vec![Vec::new(); zones], vec![String::new(); zones]);
    (Planted { blocks, left, line, first: None }, PlantedBy::Nothing)
}

/// The stage of the check itself.
const COVER: &str = "cover";

/// What is to be looked at of the ground.
pub(in crate::checks) fn about_ground(
    ready: &Ready,
    ground: &[Problem],
    zones: &Zones,
) -> Vec<Problem> {
    // Land farther away shades and shelters ground; cover does not depend on it.
    let concerns_cover = |warning: &&Problem| warning.item != "site.halo_m";
    let all = ready.warnings.iter().chain(ground).chain(&zones.notes);
    all.filter(concerns_cover).cloned().collect()
}

/// Slope length and steepness, a second opinion.
fn ls_factor(
    ready: &Ready,
    site: &Site,
    enter: &mut dyn FnMut(&'static str),
) -> Result<Raster<f32>, Problem> {
    enter("soil loss");
    derivation_of(ready, site).take(GroundLayer::LsFactor).map(Arc::unwrap_or_clone)
}

impl CoverAsked<'_> {
    /// The rules of a site with what was asked for in their place.
    fn rules(&self, of_site: &CoverRules) -> CoverRules {
        CoverRules {
            measure: self.measure.unwrap_or(of_site.measure),
            target: self.target.unwrap_or(of_site.target),
            by_years: self.by_years.unwrap_or(of_site.by_years),
            ..of_site.clone()
        }
    }
}
