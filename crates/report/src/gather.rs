//! Everything that a report tells, asked of the engine. Nothing is reckoned here.

use std::path::{Path, PathBuf};

use rayon::prelude::*;
use sha2::{Digest, Sha256};
use spatial::calendar::{CalendarAsked, Month, calendar};
use spatial::chances::{ChancesAsked, chances_on};
use spatial::checks::cover::check_cover_on;
use spatial::checks::eligible::check_eligible_on;
use spatial::money::reckon;
use spatial::pipeline::{self, Fitted, Stage};
use spatial::plan::{Reach, Shapes, shapes};
use spatial::problem::Problem;
use spatial::season::season_on;
use terrain::{Raster, SlopeMethod, hillshade, slope_aspect};

use crate::record::Record;
use crate::xml::put;

/// What is asked of a report.
#[derive(Debug, Clone, Copy)]
pub struct Asked<'a> {
    /// The site file or its folder; `None`: only what the plan itself tells.
    pub site: Option<&'a Path>,
    /// Folder of a plan, or its `plan.json`; `None`: one is made of the site now.
    pub plan: Option<&'a Path>,
    /// Month in which work can begin; `None`: as the calendar finds.
    pub start: Option<Month>,
    /// Seed of the draws.
    pub seed: u64,
}

/// Everything that a report tells.
pub struct Dossier {
    /// `plan.json`.
    pub(crate) plan: Record,
    /// Its checksum, SHA-256, hexadecimal.
    pub(crate) plan_sha256: String,
    /// The polygons of the plan.
    pub(crate) shapes: Shapes,
    /// What the site adds; `None` where only the plan is known.
    pub(crate) of_site: Option<OfSite>,
}

/// What is known of the ground and what each check says.
pub(crate) struct OfSite {
    /// Light and shade, 0 to 1.
    pub(crate) shade: Raster<f32>,
    /// Slope, degrees.
    pub(crate) slope_deg: Raster<f32>,
    /// Share protected today and at the target year.
    pub(crate) protected: Option<[Raster<f32>; 2]>,
    pub(crate) cover: Told,
    pub(crate) season: Told,
    pub(crate) money: Told,
    pub(crate) calendar: Told,
    pub(crate) eligible: Told,
    pub(crate) chances: Told,
}

/// What a check says, with its charts as SVG; or why it says nothing.
pub(crate) type Told = Result<(Record, Vec<String>), Vec<Problem>>;

/// Asks the engine for everything. `enter` is told of each stage as it begins.
///
/// A check that cannot be made is told in its place with its remedy; it does not stop the report.
///
/// # Errors
/// Every problem of the site, its stock and its layers; a plan that cannot be read or made.
pub fn gather(
    asked: &Asked<'_>,
    enter: &mut dyn FnMut(&'static str),
) -> Result<Dossier, Vec<Problem>> {
    let Some(site) = asked.site else {
        let plan = asked.plan.ok_or_else(|| {
            vec![
                Problem::error("report").found("neither a site nor a plan").expected("one of them"),
            ]
        })?;
        return Ok(of_plan(plan)?);
    };
    let fitted = pipeline::fitted(site, Reach::Orders, &mut |stage: Stage| enter(stage.name()))?;
    // The checks read a plan from its folder, one that is made now too.
    let made = tempfile::tempdir().map_err(|error| vec![no_room(&error)])?;
    let folder = match asked.plan {
        Some(folder) => folder.to_path_buf(),
        None => made_now(&fitted, asked.seed, made.path(), enter)?,
    };
    let mut dossier = of_plan(&folder)?;
    enter("checks");
    dossier.of_site = Some(of_site(&fitted, asked, &folder));
    Ok(dossier)
}

fn no_room(error: &std::io::Error) -> Problem {
    let problem = Problem::error("plan").found(error.to_string());
    problem.expected("room for a plan in the folder of temporary files").remedy("make room there")
}

/// Makes the plan that `hillweave plan` makes and writes it into a folder.
fn made_now(
    fitted: &Fitted,
    seed: u64,
    room: &Path,
    enter: &mut dyn FnMut(&'static str),
) -> Result<PathBuf, Vec<Problem>> {
    let mut stage = |stage: Stage| enter(stage.name());
    let plan = pipeline::plan_of(fitted, Reach::Orders, seed, &mut stage)?;
    let folder = room.join("plan");
    pipeline::write_plan(&plan, &fitted.ready.crs, &folder, false)?;
    Ok(folder)
}

/// What the plan itself tells.
fn of_plan(folder: &Path) -> Result<Dossier, Problem> {
    let file = if folder.is_file() { folder.to_path_buf() } else { folder.join("plan.json") };
    let plan = Record::read("plan.json", spatial::plan::record(folder)?);
    let bytes = std::fs::read(&file).map_err(|error| {
        Problem::error("plan").file(&file).found(error.to_string()).expected("a plan")
    })?;
    if plan.text("/reach") != "orders" {
        return Err(Problem::error("plan")
            .file(&file)
            .found("a plan of zones alone")
            .expected("a plan with blocks and orders")
            .remedy("make one with `hillweave plan`, without `--only zones`"));
    }
    let mut plan_sha256 = String::new();
    for byte in Sha256::digest(&bytes) {
        put(&mut plan_sha256, format_args!("{byte:02x}"));
    }
    Ok(Dossier { plan, plan_sha256, shapes: shapes(folder)?, of_site: None })
}

/// What a check is called, and what it does.
type Ask<'a> = (&'static str, Box<dyn Fn() -> Answer + Sync + Send + 'a>);

/// A check's record and charts, and for cover its cells.
type Answer = (Told, Option<[Raster<f32>; 2]>);

fn of_site(fitted: &Fitted, asked: &Asked<'_>, folder: &Path) -> OfSite {
    let ground = slope_aspect(&fitted.ready.elevation, SlopeMethod::Horn);
    let shade = hillshade(&ground, LIGHT[0], LIGHT[1]);
    let site = fitted.site.file.as_path();
    let asks: [Ask<'_>; 6] = [
        (
            "cover.json",
            Box::new(|| match check_cover_on(&fitted.property, folder) {
                Ok(made) => {
                    let chart = made.check.chart();
                    (record("cover.json", &made.check, vec![chart]), Some([made.now, made.then]))
                }
                Err(problems) => (Err(problems), None),
            }),
        ),
        (
            "season.json",
            Box::new(|| {
                let made = season_on(&fitted.property, folder);
                (made.and_then(|(made, _)| record("season.json", &made, vec![made.chart()])), None)
            }),
        ),
        (
            "eligible.json",
            Box::new(|| {
                let made = check_eligible_on(&fitted.property, folder);
                (made.and_then(|made| record("eligible.json", &made.check, Vec::new())), None)
            }),
        ),
        (
            "chances.json",
            Box::new(|| {
                let asked =
                    ChancesAsked { site, plan: Some(folder), draws: None, seed: asked.seed };
                let made = chances_on(fitted, &asked, &mut |_| {});
                (made.and_then(|made| record("chances.json", &made, Vec::new())), None)
            }),
        ),
        (
            "money.json",
            Box::new(|| {
                let made = reckon(site, Some(folder), &mut |_| {});
                (made.and_then(|made| record("money.json", &made, vec![made.cash_chart()])), None)
            }),
        ),
        (
            "calendar.json",
            Box::new(|| {
                let asked = CalendarAsked {
                    plan: Some(folder),
                    start: asked.start,
                    late_seed_months: None,
                };
                let made = calendar(site, &asked, &mut |_| {});
                (made.and_then(|made| record("calendar.json", &made, made.charts())), None)
            }),
        ),
    ];
    let answers: Vec<Answer> = asks.par_iter().map(|(_, ask)| ask()).collect();
    let mut answers = answers.into_iter();
    let mut next = || answers.next().unwrap_or((Err(Vec::new()), None));
    let (cover, protected) = next();
    let [season, eligible, chances, money, calendar] = [(); 5].map(|()| next().0);
    let slope_deg = fitted.ground.slope_deg.clone();
    OfSite { shade, slope_deg, protected, cover, season, money, calendar, eligible, chances }
}

/// Azimuth and altitude of the light, degrees: from the upper left, as maps have it.
const LIGHT: [f64; 2] = [315.0, 45.0];

fn record(file: &'static str, value: &impl serde::Serialize, charts: Vec<String>) -> Told {
    Ok((Record::of(file, value)?, charts))
}
