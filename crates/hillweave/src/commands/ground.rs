//! `hillweave ground`: layers of the ground of a site or of any elevation raster.

use std::fmt::Write as _;

use serde::Serialize;
use spatial::landform::{
    Input, Lack, LandformOutput, LeftOut, Request, Step, Surveyed, Wanted, survey,
};
use spatial::problem::Problem;
use spatial::read::ElevationOptions;
use spatial::site::DefaultTaken;
use spatial::units::{FOOT_M, Metres, US_SURVEY_FOOT_M};
use spatial::write::Written;
use terrain::{Routing, SlopeMethod};

use super::check::defaults_list;
use super::folder::names;
use crate::arguments::{self, Flow, HeightUnit, Method};
use crate::outcome::{Outcome, Stop};
use crate::progress::{Progress, timings_table};
use crate::screen::{Ink, Screen};

/// Derives the layers and writes them.
pub(crate) fn run(options: &arguments::Ground, screen: &Screen) -> Result<Outcome, Stop> {
    let request = Request {
        input: input(options)?,
        wanted: wanted(&options.layers)?,
        slope_formula: options.method.map(formula),
        flow: options.flow.map(routing),
        scale: options.scale.map(Metres),
        whole_cells: options.whole_cells,
        target: &options.output,
        overwrite: options.overwrite,
    };
    let mut progress = Progress::new(2, screen);
    let surveyed = survey(&request, &mut |step| {
        progress.enter(match step {
            Step::Read => "read",
            Step::Layers => "layers",
        });
    })?;
    let stages = progress.finish();
    if options.timings {
        screen.talk(&timings_table(&stages));
    }
    screen.json(&Report::of(&surveyed))?;
    for warning in &surveyed.warnings {
        screen.talk(&warning.to_string());
    }
    screen.words(&words(&surveyed, options, screen))?;
    Ok(Outcome::Done)
}

fn input(options: &arguments::Ground) -> Result<Input<'_>, Problem> {
    match (&options.site, &options.elevation) {
        (Some(site), _) => Ok(Input::Site(site)),
        (None, Some(file)) => Ok(Input::Elevation(file, raster_options(&options.raster))),
        (None, None) => Err(Problem::error("hillweave ground")
            .found("neither a site nor --elevation")
            .expected("one of them")
            .remedy("name a site file, or an elevation raster with --elevation")),
    }
}

fn wanted(names: &[String]) -> Result<Wanted, Problem> {
    if names.is_empty() {
        return Ok(Wanted::Usual);
    }
    if names.iter().any(|name| name == arguments::ALL_LAYERS) {
        return Ok(Wanted::Everything);
    }
    let one = |name: &String| {
        LandformOutput::from_name(name).ok_or_else(|| {
            let known: Vec<_> = LandformOutput::all().map(LandformOutput::name).collect();
            Problem::error("--layers")
                .found(format!("`{name}`"))
                .expected(format!("all, or any of {}", known.join(", ")))
                .remedy("name layers from that list, with commas between them")
        })
    };
    names.iter().map(one).collect::<Result<Vec<_>, _>>().map(Wanted::Named)
}

/// How an elevation raster without a site is read.
pub(super) fn raster_options(given: &arguments::Raster) -> ElevationOptions {
    ElevationOptions {
        crs: given.crs.clone(),
        cell: given.cell,
        metres_per_unit: given.unit.map(metres_in),
        nodata: given.nodata,
    }
}

fn metres_in(unit: HeightUnit) -> f64 {
    match unit {
        HeightUnit::M => 1.0,
        HeightUnit::Ft => FOOT_M,
        HeightUnit::FtUs => US_SURVEY_FOOT_M,
    }
}

fn formula(method: Method) -> SlopeMethod {
    match method {
        Method::Horn => SlopeMethod::Horn,
        Method::ZevenbergenThorne => SlopeMethod::ZevenbergenThorne,
    }
}

fn routing(flow: Flow) -> Routing {
    match flow {
        Flow::Multiple => Routing::MULTIPLE_FLOW,
        Flow::DInfinity => Routing::DInfinity,
        Flow::Steepest => Routing::SteepestDescent,
    }
}

fn words(surveyed: &Surveyed, options: &arguments::Ground, screen: &Screen) -> String {
    let place = screen.ink(Ink::Hint, &options.output.display().to_string());
    let defaults = match &surveyed.defaults[..] {
        [] => String::new(),
        taken => defaults_list(taken),
    };
    format!(
        "{}, {}; slope at a working scale of {} m\n{defaults}{}ground written to {place}: {}\n",
        surveyed.grid,
        surveyed.crs.describe(),
        surveyed.scale.0,
        left_out_list(&surveyed.left_out),
        names(&surveyed.written)
    )
}

/// Outputs that were left out, those of one reason together.
fn left_out_list(left_out: &[LeftOut]) -> String {
    let mut reasons: Vec<(Lack, Vec<&str>)> = Vec::new();
    for LeftOut { output, why } in left_out {
        match reasons.iter_mut().find(|(known, _)| known == why) {
            Some((_, names)) => names.push(output.name()),
            None => reasons.push((*why, vec![output.name()])),
        }
    }
    let mut text = String::new();
    for (why, names) in reasons {
        let _ = writeln!(text, "left out: {}\n  {why}", names.join(", "));
    }
    text
}

/// What a script is told.
#[derive(Serialize)]
struct Report<'a> {
    schema: &'static str,
    crs: String,
    grid: String,
    scale_m: f64,
    files: &'a [Written],
    left_out: Vec<Left>,
    defaults: &'a [DefaultTaken],
    warnings: &'a [Problem],
}

impl<'a> Report<'a> {
    fn of(surveyed: &'a Surveyed) -> Self {
        Self {
            schema: "hillweave.ground_report/1",
            crs: surveyed.crs.describe(),
            grid: surveyed.grid.to_string(),
            scale_m: surveyed.scale.0,
            files: &surveyed.written,
            left_out: surveyed.left_out.iter().map(Left::of).collect(),
            defaults: &surveyed.defaults,
            warnings: &surveyed.warnings,
        }
    }
}

/// An output that was left out.
#[derive(Serialize)]
struct Left {
    name: &'static str,
    why: String,
}

impl Left {
    fn of(one: &LeftOut) -> Self {
        Self { name: one.output.name(), why: one.why.to_string() }
    }
}
