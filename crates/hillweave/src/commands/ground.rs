//! `hillweave ground`: landform layers of a site or of any elevation raster.

use serde::Serialize;
use spatial::landform::{Landform, landform};
use spatial::pipeline;
use spatial::problem::Problem;
use spatial::read::{self, Crs, ElevationOptions};
use spatial::units::Metres;
use spatial::write::{RasterFile, StagedFolder, Written, write_rasters};
use terrain::{Raster, SlopeMethod};

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
    let written = write_rasters(&files(&layers), &crs, folder)?;
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
    let names: Vec<&str> = written.iter().map(|file| file.name.as_str()).collect();
    screen.words(&format!(
        "{}, {}; slope at a working scale of {} m\nlandform written to {place}: {}\n",
        elevation.grid(),
        crs.describe(),
        scale.0,
        names.join(", ")
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
                cell: options.cell.map(Metres),
                nodata: options.nodata,
            };
            let (raster, crs) = read::read_elevation(file, &how)?;
            Ok((raster, crs, asked.unwrap_or_default()))
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

fn files(layers: &Landform) -> [RasterFile<'_>; 5] {
    let file = |name, raster, unit, description| RasterFile { name, raster, unit, description };
    [
        file("slope_deg.tif", &layers.slope_deg, "degree", "slope"),
        file("aspect_deg.tif", &layers.aspect_deg, "degree", "aspect, clockwise from north"),
        file("filled_m.tif", &layers.filled_m, "metre", "elevation, hollows filled"),
        file("flow_area_m2.tif", &layers.flow_area_m2, "m2", "area that drains through the cell"),
        file("wetness_index.tif", &layers.wetness_index, "", "wetness index ln(a / tan beta)"),
    ]
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
