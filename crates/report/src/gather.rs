//! Everything that a report tells, asked of the engine. Nothing is reckoned here.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use geo::MultiPolygon;
use rayon::join;
use spatial::calendar::{Month, calendar_on};
use spatial::chances::{ChancesAsked, chances_on};
use spatial::checks::cover::check_cover_on;
use spatial::checks::eligible::check_eligible_on;
use spatial::money::reckon_on;
use spatial::pipeline::{self, Fitted, Stage};
use spatial::plan::{Reach, Shapes, record_sha256, shapes};
use spatial::problem::Problem;
use spatial::season::season_on;
use spatial::write::{self, REPORT_JSON};
use terrain::{Raster, SlopeMethod, hillshade, slope_aspect};

use crate::alike::told_once;
use crate::ask_first;
use crate::inputs::{Inputs, same_property};
use crate::record::Record;

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
    /// What was read of the site as it is now; nothing where only the plan is known.
    pub(crate) inputs: Inputs,
    /// The same as a record.
    pub(crate) inputs_record: Record,
    /// What the site adds; `None` where only the plan is known.
    pub(crate) of_site: Option<OfSite>,
}

/// What is known of the ground and what each check says.
pub(crate) struct OfSite {
    /// Chance with which an order is to be enough, 0 to 1.
    pub(crate) chance_asked: f64,
    /// Light and shade, 0 to 1.
    pub(crate) shade: Raster<f32>,
    /// Slope, degrees.
    pub(crate) slope_deg: Arc<Raster<f32>>,
    /// Ground where planters ask first, with what about, such as `within 20 m of power line`.
    pub(crate) ask_first: Vec<(String, MultiPolygon<f64>)>,
    /// Share protected today and at the target year.
    pub(crate) protected: Option<[Raster<f32>; 2]>,
    pub(crate) cover: Told,
    pub(crate) season: Told,
    pub(crate) money: Told,
    pub(crate) calendar: Told,
    pub(crate) eligible: Told,
    pub(crate) chances: Told,
}

impl OfSite {
    /// Every check with the part of the report that tells it.
    pub(crate) fn checks(&self) -> [(&'static str, &Told); 6] {
        [
            ("cover", &self.cover),
            ("season", &self.season),
            ("money", &self.money),
            ("calendar", &self.calendar),
            ("eligible", &self.eligible),
            ("chances", &self.chances),
        ]
    }
}

impl Dossier {
    /// The plan's record, that of what was read now, then those of the checks that could be made.
    pub(crate) fn records(&self) -> impl Iterator<Item = &Record> {
        let checks = self.of_site.iter().flat_map(OfSite::checks);
        let made = checks.filter_map(|(_, told)| told.as_ref().ok()).map(|(record, _)| record);
        [&self.plan, &self.inputs_record].into_iter().chain(made)
    }

    /// Chance with which an order is to be enough, 0 to 1: of the defaults, or of the site file where it is that of the
    /// plan.
    pub(crate) fn chance_asked(&self) -> Option<f64> {
        let plan = &self.plan;
        let mut defaults = plan.rows("/defaults");
        let default = defaults.find(|row| plan.text(&format!("{row}/key")) == "order.confidence");
        if let Some(row) = default {
            return plan.text(&format!("{row}/value")).parse().ok();
        }
        let mut inputs = self.inputs.inputs.iter();
        let is_same = inputs.any(|input| input.role == "site" && input.same_as_plan);
        self.of_site.as_ref().filter(|_| is_same).map(|site| site.chance_asked)
    }

    /// Whether anything is planted.
    pub(crate) fn plants(&self) -> bool {
        self.plan.number("/totals/seedlings") > 0.0
    }
}

/// What a check says, with its charts as SVG; or why it says nothing.
pub(crate) type Told = Result<(Record, Vec<String>), Vec<Problem>>;

/// Asks the engine for everything. `enter` is told of each stage as it begins.
///
/// A check that cannot be made is told in its place with its remedy; it does not stop the report.
///
/// # Errors
/// Every problem of the site, its stock and its layers; a plan that cannot be read or made, or is of another property.
pub fn gather(
    asked: &Asked<'_>,
    enter: &mut dyn FnMut(&'static str),
) -> Result<Dossier, Vec<Problem>> {
    let Some(site) = asked.site else {
        let plan = asked.plan.ok_or_else(|| {
            vec![
                Problem::error("report")
                    .found("neither a site nor a plan")
                    .expected("one of them")
                    .remedy("name a site, or the folder of a plan"),
            ]
        })?;
        return Ok(of_plan(plan)?);
    };
    let fitted = pipeline::fitted(site, Reach::Orders, &mut |stage: Stage| enter(stage.name()))?;
    // The checks read a plan from its folder, one that is made now too.
    let made = write::Stage::apart().map_err(|error| vec![no_room(&error)])?;
    let folder = match asked.plan {
        Some(folder) => folder.to_path_buf(),
        None => made_now(&fitted, asked.seed, made.path(), enter)?,
    };
    let mut dossier = of_plan(&folder)?;
    same_property(&dossier.plan, &dossier.shapes, &folder, &fitted)?;
    dossier.inputs = Inputs::held_against(&dossier.plan, &fitted.ready.inputs);
    dossier.inputs_record = Record::of(REPORT_JSON, &dossier.inputs)?;
    enter("checks");
    dossier.of_site = Some(of_site(&fitted, asked, &folder, dossier.plants()));
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
    let plan = Record::read("plan.json", spatial::plan::record(folder)?);
    if plan.text("/reach") != "orders" {
        return Err(Problem::error("plan")
            .file(folder)
            .found("a plan of zones alone")
            .expected("a plan with blocks and orders")
            .remedy("make one with `hillweave plan`, without `--only zones`"));
    }
    let plan_sha256 = record_sha256(folder)?;
    let inputs = Inputs { inputs: Vec::new(), warnings: Vec::new() };
    let inputs_record = Record::of(REPORT_JSON, &inputs)?;
    let shapes = shapes(folder)?;
    Ok(Dossier { plan, plan_sha256, shapes, inputs, inputs_record, of_site: None })
}

/// Makes every check of the plan in a folder, on all cores. Where it `plants` nothing, cover alone has something to tell.
fn of_site(fitted: &Fitted, asked: &Asked<'_>, folder: &Path, plants: bool) -> OfSite {
    // What keeps a check from being made is told once, and a plan without plants is told as what it is.
    let of_plants = |check: &dyn Fn() -> Told| {
        if plants { check().map_err(told_once) } else { Err(nothing_planted()) }
    };
    let property = &fitted.property;
    let ground = slope_aspect(&fitted.ready.elevation, SlopeMethod::Horn);
    let of_cover = || match check_cover_on(property, folder) {
        Ok(made) => {
            let chart = made.check.chart();
            (told("cover.json", &made.check, vec![chart]), Some([made.now, made.then]))
        }
        Err(problems) => (Err(told_once(problems)), None),
    };
    let of_season = || {
        let (made, _) = season_on(property, folder)?;
        told("season.json", &made, vec![made.chart()])
    };
    let of_eligible = || {
        let made = check_eligible_on(property, folder)?;
        told("eligible.json", &made.check, Vec::new())
    };
    let of_chances = || {
        let site = fitted.site.file.as_path();
        let asked = ChancesAsked { site, plan: Some(folder), draws: None, seed: asked.seed };
        let made = chances_on(fitted, &asked, &mut |_| {})?;
        told("chances.json", &made, Vec::new())
    };
    let of_money = || {
        let made = reckon_on(property, folder)?;
        told("money.json", &made, vec![made.cash_chart()])
    };
    let of_calendar = || {
        let made = calendar_on(property, folder, asked.start)?;
        told("calendar.json", &made, made.charts())
    };
    let (((cover, protected), eligible), ((season, chances), (money, calendar))) = join(
        || join(of_cover, || of_plants(&of_eligible)),
        || {
            join(
                || join(|| of_plants(&of_season), || of_plants(&of_chances)),
                || join(|| of_plants(&of_money), || of_plants(&of_calendar)),
            )
        },
    );
    OfSite {
        chance_asked: fitted.site.order.confidence,
        shade: hillshade(&ground, LIGHT[0], LIGHT[1]),
        slope_deg: fitted.ground.slope_deg.clone(),
        ask_first: ask_first::ground(fitted),
        protected,
        cover,
        season,
        money,
        calendar,
        eligible,
        chances,
    }
}

/// Why a check of what is planted says nothing of a plan without plants.
fn nothing_planted() -> Vec<Problem> {
    Problem::error("plan")
        .found("nothing is planted")
        .expected("a plan that plants something")
        .remedy(
            "see under Zones why each zone is left: supply, tolerances of the stock, cover and ground kept clear decide",
        )
        .into()
}

/// Azimuth and altitude of the light, degrees: from the upper left, as maps have it.
const LIGHT: [f64; 2] = [315.0, 45.0];

fn told(file: &'static str, value: &impl serde::Serialize, charts: Vec<String>) -> Told {
    Ok((Record::of(file, value)?, charts))
}
