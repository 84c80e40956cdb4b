//! `hillweave ground`: landform layers of a site or of any elevation raster.

use serde::Serialize;
use spatial::landform::{Landform, landform};
use spatial::pipeline;
use spatial::problem::Problem;
use spatial::read::{self, Crs, ElevationLayer, ElevationOptions};
use spatial::units::Metres;
use spatial::write::{GROUND_FILES, StagedFolder, Written, write_raster};
use terrain::{Raster, SlopeMethod};

use super::plan::names;
use crate::arguments::{self, Method};
use crate::outcome::{Outcome, Stop};
use crate::progress::{Progress, timings_table};
use crate::screen::{Ink, Screen};

/// Derives the layers and writes them.
pub(crate) fn run(options: &arguments::Ground, screen: &Screen) -> Result<Outcome, Stop> {
    let folder = StagedFolder::begin(&options.output, options.overwrite)?;
    let mut progress = Progress::new(3, screen);
    progress.enter("read");
    let (elevation, crs, scale) = elevation(options)?;
    progress.enter("ground");
    let layers = landform(&elevation, method(options.method), scale)?;
    progress.enter("write");
    write_layers(&layers, &crs, &folder)?;
    let written = folder.commit()?;
    let stages = progress.finish();
    if options.timings {
        screen.talk(&timings_table(&stages));
    }
    screen.json(&Report {
        schema: "hillweave.ground/1",
        crs: crs.describe(),
        grid: elevation.grid().to_string(),
        scale_m: scale.0,
        files: &written,
    })?;
    let place = screen.ink(Ink::Hint, &options.output.display().to_string());
    screen.words(&format!(
        "{}, {}; slope at a working scale of {} m\nlandform written to {place}: {}\n",
        elevation.grid(),
        crs.describe(),
        scale.0,
        names(&written)
    ))?;
    Ok(Outcome::Done)
}

/// The elevation to work on, and the working scale of its slope.
fn elevation(options: &arguments::Ground) -> Result<(Raster<f32>, Crs, Metres), Vec<Problem>> {
    let asked = options.scale.map(Metres);
    match (&options.site, &options.elevation) {
        (Some(site), _) => {
            let sound = pipeline::load(site)?;
            let ready = read::read(&sound.site)?;
            Ok((ready.elevation, ready.crs, asked.unwrap_or(sound.site.zones.slope_scale)))
        }
        (None, Some(file)) => {
            let how = ElevationOptions {
                crs: options.crs.clone(),
                cell: options.cell,
                metres_per_unit: None,
                nodata: options.nodata,
            };
            let ElevationLayer { elevation, crs, .. } = read::read_elevation(file, &how)?;
            Ok((elevation, crs, asked.unwrap_or_default()))
        }
        (None, None) => Err(vec![
            Problem::error("hillweave ground")
                .found("neither a site nor --elevation")
                .expected("one of them")
                .remedy("name a site file, or an elevation raster with --elevation"),
        ]),
    }
}

fn method(method: Method) -> SlopeMethod {
    match method {
        Method::Horn => SlopeMethod::Horn,
        Method::ZevenbergenThorne => SlopeMethod::ZevenbergenThorne,
    }
}

/// Writes every layer into a staged folder.
fn write_layers(layers: &Landform, crs: &Crs, folder: &StagedFolder) -> Result<(), Problem> {
    let Landform { slope_deg, aspect_deg, filled_m, flow_area_m2, wetness_index } = layers;
    let rasters = [slope_deg, aspect_deg, filled_m, flow_area_m2, wetness_index];
    for (file, raster) in GROUND_FILES.iter().zip(rasters) {
        folder.make(file.file, |path| {
            write_raster(path, raster, &crs.definition(), file.meaning, file.unit)
        })?;
    }
    Ok(())
}

/// What a script is told.
#[derive(Serialize)]
struct Report<'a> {
    schema: &'static str,
    crs: String,
    grid: String,
    scale_m: f64,
    files: &'a [Written],
}
