//! The whole job by month, backwards and forwards from the winters of a plan.
//!
//! ```text
//! plan ─► jobs (who, window of the year, what they wait for) ─► schedule ─► table, chart, iCalendar
//!                                                                  └─► what slips if seed is late
//! ```
//! Months of jobs are those of the southern year, as the trade there has them (common practice, no source, unless a
//! job names one); in the north everything lies six months later.

mod columns;
mod each;
mod events;
mod jobs;
mod late;
mod needed;
mod page;
mod rows;
mod write_calendar;

#[cfg(test)]
mod tests;

use std::path::Path;

use almanac::{Hemisphere, schedule};
pub use almanac::{Month, MonthFault};

use stock::Library;

use crate::pipeline::{self, Property, Stage};
use crate::plan::{InputRecord, changed_since, given_or_made, read_plan};
use crate::problem::Problem;
use crate::read::{present_inputs, read};
use crate::site::Site;
pub(crate) use columns::TASKS;
use jobs::Jobs;
use needed::Needed;
pub use rows::{Calendar, CalendarCaution, LateRow, SlippedRow, TaskRow};
pub use write_calendar::{
    CALENDAR_CSV, CALENDAR_HTML, CALENDAR_ICS, CALENDAR_JSON, CALENDAR_SCHEMA, write_calendar,
};

/// What a calendar is asked for beside the site.
#[derive(Debug, Clone, Copy)]
pub struct CalendarAsked<'a> {
    /// Folder of an earlier plan; `None`: one is made.
    pub plan: Option<&'a Path>,
    /// Month in which work can begin; `None`: as late as the first winter allows.
    pub start: Option<Month>,
    /// Months by which seed is late; `None`: as many as make it miss a winter.
    pub late_seed_months: Option<u32>,
}

/// Puts the work of a plan into months. `enter` is told of each stage of a plan that is made.
///
/// # Errors
/// Every fault of the site; a plan that cannot be read or made, plants nothing, or has lines that the stock file
/// does not; a plan without years and no month to begin in.
pub fn calendar(
    site_file: &Path,
    asked: &CalendarAsked<'_>,
    enter: &mut dyn FnMut(Stage),
) -> Result<Calendar, Vec<Problem>> {
    let sound = pipeline::load(site_file)?;
    let (site, library) = (&sound.site, &sound.library);
    let plan: Needed = given_or_made(site_file, asked.plan, enter)?;
    plan.check(asked, site, library)?;
    let hemisphere = match site.calendar.hemisphere {
        Some(hemisphere) => hemisphere,
        None => Hemisphere::of_latitude_deg(read(site)?.latitude_deg),
    };
    of_plan(&plan, (site, library), asked, hemisphere, present_inputs(site)?)
}

/// The same of the plan in a folder, on a property that was read before; `start` as in [`CalendarAsked`].
///
/// # Errors
/// As [`calendar`].
pub fn calendar_on(
    property: &Property,
    folder: &Path,
    start: Option<Month>,
) -> Result<Calendar, Vec<Problem>> {
    let Property { site, library, ready, .. } = property;
    let asked = CalendarAsked { plan: Some(folder), start, late_seed_months: None };
    let plan: Needed = read_plan(folder)?;
    plan.check(&asked, site, library)?;
    let of_ground = Hemisphere::of_latitude_deg(ready.latitude_deg);
    let hemisphere = site.calendar.hemisphere.unwrap_or(of_ground);
    of_plan(&plan, (site, library), &asked, hemisphere, ready.inputs.clone())
}

fn of_plan(
    plan: &Needed,
    (site, library): (&Site, &Library),
    asked: &CalendarAsked<'_>,
    hemisphere: Hemisphere,
    inputs: Vec<InputRecord>,
) -> Result<Calendar, Vec<Problem>> {
    // Reckoned in the southern year throughout.
    let start = asked.start.map(|month| month.plus(-hemisphere.shift()));
    let jobs = jobs::reached(plan, start, site, library)?;
    let changed = asked.plan.map(|folder| changed_since(folder, &inputs)).transpose()?.flatten();
    let mut told = told(&jobs, plan, inputs, (hemisphere, start), asked)?;
    told.warnings.extend(changed);
    told.warnings = told.warnings.into_iter().map(|one| one.named_from(site.folder())).collect();
    Ok(told)
}

fn told(
    jobs: &Jobs,
    plan: &Needed,
    inputs: Vec<InputRecord>,
    (hemisphere, start): (Hemisphere, Option<Month>),
    asked: &CalendarAsked<'_>,
) -> Result<Calendar, Problem> {
    let start = match start {
        Some(start) => start,
        None => jobs.latest_start()?,
    };
    let placed = schedule(&jobs.tasks, start).map_err(|fault| jobs::impossible(&fault))?;
    let here = |month: Month| month.plus(hemisphere.shift());
    let mut tasks: Vec<TaskRow> =
        (0..jobs.tasks.len()).map(|at| rows::row(jobs, &placed, at, hemisphere)).collect();
    tasks.sort_by(|a, b| a.earliest.cmp(&b.earliest).then_with(|| a.ends.cmp(&b.ends)));
    let late = late::late_seed(jobs, start, asked.late_seed_months, hemisphere)?;
    let mut warnings = plan.too_long(asked);
    warnings.extend(missed(&tasks));
    Ok(Calendar {
        schema: CALENDAR_SCHEMA,
        version: env!("CARGO_PKG_VERSION"),
        site: plan.site.clone(),
        inputs,
        hemisphere: match hemisphere {
            Hemisphere::South => "south",
            Hemisphere::North => "north",
        },
        start: rows::written(here(start)),
        critical_path: placed.critical_path.iter().map(|at| jobs.rows[*at].id.clone()).collect(),
        least_slack_months: tasks.iter().map(|task| task.slack_months).min().unwrap_or(0),
        tasks,
        late_seed: late,
        cautions: rows::cautions(plan),
        notes: rows::notes(plan, jobs),
        warnings,
    })
}

/// Winters whose planting cannot be in time; where all can, the first other job that cannot.
fn missed(tasks: &[TaskRow]) -> Vec<Problem> {
    let late: Vec<&TaskRow> = tasks.iter().filter(|task| task.slack_months < 0).collect();
    let plants = |task: &&TaskRow| task.id.starts_with("plant-");
    let told: Vec<&TaskRow> = if late.iter().any(plants) {
        late.iter().copied().filter(plants).collect()
    } else {
        late.first().copied().into_iter().collect()
    };
    let warning = |task: &TaskRow| {
        Problem::warning(format!("task `{}`", task.id))
            .found(format!("{} at the earliest; {} jobs are too late in all", task.earliest, late.len()))
            .expected(format!("{} at the latest", task.latest))
            .remedy(
                "begin earlier (--start), plan for a later winter (mosaic.first_season), or take lines that are ready \
                 sooner",
            )
    };
    told.into_iter().map(warning).collect()
}
