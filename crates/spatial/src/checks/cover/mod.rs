//! The check of cover: will the steep ground be protected, from when, and what would mend it.
//!
//! ```text
//! slope, cover, terrains ─► kinds of ground ─► parts (kind × zone) ─┐
//! plan: lines, winters, plants ─────────────────────────────────────┴─► futures by year
//!                                   classes by year ◄───────────────────────┤
//!                                   pieces below the target ◄───────────────┴─► cheapest remedy
//! ```
//! A share of ground protected is a model of crowns or roots; what it leaves out is told with it.

mod chart;
mod columns;
mod future;
mod judge;
mod kinds;
mod page;
mod pieces;
pub(in crate::checks) mod planted;
mod remedy;
mod risk;
mod rows;
#[cfg(test)]
mod tests;
mod words;
mod write;

use std::collections::BTreeSet;
use std::path::Path;

use cover::Pattern;
use geo::{BoundingRect, Intersects};
use stock::Library;
use terrain::{Raster, cells_within};

pub(crate) use columns::{BY_YEAR, PIECES};
pub(crate) use planted::Told as PlantedRecord;
pub use remedy::Remedy;
pub(crate) use risk::ZoneRisk;
pub use rows::{BAND_EDGES, CoverCaution, CoverCheck, PieceRow, PlantedBy, YearRow};
pub use write::write_cover;
pub(crate) use write::{
    COVER_BY_YEAR_CSV, COVER_GPKG, COVER_HTML, COVER_JSON, COVER_NOW_TIF, COVER_PIECES_CSV,
    COVER_THEN_TIF,
};

use super::within_words;
use crate::ground::{Derivation, Footing as GroundFooting, GroundLayer, derivation_of};
use crate::pipeline::{self, OnGround, Stage, Zoned};
use crate::plan::{InputRecord, Reach, USUAL_SEED, changed_since, given, told};
use crate::problem::Problem;
use crate::read::{self, Crs, ElevationLayer, ElevationOptions, Ready, records};
use crate::site::{
    CoverClass, CoverRules, GroundRules, Measure, PlantManner, Site, SlopeEdges, Treatment,
    ZoneRules,
};
use crate::stock_file;
use crate::units::{Metres, PlanHectares};
use crate::zones::{CellShares, ClearReason, Zones, cell_shares};
use judge::{Held, Judged, Owner, What};
use kinds::Footing;
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
    /// A site under an earlier plan.
    Planned(&'a Path, &'a Path),
    /// A site under the plan that is made of it now.
    Site(&'a Path),
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
    pub(crate) now: Raster<f32>,
    /// Share protected at the target year.
    pub(crate) then: Raster<f32>,
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
        CoverGround::Site(site) => {
            let made = pipeline::plan_on_ground(site, Reach::Orders, USUAL_SEED, &mut stage)?;
            let OnGround { plan, site, library, ready, ground, zones } = made;
            let warnings = about_ground(&ready, &ground.notes, &zones);
            let planted =
                Planted::of(&told::<Told>(&plan)?, &zones, &library, site.mosaic.fit_floor)?;
            let ls = ls_factor(&ready, &site, enter)?;
            enter(COVER);
            let on = OnSite { site: &site, ready: &ready, zones: &zones, slope: &ground.slope_deg };
            Ok(on.check(asked, (planted, PlantedBy::Plan), Some(&library), &ls, warnings)?)
        }
        CoverGround::Planned(site, folder) => {
            let told: Told = given(folder)?;
            let zoned = pipeline::zoned(site, &mut stage)?;
            let library = stock_file::read(&zoned.site.stock)?;
            let mut warnings = about_ground(&zoned.ready, &zoned.ground.notes, &zoned.zones);
            warnings.extend(changed_since(folder, &zoned.ready.inputs)?);
            let planted = Planted::of(&told, &zoned.zones, &library, zoned.site.mosaic.fit_floor)
                .map_err(|problem| problem.file(crate::plan::plan_file(folder)))?;
            let ls = ls_factor(&zoned.ready, &zoned.site, enter)?;
            enter(COVER);
            let planted = (planted, PlantedBy::Plan);
            Ok(OnSite::of(&zoned).check(asked, planted, Some(&library), &ls, warnings)?)
        }
        CoverGround::Unplanted(site) if site_has_stock(site)? => {
            // Remedies that plant need a line that fits.
            let fitted = pipeline::fitted(site, Reach::Orders, &mut stage)?;
            let pipeline::Fitted { site, library, ready, ground, zones, fits, .. } = &fitted;
            let warnings = about_ground(ready, &ground.notes, zones);
            let best = fits.iter().map(|lines| best_line(lines, site.mosaic.fit_floor));
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
    derivation_of(ready, site).take(GroundLayer::LsFactor)
}

/// A site with its zones.
struct OnSite<'a> {
    site: &'a Site,
    ready: &'a Ready,
    zones: &'a Zones,
    slope: &'a Raster<f32>,
}

impl<'a> OnSite<'a> {
    fn of(zoned: &'a Zoned) -> Self {
        let slope = &zoned.ground.slope_deg;
        Self { site: &zoned.site, ready: &zoned.ready, zones: &zoned.zones, slope }
    }

    fn check(
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
        let other_cells: Vec<CellShares> =
            others.map(|geometry| cell_shares(geometry, grid)).collect();
        let owners = self.owners(&other_cells);
        let owner_at = owner_at(&owners, self.slope.cells().len());
        let stands = owners.iter().map(|owner| matches!(owner.what, What::Stand));
        let is_stand: Vec<bool> = std::iter::once(false).chain(stands).collect();
        let in_stand: Vec<bool> = owner_at.iter().map(|owner| is_stand[*owner as usize]).collect();
        let seeded = cells_within(&in_stand, grid, rules.regenerate_within.0);
        let covers = covers_of(site);
        let terrains = terrains_of(site);
        let footing = Footing {
            slope_deg: self.slope,
            cover: self.ready.cover.as_ref(),
            terrain: self.ready.erosion_terrain.as_ref(),
            ls: Some(ls),
            seeded: Some(&seeded),
            covers: &covers,
            terrains: &terrains,
            slope_edges: site.zones.slope_edges,
            steep_from_deg: site.survival.steep_from_deg,
            pattern: pattern_of(site),
            rules: &rules,
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
    fn ask_first(&self, pieces: &mut [PieceRow]) -> Vec<CoverCaution> {
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
                told.push(CoverCaution { about, text });
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

/// Ground of each zone that may slip under a plan, as means over it: what is drawn again and again where the
/// plan may be off.
///
/// # Errors
/// When the plan is one of other ground or stock.
pub(crate) fn risks_of(
    fitted: &pipeline::Fitted,
    told: &PlantedRecord,
) -> Result<Vec<Option<ZoneRisk>>, Problem> {
    let pipeline::Fitted { site, library, ready, ground, zones, .. } = fitted;
    let mut planted = Planted::of(told, zones, library, site.mosaic.fit_floor)?;
    let covers = covers_of(site);
    let terrains = terrains_of(site);
    let footing = Footing {
        slope_deg: &ground.slope_deg,
        cover: ready.cover.as_ref(),
        terrain: ready.erosion_terrain.as_ref(),
        ls: None,
        seeded: None,
        covers: &covers,
        terrains: &terrains,
        slope_edges: site.zones.slope_edges,
        steep_from_deg: site.survival.steep_from_deg,
        pattern: pattern_of(site),
        rules: &site.cover,
    };
    let cells: Vec<&CellShares> = zones.zones.iter().map(|zone| &zone.cells).collect();
    let (parts, _) = kinds::parts(&footing, &footing.numbered(), &cells);
    planted.scale(&parts, &footing, site, library);
    Ok(risk::zone_risks(&parts, &planted, &footing, (site, library)))
}

/// How plants stand.
pub(crate) fn pattern_of(site: &Site) -> Pattern {
    site.cover.pattern.unwrap_or_else(|| as_set_out(site))
}

fn covers_of(site: &Site) -> Vec<CoverClass> {
    let table = site.layers.cover.iter().flat_map(|source| &source.table);
    table.map(|row| row.class.clone()).collect()
}

fn terrains_of(site: &Site) -> Vec<(String, f64)> {
    let table = site.layers.erosion_terrain.iter().flat_map(|source| &source.table);
    table.map(|row| (row.class.name.clone(), row.class.slips_from_deg)).collect()
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

/// How plants stand where the site does not say.
pub(in crate::checks) fn as_set_out(site: &Site) -> Pattern {
    match site.layout.manner {
        Some(PlantManner::Scattered) => Pattern::Random,
        Some(PlantManner::Triangles) => Pattern::Triangular,
        Some(PlantManner::Rows | PlantManner::Squares) => Pattern::Square,
        None => match site.density.pattern {
            crate::site::Pattern::Square => Pattern::Square,
            crate::site::Pattern::Triangular => Pattern::Triangular,
        },
    }
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

/// Steps in which the share of a raster is told: one in a hundred.
const SHARE_STEPS: u8 = 100;

/// Cover of an elevation raster alone: what is protected today, where it may slip.
fn of_elevation(
    asked: &CoverAsked<'_>,
    (file, options): (&Path, &ElevationOptions),
    protected: Option<&Path>,
    enter: &mut dyn FnMut(&'static str),
) -> Result<CheckedCover, Vec<Problem>> {
    enter(Stage::Read.name());
    let layer = read::read_elevation(file, options)?;
    let ElevationLayer { elevation, crs, defaults, mut warnings, .. } = layer;
    let protected =
        protected.map(|file| read::read_share(file, elevation.grid(), &crs)).transpose()?;
    let protected = protected.map(|(share, doubts)| {
        warnings.extend(doubts);
        share
    });
    enter(Stage::Ground.name());
    let rules = asked.rules(&CoverRules::usual());
    let mut zone_rules = ZoneRules::usual();
    zone_rules.slope_scale = Metres(0.0);
    let ground_rules = GroundRules::usual();
    let mut derivation = Derivation::new(GroundFooting {
        elevation_m: &elevation,
        property: None,
        rules: &ground_rules,
        scale: zone_rules.slope_scale,
        latitude_deg: None,
        sun_months: None,
        streams: None,
        climate: None,
    });
    let slope = derivation.layer(GroundLayer::Slope)?.clone();
    let ls = derivation.take(GroundLayer::LsFactor)?;
    warnings.extend(derivation.notes().iter().cloned());
    enter(COVER);
    let grid = *slope.grid();
    let covers: Vec<CoverClass> = (0..=SHARE_STEPS).map(covered_class).collect();
    let codes = protected.map(|share| share_codes(&share));
    let everything = CellShares::whole(&grid);
    let owners = vec![Owner { id: None, what: What::All, cells: &everything }];
    let owner_at = vec![1_u32; slope.cells().len()];
    let footing = Footing {
        slope_deg: &slope,
        cover: codes.as_ref(),
        terrain: None,
        ls: Some(&ls),
        seeded: None,
        covers: &covers,
        terrains: &[],
        slope_edges: SlopeEdges::UpperBound,
        steep_from_deg: rules.slips_above_deg,
        pattern: Pattern::Random,
        rules: &rules,
    };
    let planted = Planted::default();
    let judged =
        Held { footing, owners, owner_at: &owner_at, planted, plan: None, wait: 0.0 }.judge()?;
    let folder = file.parent().unwrap_or(Path::new(""));
    let mut files = vec![("elevation".to_owned(), file.to_path_buf())];
    if let CoverGround::Elevation(_, _, Some(protected)) = &asked.ground {
        files.push(("protected".to_owned(), protected.to_path_buf()));
    }
    let mut all_defaults = rules.defaults.clone();
    all_defaults.extend(defaults);
    let about = About {
        name: file.file_name().unwrap_or_default().to_string_lossy().into_owned(),
        inputs: records(folder, &files)?,
        defaults: all_defaults,
        by: PlantedBy::Nothing,
        pattern: Pattern::Random,
        first: None,
        boundary: geo::MultiPolygon::new(Vec::new()),
        cautions: vec![CoverCaution {
            about: "what is not known".to_owned(),
            text: "a raster alone knows no power lines, recorded sites, waters, buildings or boundaries: \
                   nothing may be planted, set or dug by it before they are"
                .to_owned(),
        }],
    };
    Ok(checked(judged, about, &rules, crs, warnings))
}

/// Ground of which so many hundredths are protected.
fn covered_class(hundredths: u8) -> CoverClass {
    CoverClass {
        name: format!("{hundredths} % protected"),
        treatment: Treatment::Keep,
        gap_share: 0.0,
        survival: None,
        landform: None,
        protects: Some(f64::from(hundredths) / f64::from(SHARE_STEPS)),
    }
}

/// Shares as positions of their classes plus 1; holes are unknown.
fn share_codes(share: &Raster<f32>) -> Raster<u8> {
    share.map(|share| {
        // Down, never up to a target; the last digit of a single-precision number is no step.
        let steps = share * f32::from(SHARE_STEPS) + 1e-4;
        if share.is_nan() { 0 } else { steps.floor() as u8 + 1 }
    })
}

/// What a check is of.
struct About {
    name: String,
    inputs: Vec<InputRecord>,
    defaults: Vec<crate::site::DefaultTaken>,
    by: PlantedBy,
    pattern: Pattern,
    first: Option<i32>,
    boundary: geo::MultiPolygon<f64>,
    cautions: Vec<CoverCaution>,
}

/// What should be looked at.
fn doubts(judged: &Judged, rules: &CoverRules) -> Option<Problem> {
    let Measure::Stand(_) = rules.measure else { return None };
    (judged.wide_m2 > 0.0).then(|| {
        Problem::warning("cover.measure")
            .found(format!(
                "`{}` on {:.1} ha planted at fewer than {:.0} living plants a hectare",
                rules.measure.word(),
                PlanHectares::from_m2(judged.wide_m2).0,
                cover::FULLY_STOCKED_SPH
            ))
            .expected("natural regeneration at thousands of stems a hectare, in which the curve was measured")
            .remedy("read it as the most that may be hoped for; `crown` and `roots` reckon with the spacing")
    })
}

fn checked(
    judged: Judged,
    about: About,
    rules: &CoverRules,
    crs: Crs,
    warnings: Vec<Problem>,
) -> CheckedCover {
    let ha = PlanHectares::from_m2;
    let by_year = about.first.map(|first| first + rules.by_years);
    let in_time =
        |piece: &PieceRow| piece.remedy_years.is_some_and(|years| years <= rules.by_years);
    let late = |piece: &PieceRow| piece.remedy_years.is_some_and(|years| years > rules.by_years);
    let none = |piece: &PieceRow| piece.remedy.is_none();
    let pieces = &judged.pieces;
    let nzd = |is_meant: &dyn Fn(&PieceRow) -> bool| {
        pieces.iter().filter(|one| is_meant(one)).filter_map(|one| one.remedy_nzd).sum()
    };
    let plan_ha = |is_meant: &dyn Fn(&PieceRow) -> bool| {
        pieces.iter().filter(|one| is_meant(one)).map(|one| one.plan_area_ha).sum()
    };
    let mut all_cautions = about.cautions;
    all_cautions.extend(cautions());
    let check = CoverCheck {
        schema: write::COVER_SCHEMA,
        version: env!("CARGO_PKG_VERSION"),
        site: about.name,
        crs: crs.definition(),
        planted: about.by,
        inputs: about.inputs,
        defaults: about.defaults,
        measure: rules.measure.word(),
        pattern: about.pattern.word(),
        target: rules.target,
        by_years: rules.by_years,
        by_year,
        plan_ha: ha(judged.plan_m2),
        may_slip_plan_ha: ha(judged.may_slip_m2),
        below_plan_ha: ha(judged.below_m2),
        below_small_plan_ha: ha(judged.below_small_m2),
        unknown_plan_ha: ha(judged.unknown_m2),
        never_plan_ha: ha(judged.never_m2),
        remedies_nzd: nzd(&in_time),
        remedies_plan_ha: plan_ha(&in_time),
        late_remedies_nzd: nzd(&late),
        late_remedies_plan_ha: plan_ha(&late),
        no_remedy_plan_ha: plan_ha(&none),
        soil_loss_ratio: judged.soil_loss_ratio,
        by_year_rows: judged.rows,
        pieces: judged.pieces.clone(),
        cautions: all_cautions,
        limits: LIMITS.to_vec(),
        warnings,
        boundary: about.boundary,
    };
    CheckedCover { check, crs, now: judged.now, then: judged.then }
}

/// What people must know: common practice, no source.
fn cautions() -> Vec<CoverCaution> {
    let one =
        |about: &str, text: &str| CoverCaution { about: about.to_owned(), text: text.to_owned() };
    vec![
        one(
            "who decides",
            "local rules and licensed people decide: an erosion adviser or geotechnical engineer looks at the slope itself before anyone relies on it",
        ),
        one(
            "steep ground",
            "planting by hand above 35° needs a site safety plan, and people keep off ground above bluffs; machines need one above 15° on wheels and 22° on tracks",
        ),
        one(
            "slopes",
            "a slope that is covered may still slip, and one that is not may hold: keep people, tracks and buildings clear of ground that moves, above and below",
        ),
        one(
            "floods",
            "soil and slash from slips reach streams: ask the council before work beside water",
        ),
    ]
}

/// How far the figures go.
const LIMITS: [&str; 5] = [
    "A share of ground protected is that under crowns, or bound by roots, or that of slips lessened in stands of that age; none is a chance of failure.",
    "Crowns and roots grow as `cover.growth` says, the same on all ground but slip scars; drought, browsing and fire are not in it.",
    "Most roots of young plants lie in the top half metre (root system attributes of 12 juvenile indigenous species, NZ J. Forestry Science 2018): deeper slips pass below them.",
    "Slope above a threshold is not susceptibility: rock, soil depth, water and aspect count too, and thresholds differ between terrains.",
    "Relative soil loss is of sheet and rill alone (RUSLE), fitted on gentler slopes; slips, gullies and banks are not in it.",
];
