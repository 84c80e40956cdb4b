//! The one pipeline behind every front end.

mod fitted;
mod heard;
mod same;

use std::collections::BTreeSet;
use std::path::Path;
use std::sync::Arc;

use terrain::Raster;

pub use fitted::{
    Fitted, Property, fitted, fitted_again, fitted_from, looked_over, tolerated, unused_tolerances,
};
pub use heard::{Heard, Sound, Texts, hear, hear_texts, load};

use crate::assign::{Mosaic, assign};
use crate::counts::{count_blocks, leave_out, order_lines};
use crate::ground::{Ground, GroundLayer, derivation_of, ground};
use crate::layout::{Planting, plots, positions};
use crate::mosaic::{Hindrance, MosaicError};
use crate::plan::{Parts, Plan, Reach, assemble};
use crate::problem::Problem;
use crate::read::{Crs, Ready, read};
use crate::site::{self, Site};
use crate::write::{self, Output, Written};
use crate::zones::{Zones, zones};

/// A stage of the pipeline, in the order in which they run.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Stage {
    /// Layers read and aligned.
    Read,
    /// Slope, wetness, sun, cold.
    Ground,
    /// Planting zones drawn.
    Zones,
    /// Every stock fitted to every zone.
    Fit,
    /// Stock assigned.
    Mosaic,
    /// Plants counted, cautions gathered, plan put together.
    Counts,
    /// Files written.
    Write,
}

impl Stage {
    /// All stages in order.
    pub const ALL: [Self; 7] =
        [Self::Read, Self::Ground, Self::Zones, Self::Fit, Self::Mosaic, Self::Counts, Self::Write];

    /// Its name.
    #[must_use]
    pub fn name(self) -> &'static str {
        ["read", "ground", "zones", "fit", "mosaic", "counts", "write"][self as usize]
    }
}

/// A finished plan and the coordinate system of its geometry.
pub struct Planned {
    /// The plan.
    pub plan: Plan,
    /// Its coordinate system.
    pub crs: Crs,
}

/// Plans a property. `enter` is told of each stage as it begins.
///
/// Same site and seed, same plan, whatever the number of threads.
///
/// # Errors
/// Every problem that stops the plan, with its remedy.
pub fn plan(
    site_file: &Path,
    reach: Reach,
    seed: u64,
    enter: &mut dyn FnMut(Stage),
) -> Result<Planned, Vec<Problem>> {
    let fitted = fitted(site_file, reach, enter)?;
    let plan = plan_of(&fitted, reach, seed, enter)?;
    Ok(Planned { plan, crs: fitted.ready.crs.clone() })
}

/// The plan of a property whose lines are fitted. `enter` is told of each stage as it begins.
///
/// # Errors
/// When no assignment keeps the rules, with what stands in the way.
pub fn plan_of(
    fitted: &Fitted,
    reach: Reach,
    seed: u64,
    enter: &mut dyn FnMut(Stage),
) -> Result<Plan, Vec<Problem>> {
    enter(Stage::Mosaic);
    let Fitted { property, fits, demands, sourcing, overrides, seasons, warnings } = fitted;
    let Property { site, library, ready, ground, zones } = &**property;
    let terms = fitted.terms();
    let mut warnings = warnings.clone();
    let mosaic = match reach {
        Reach::Zones => Mosaic::none(zones.zones.len()),
        Reach::Orders => assign(&terms).map_err(|error| unsolved(site, &error))?,
    };
    let demands = overrides.demands(demands);
    enter(Stage::Counts);
    let mut blocks = count_blocks(
        &mosaic.assignment.given,
        &demands,
        library,
        seasons,
        (&site.mosaic, &site.labour),
    );
    let unplanted = Planting { zones, ground, site, library, demands: &demands, blocks: &[] };
    let plants = positions(&Planting { blocks: &blocks, ..unplanted }, overrides, seed);
    leave_out(&mut blocks, &plants.without_place, &demands, library, &site.mosaic);
    let rules = (&site.mosaic, &site.order);
    let orders = order_lines(&mut blocks, &demands, library, seasons, rules);
    warnings.extend(plants.warnings);
    let (plots, narrow) = plots(&Planting { blocks: &blocks, ..unplanted }, seed);
    warnings.extend(narrow);
    Ok(assemble(&Parts {
        site,
        library,
        ready,
        ground,
        zones,
        fits,
        demands: &demands,
        seasons: *seasons,
        sourcing,
        overrides,
        mosaic: &mosaic,
        blocks: &blocks,
        orders: &orders,
        plants: &plants.plants,
        plots: &plots,
        reach,
        seed,
        warnings: &warnings,
    }))
}

/// A property read, its ground derived and its zones and stands drawn; no stock is heard.
pub struct Zoned {
    /// The site.
    pub site: Site,
    /// Its layers on one grid.
    pub ready: Arc<Ready>,
    /// Its ground.
    pub ground: Arc<Ground>,
    /// Direction that the ground faces, degrees clockwise from north; level ground is a hole.
    pub aspect_deg: Arc<Raster<f32>>,
    /// Its zones and stands, the same as those of a plan of zones alone.
    pub zones: Arc<Zones>,
    /// Everything worth a look.
    pub warnings: Vec<Problem>,
}

/// Reads a property and draws its zones and stands, as [`plan`] does for [`Reach::Zones`], and keeps
/// the ground for those who look at places on it. `enter` is told of each stage as it begins.
///
/// # Errors
/// Every problem that stops it, with its remedy.
pub fn zoned(site_file: &Path, enter: &mut dyn FnMut(Stage)) -> Result<Zoned, Vec<Problem>> {
    enter(Stage::Read);
    let (site, mut warnings) = site::load(site_file)?;
    let ready = Arc::new(read(&site)?);
    enter(Stage::Ground);
    let ground = Arc::new(ground(&ready, &site, &BTreeSet::new())?);
    let aspect_deg = derivation_of(&ready, &site).take(GroundLayer::Aspect)?;
    enter(Stage::Zones);
    let zones = Arc::new(zones(&ready, &ground, &site)?);
    warnings.extend(ready.warnings.iter().chain(&ground.notes).chain(&zones.notes).cloned());
    Ok(Zoned { site, ready, ground, aspect_deg, zones, warnings })
}

impl Zoned {
    /// A property that was read before, with the direction that its ground faces.
    ///
    /// # Errors
    /// When that cannot be derived.
    pub fn of(property: &Property) -> Result<Self, Problem> {
        let Property { site, ready, ground, zones, .. } = property;
        let warnings = ready.warnings.iter().chain(&ground.notes).chain(&zones.notes);
        Ok(Self {
            site: site.clone(),
            ready: Arc::clone(ready),
            ground: Arc::clone(ground),
            aspect_deg: derivation_of(ready, site).take(GroundLayer::Aspect)?,
            zones: Arc::clone(zones),
            warnings: warnings.cloned().collect(),
        })
    }
}

/// Writes every file of a plan into a folder, whole or not at all.
///
/// # Errors
/// When the folder may not be replaced, or the disk or a file format refuses.
pub fn write_plan(
    plan: &Plan,
    crs: &Crs,
    target: &Path,
    overwrite: bool,
) -> Result<Vec<Written>, Problem> {
    let globe = Crs::longitude_latitude().map_err(|error| no_globe("zones.geojson", &error))?;
    let to_lon_lat = |points: &mut [(f64, f64)]| to_globe(crs, &globe, points, "zones.geojson");
    let outputs = Output::of(plan.reach);
    write::write_plan(plan, &crs.definition(), &to_lon_lat, target, overwrite, outputs)
}

/// Moves places from easting and northing to longitude and latitude on WGS 84, degrees; `item` is named
/// where that fails.
///
/// # Errors
/// When a place has none.
pub(crate) fn on_globe(crs: &Crs, points: &mut [(f64, f64)], item: &str) -> Result<(), Problem> {
    let globe = Crs::longitude_latitude().map_err(|error| no_globe(item, &error))?;
    to_globe(crs, &globe, points, item)
}

fn to_globe(crs: &Crs, globe: &Crs, points: &mut [(f64, f64)], item: &str) -> Result<(), Problem> {
    crs.transform_points(globe, points).map_err(|error| no_globe(item, &error.to_string()))
}

fn no_globe(item: &str, error: &str) -> Problem {
    Problem::error(item)
        .found(error)
        .expected("a coordinate system that leads to longitude and latitude")
        .remedy("set site.crs to a published system, such as EPSG:2193")
}

fn unsolved(site: &Site, error: &MosaicError) -> Problem {
    let remedy = match error {
        MosaicError::Impossible { hindrances, .. } => match &hindrances[..] {
            [] => "loosen several of the keys of [mosaic] together, or take choices by hand out"
                .into(),
            [one] => format!("loosen {}", key_of(*one)),
            many => {
                let keys: Vec<&str> = many.iter().map(|one| key_of(*one)).collect();
                format!("loosen any one of: {}", keys.join("; "))
            }
        },
        MosaicError::OutOfTime { .. } => "give it more time: mosaic.time_limit_s".to_owned(),
        MosaicError::GaveUp { .. } => {
            "more time would not help: loosen the lots, weeks in flower, least \
                                       shares or choices by hand that are hardest to keep"
                .to_owned()
        }
        _ => "this is a fault of the program: please report it with the site folder".to_owned(),
    };
    Problem::error("mosaic")
        .file(&site.file)
        .found(error.to_string())
        .expected("an assignment within the limits")
        .remedy(remedy)
}

/// Where a rule of the mosaic is set.
fn key_of(hindrance: Hindrance) -> &'static str {
    match hindrance {
        Hindrance::InFlower => {
            "mosaic.weeks_in_flower or mosaic.flower_least_ha, or tell when more lines flower"
        }
        Hindrance::MustPlant => "the lines fixed by hand in mosaic.overrides",
        Hindrance::Supply => "the supply of a line in the stock file, or mosaic.seasons",
        Hindrance::Lots => "the min_lot of a line in the stock file",
        Hindrance::Budget => "mosaic.budget_nzd",
        Hindrance::SeasonBudget => "mosaic.season_budget_nzd",
        Hindrance::SeasonDays => "labour.people, labour.days or mosaic.seasons",
        Hindrance::Cap => "mosaic.line_cap",
        Hindrance::MinShare => "mosaic.min_share",
    }
}
