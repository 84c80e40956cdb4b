//! Bloom held against weather in which bees fly, and where hives may stand.
//!
//! ```text
//! plan (given or made) ─► blocks ─► windows at their height ─┐
//! hours or normals of a station ─► flying hours there ───────┴─► lines, weeks, gaps, findings
//! tracks, slope, shelter, sun, frost ─► hive sites ─► forage within two discs
//! ```

mod blocks;
mod cautions;
mod chart;
mod columns;
mod findings;
mod forage;
mod hives;
mod hours;
mod lines;
mod normals;
mod page;
mod rows;
mod weather;
mod weeks;
mod write_season;

use std::path::Path;
use std::sync::Arc;

use geo::BoundingRect;
use stock::YearDay;

use crate::pipeline::{Property, Stage, on_globe};
use crate::problem::{Problem, named_from};
use crate::read::{Crs, Ready, records};
use crate::site::Site;
use blocks::{PlanRecord, sown};
pub(crate) use columns::{BLOOM_BLOCKS, BLOOM_WEEKS, HIVE_SITES};
pub use rows::{
    BandRow, BlockBloomRow, ForageRow, GapRow, HiveRow, HiveSearchRow, LineBloomRow, LineFigures,
    RulesRow, Season, ShiftRow, WeekRow, YearWeekRow,
};
use weather::Weather;
pub use weather::WeatherRow;
pub use write_season::{
    BLOOM_BLOCKS_CSV, BLOOM_WEEKS_CSV, HIVE_SITES_CSV, HIVE_SITES_GPKG, HIVE_SITES_GPX,
    SEASON_HTML, SEASON_JSON, SEASON_SCHEMA, write_season,
};

/// A property with what is planted on it.
type Land = crate::plan::Land<PlanRecord>;

/// Holds the bloom of a property's plan, from a folder or made now, against the weather of a station, and
/// looks for hive sites. `enter` is told of each stage as it begins.
///
/// # Errors
/// Every problem that stops it: a plan that cannot be read or made, a faulty table of weather.
pub fn season(
    site_file: &Path,
    plan: Option<&Path>,
    enter: &mut dyn FnMut(Stage),
) -> Result<(Season, Crs), Vec<Problem>> {
    of_land(&Land::read(site_file, plan, enter)?)
}

/// The same of the plan in a folder, on a property that was read before.
///
/// # Errors
/// As [`season`].
pub fn season_on(property: &Arc<Property>, plan: &Path) -> Result<(Season, Crs), Vec<Problem>> {
    of_land(&Land::of(property, plan)?)
}

fn of_land(land: &Land) -> Result<(Season, Crs), Vec<Problem>> {
    let Property { site, ready, .. } = &**land;
    let weather = Weather::read(site, ready, longitude_deg(ready)?)?;
    let sown = sown(land)?;
    let first = first_day(ready.latitude_deg);
    let blocks = lines::blocks(&sown, &weather, site);
    let found = lines::lines(&sown, &blocks, &land.library);
    let year = weeks::year(&sown, &blocks, &weather, site, first);
    let gaps = weeks::gaps(&blocks, site.season.gap_days);
    let forage = forage::Forage::of(land, &sown);
    let hives = hives::hives(land, &forage)?;
    let mut warnings = weather.warnings.clone();
    warnings.extend(land.changed.clone());
    warnings.extend(findings::findings(land, &found, &gaps, &hives));
    let folder = site.folder();
    let warnings = warnings.into_iter().map(|one| one.named_from(folder)).collect();
    let files = [("season.hourly", weather.file.clone()), ("plan", land.plan_file.clone())];
    let files: Vec<_> =
        files.into_iter().filter_map(|(role, file)| Some((role.to_owned(), file?))).collect();
    let mut more = records(folder, &files)?;
    for record in &mut more {
        record.file = named_from(&record.file, folder);
    }
    let season = Season {
        schema: SEASON_SCHEMA,
        version: env!("CARGO_PKG_VERSION"),
        site: site.name.clone(),
        crs: ready.crs.definition(),
        inputs: ready.inputs.iter().cloned().chain(more).collect(),
        defaults: site.season.defaults.clone(),
        weather: weather.row.clone(),
        rules: RulesRow::of(&site.season),
        planted_plan_ha: sown.blocks.iter().map(|block| block.plan_ha).sum(),
        flying_weeks: year.iter().filter(|week| week.has_bloom_and_flight()).count(),
        bloom_weeks: year.iter().filter(|week| week.lines > 0).count(),
        lines: found,
        blocks: blocks.iter().map(|block| block.row.clone()).collect(),
        weeks: weeks::weeks(&blocks, site, first),
        bands: weeks::bands(&blocks, site, first),
        year,
        gaps,
        forage: forage.middle_rows(),
        hive_search: hives.search,
        hives: hives.rows,
        cautions: cautions::cautions(&sown),
        warnings,
    };
    Ok((season, land.ready.crs.clone()))
}

/// First day of the year of bloom: its turn lies in winter. 1 July in the south, 1 January in the north.
fn first_day(latitude_deg: f64) -> YearDay {
    if latitude_deg < 0.0 { YearDay::JULY } else { YearDay::JANUARY }
}

/// Hours in which bees fly on each day of a usual year at a height in metres, each the mean of the week
/// around it, 1 January first; `None` where the site names no weather.
///
/// # Errors
/// When its table of weather is faulty.
pub(crate) fn flying_hours(
    site: &Site,
    ready: &Ready,
    elevation_m: f64,
) -> Result<Option<Vec<f64>>, Vec<Problem>> {
    if site.season.hourly.is_none() && ready.climate.is_none() {
        return Ok(None);
    }
    let weather = Weather::read(site, ready, longitude_deg(ready)?)?;
    let year = weather.at(elevation_m);
    let days = (1..=YearDay::YEAR_DAYS).filter_map(YearDay::new);
    Ok(Some(days.map(|day| year.smoothed_h(day)).collect()))
}

/// Longitude of the middle of the property, degrees, east positive.
fn longitude_deg(ready: &Ready) -> Result<f64, Problem> {
    let middle = ready.boundary.bounding_rect().map_or((0.0, 0.0), |all| all.center().x_y());
    let mut places = [middle];
    on_globe(&ready.crs, &mut places, "season")?;
    Ok(places[0].0)
}
