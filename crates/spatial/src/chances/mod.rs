//! How far a plan may be off: counts, orders, the year of cover, weeks of bloom, and which zones keep their
//! line.
//!
//! ```text
//! plan (given or made) + fits, ground, weather ─► scene ─► draws ─► intervals, chances
//! ```

mod columns;
mod rows;
mod scene;
mod write_chances;

use std::path::Path;

use chance::{Outcome, Scene, draws, interval};
use stock::nectar::DhaRatio;

pub(crate) use columns::{FIGURES, LINES, ZONES};
pub use rows::{Chances, FigureRow, LineChanceRow, ZoneChanceRow};
pub use write_chances::write_chances;
pub(crate) use write_chances::{CHANCE_LINES_CSV, CHANCE_ZONES_CSV, CHANCES_CSV, CHANCES_JSON};

use crate::checks::cover::{PlantedRecord, risks_of};
use crate::offers::richest;
use crate::pipeline::{self, Fitted, Stage};
use crate::plan::{Reach, USUAL_SEED, changed_since, read_plan, told};
use crate::problem::Problem;
use crate::season::flying_hours;
use scene::{Record, scene_of};

/// What is asked of the draws.
#[derive(Debug, Clone, Copy)]
pub struct ChancesAsked<'a> {
    /// The site file, or its folder.
    pub site: &'a Path,
    /// Folder of a plan; `None`: one is made now.
    pub plan: Option<&'a Path>,
    /// Draws in the place of the site's.
    pub draws: Option<usize>,
    /// Seed of every draw.
    pub seed: u64,
}

/// The stage of the draws themselves.
const DRAWS: &str = "draws";

/// Draws a plan again and again, with everything that may be off. `enter` is told of each stage.
///
/// Same site, plan, seed and number of draws: same answer, whatever the number of threads.
///
/// # Errors
/// Every problem of the input, with its remedy; a plan that plants nothing.
pub fn chances(
    asked: &ChancesAsked<'_>,
    enter: &mut dyn FnMut(&'static str),
) -> Result<Chances, Vec<Problem>> {
    let mut stage = |stage: Stage| enter(stage.name());
    let fitted = pipeline::fitted(asked.site, Reach::Orders, &mut stage)?;
    chances_on(&fitted, asked, enter)
}

/// The same on a property whose lines are fitted.
///
/// # Errors
/// As [`chances`].
pub fn chances_on(
    fitted: &Fitted,
    asked: &ChancesAsked<'_>,
    enter: &mut dyn FnMut(&'static str),
) -> Result<Chances, Vec<Problem>> {
    let mut stage = |stage: Stage| enter(stage.name());
    let (record, planted): (Record, PlantedRecord) = if let Some(folder) = asked.plan {
        (read_plan(folder)?, read_plan(folder)?)
    } else {
        let plan = pipeline::plan_of(fitted, Reach::Orders, USUAL_SEED, &mut stage)?;
        (told(&plan)?, told(&plan)?)
    };
    let in_plan = |problem: Problem| match asked.plan {
        Some(folder) => problem.file(crate::plan::plan_file(folder)),
        None => problem,
    };
    let risks = risks_of(fitted, &planted).map_err(in_plan)?;
    let hours = match record.mean_height_m() {
        Some(height_m) => flying_hours(&fitted.site, &fitted.ready, height_m)?,
        None => return Err(nothing_planted(asked).into()),
    };
    let has_weather = hours.is_some();
    let scene = scene_of(fitted, &record, risks, hours.unwrap_or_default());
    enter(DRAWS);
    let rules = &fitted.site.chances;
    let count = asked.draws.unwrap_or(rules.draws);
    let outcomes = draws(&scene, &rules.spreads, asked.seed, count);
    let still = draws(&still(&scene), &chance::Spreads::NONE, asked.seed, 1);
    let as_planned = &still[0];
    let mut warnings = Vec::new();
    if let Some(folder) = asked.plan {
        warnings.extend(changed_since(folder, &fitted.ready.inputs)?);
    }
    if !has_weather {
        warnings.push(
            Problem::warning("season")
                .file(&fitted.site.file)
                .found("no weather: days of bloom with flying weather are not drawn")
                .expected("[layers.climate], or a station's hours as `season.hourly`")
                .remedy("name one of the two"),
        );
    }
    Ok(Chances {
        schema: write_chances::CHANCES_SCHEMA,
        version: env!("CARGO_PKG_VERSION"),
        site: fitted.site.name.clone(),
        seed: asked.seed,
        draws: count,
        inputs: fitted.ready.inputs.clone(),
        defaults: fitted.site.chances.defaults.clone(),
        figures: figures(&scene, &outcomes, as_planned, has_weather, fitted),
        lines: lines(&record, fitted, &outcomes, as_planned),
        zones: zones(&record, fitted, &outcomes, as_planned),
        limits: LIMITS.to_vec(),
        warnings: warnings.into_iter().map(|one| one.named_from(fitted.site.folder())).collect(),
    })
}

fn nothing_planted(asked: &ChancesAsked<'_>) -> Problem {
    Problem::error("plan")
        .file(asked.plan.unwrap_or(asked.site))
        .found("a plan that plants nothing")
        .expected("a plan with blocks")
        .remedy("see in its reasons why nothing is planted, and plan again")
}

/// The scene with nectar as it is told.
fn still(scene: &Scene) -> Scene {
    let lines = scene.lines.iter();
    let lines = lines.map(|line| chance::Line { richness_error: 0.0, ..line.clone() }).collect();
    Scene { lines, ..scene.clone() }
}

fn row(
    figure: &'static str,
    unit: &'static str,
    plan: f64,
    drawn: impl Iterator<Item = f64>,
) -> FigureRow {
    let drawn = interval(drawn);
    let [low, middle, high] = drawn.map_or([plan; 3], |one| [one.low, one.middle, one.high]);
    FigureRow { figure, unit, plan, low, middle, high }
}

/// Whole-plan figures.
fn figures(
    scene: &Scene,
    outcomes: &[Outcome],
    as_planned: &Outcome,
    has_weather: bool,
    fitted: &Fitted,
) -> Vec<FigureRow> {
    let seedlings = |one: &Outcome| one.lines.iter().map(|line| line.seedlings).sum::<f64>();
    let needed = |one: &Outcome| one.lines.iter().map(|line| line.needed).sum::<f64>();
    let alive = |one: &Outcome| one.lines.iter().map(|line| line.alive).sum::<f64>();
    let of = |figure, unit, value: &dyn Fn(&Outcome) -> f64| {
        row(figure, unit, value(as_planned), outcomes.iter().map(value))
    };
    let mut rows = vec![
        of("plants that the ground takes", "plants", &seedlings),
        of("plants to order so that as many live", "plants", &needed),
        of("plants alive of those ordered", "plants", &alive),
    ];
    if scene.zones.iter().any(|zone| zone.risk.is_some()) {
        rows.push(of("years until the planted ground that may slip is covered", "years", &|one| {
            one.cover_years
        }));
        rows.push(of("share of all that may slip covered by the target year", "0 to 1", &|one| {
            one.covered_in_time
        }));
    }
    if has_weather {
        rows.push(of("weeks of bloom with flying weather", "weeks", &|one| one.flying_days / 7.0));
    }
    let richest =
        DhaRatio::new(richest(&fitted.library)).map_or(0.0, |ratio| ratio.normalised().mg_per_kg());
    if richest > 0.0 {
        rows.push(of("nectar DHA over all planted ground", "mg/kg at 80 °Brix", &|one| {
            one.richness * richest
        }));
    }
    rows
}

/// Each line that is planted: what its ground takes, and whether its order is enough.
fn lines(
    record: &Record,
    fitted: &Fitted,
    outcomes: &[Outcome],
    as_planned: &Outcome,
) -> Vec<LineChanceRow> {
    let stocks = fitted.library.stocks().iter().enumerate();
    let planted = stocks.filter(|(line, _)| as_planned.lines[*line].seedlings > 0.0);
    planted
        .map(|(line, stock)| {
            let needed = row("", "", 0.0, outcomes.iter().map(|one| one.lines[line].needed));
            let alive = row("", "", 0.0, outcomes.iter().map(|one| one.lines[line].alive));
            let enough =
                outcomes.iter().filter(|one| one.lines[line].alive >= one.lines[line].seedlings);
            LineChanceRow {
                stock_id: stock.id.clone(),
                stock_name: stock.name.clone(),
                seedlings: record.seedlings_of(&stock.id),
                order_qty: record.ordered_of(&stock.id),
                needed_low: needed.low.ceil() as u64,
                needed_middle: needed.middle.ceil() as u64,
                needed_high: needed.high.ceil() as u64,
                alive_low: alive.low as u64,
                alive_middle: alive.middle as u64,
                alive_high: alive.high as u64,
                enough_chance: enough.count() as f64 / outcomes.len() as f64,
            }
        })
        .collect()
}

/// How often each zone keeps its line.
fn zones(
    record: &Record,
    fitted: &Fitted,
    outcomes: &[Outcome],
    as_planned: &Outcome,
) -> Vec<ZoneChanceRow> {
    let stocks = fitted.library.stocks();
    let name = |line: Option<usize>| line.map(|line| stocks[line].id.clone());
    let zones = fitted.zones.zones.iter().enumerate();
    zones
        .map(|(at, zone)| {
            let planned = record.line_of(&zone.id, &fitted.library);
            let is_like_plan = as_planned.chosen[at] == planned;
            let mut counts = vec![0_usize; stocks.len() + 1];
            for one in outcomes {
                counts[one.chosen[at].map_or(stocks.len(), |line| line)] += 1;
            }
            let place = planned.unwrap_or(stocks.len());
            let share = |count: usize| count as f64 / outcomes.len() as f64;
            let others = counts.iter().enumerate().filter(|(line, count)| *line != place && **count > 0);
            // Among equals the first line.
            let other = others.rev().max_by_key(|(_, count)| **count);
            ZoneChanceRow {
                zone_id: zone.id.clone(),
                plan_area_ha: crate::units::PlanHectares::from_m2(zone.plan_m2),
                stock_id: name(planned),
                keeps: is_like_plan.then(|| share(counts[place])),
                instead: other
                    .and_then(|(line, _)| (line < stocks.len()).then(|| stocks[line].id.clone())),
                instead_share: other.map(|(_, count)| share(*count)),
                note: if is_like_plan {
                    ""
                } else {
                    "not told: shared ground, a budget, a lot or another rule of the whole plan decided here"
                },
            }
        })
        .collect()
}

/// How far the figures go.
const LIMITS: [&str; 5] = [
    "Nine in ten draws lie between low and high. The spreads of `[chances]` go in and come out: most are choices, so the intervals are too.",
    "Storms, fire, disease, floods, a market that fails and anything else that nobody put in are in no interval.",
    "Whether a zone keeps its line is found by letting zones choose in turn, which knows worth and supplies alone; where that does not give the plan's line when nothing is off, nothing is told.",
    "Cover is that of crowns over the ground of zones that may slip, taken as a mean over each zone; `hillweave cover` looks at each piece.",
    "A line that is short, or a lost winter, is planted a year later; that it may then cost more is not counted.",
];
