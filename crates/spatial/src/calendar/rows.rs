//! What is said of the months of the work.

use almanac::{Hemisphere, Month, Schedule};
use serde::Serialize;

use super::jobs::Jobs;
use super::needed::Needed;
use crate::plan::InputRecord;
use crate::problem::Problem;

/// The months of the work.
#[derive(Debug, Clone, Serialize)]
pub struct Calendar {
    /// `hillweave.calendar/1`.
    pub schema: &'static str,
    /// Version of the program.
    pub version: &'static str,
    /// Name of the property.
    pub site: String,
    /// What was read of the site, with its sums.
    pub inputs: Vec<InputRecord>,
    /// `south` or `north`: whose seasons hold.
    pub hemisphere: &'static str,
    /// Month in which work begins, `YYYY-MM`.
    pub start: String,
    /// The least slack of any job, months; below 0: something cannot be in time.
    pub least_slack_months: i32,
    /// Every job, the earliest first.
    pub tasks: Vec<TaskRow>,
    /// Jobs without slack, or where all have some with the least of it, each waiting for the one before.
    pub critical_path: Vec<String>,
    /// What happens when seed is late, one row for each gathering of it.
    pub late_seed: Vec<LateRow>,
    /// What to be careful of.
    pub cautions: Vec<CalendarCaution>,
    /// What was taken for granted.
    pub notes: Vec<String>,
    /// Jobs that cannot be in time.
    pub warnings: Vec<Problem>,
}

impl Calendar {
    /// Jobs by month, as SVGs of a page's height each.
    #[must_use]
    pub fn charts(&self) -> Vec<String> {
        super::page::charts(self)
    }
}

/// A job. Months are `YYYY-MM`.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TaskRow {
    /// Its name in files, the same each time.
    pub id: String,
    /// What is done.
    pub task: String,
    /// Who does it.
    pub who: Vec<&'static str>,
    /// Year of the winter that it is of; `null`: done once.
    pub winter: Option<i32>,
    /// First month in which it can begin.
    pub earliest: String,
    /// Last month in which it may begin so that all is in time.
    pub latest: String,
    /// Month in which it ends when it begins at the earliest.
    pub ends: String,
    /// Months that it takes up.
    pub months: u32,
    /// Months by which it may be late; below 0: it cannot be in time.
    pub slack_months: i32,
    /// Whether it has no slack.
    pub critical: bool,
    /// Months of the year in which it can begin, such as `Mar to Aug`; empty: any.
    pub season: String,
    /// Jobs that it waits for.
    pub after: Vec<String>,
    /// What it hands on.
    pub hands_on: &'static str,
    /// What to be careful of; empty: nothing beyond the usual.
    pub caution: &'static str,
    /// Where its months come from.
    pub source: &'static str,
}

/// What happens when one gathering of seed is late.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LateRow {
    /// The gathering.
    pub task: String,
    /// Months by which it may be late before planting misses its winter; `null`: ten years or more.
    pub may_be_late_months: Option<u32>,
    /// Months by which it is late in what follows.
    pub late_months: u32,
    /// Winters that are then missed, by the year of their planting in the plan.
    pub misses_winters: Vec<i32>,
    /// Winters in which planting is done instead.
    pub plants_in: Vec<i32>,
    /// Everything that slips.
    pub slipped: Vec<SlippedRow>,
}

/// A job that slips.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct SlippedRow {
    /// The job.
    pub task: String,
    /// When it would have begun.
    pub was: String,
    /// When it begins now.
    pub now: String,
    /// Months between.
    pub months: i32,
}

/// Something to be careful of.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct CalendarCaution {
    /// What it is about.
    pub about: String,
    /// Zones concerned; empty: all.
    pub zones: Vec<String>,
    /// What to do.
    pub text: String,
}

/// A month as files have it.
pub(super) fn written(month: Month) -> String {
    format!("{:04}-{:02}", month.year, month.month)
}

/// One job placed.
pub(super) fn row(jobs: &Jobs, placed: &Schedule, at: usize, hemisphere: Hemisphere) -> TaskRow {
    let (task, job, place) = (&jobs.tasks[at], &jobs.rows[at], &placed.placed[at]);
    let here = |month: Month| written(month.plus(hemisphere.shift()));
    let season = task.window.map_or_else(String::new, |window| {
        let name = |month: u8| {
            let month = Month { year: 0, month: hemisphere.month(month) }.to_string();
            month.chars().take(3).collect::<String>()
        };
        format!("{} to {}", name(window.from), name(window.to))
    });
    TaskRow {
        id: job.id.clone(),
        task: job.name.clone(),
        who: job.who.to_vec(),
        winter: job.winter,
        earliest: here(place.earliest),
        latest: here(place.latest),
        ends: here(place.earliest.plus(task.then(0) - 1)),
        months: task.months,
        slack_months: place.slack_months(),
        critical: place.critical,
        season,
        after: task.after.iter().map(|(before, _)| jobs.rows[*before].id.clone()).collect(),
        hands_on: job.hands_on,
        caution: job.care.words(),
        source: job.source,
    }
}

/// Cautions of the plan, and what holds for all work.
pub(super) fn cautions(plan: &Needed) -> Vec<CalendarCaution> {
    let all = CalendarCaution {
        about: "months".to_owned(),
        zones: Vec::new(),
        text: "a calendar does not know the weather: ground too wet, too dry or too steep for work waits, whatever the \
               month; local rules and licensed people decide"
            .to_owned(),
    };
    let of_plan = plan.cautions.iter().map(|caution| CalendarCaution {
        about: caution.about.clone(),
        zones: caution.zones.clone(),
        text: caution.text.clone(),
    });
    std::iter::once(all).chain(of_plan).collect()
}

/// What was taken for granted.
pub(super) fn notes(plan: &Needed, jobs: &Jobs) -> Vec<String> {
    let mut notes: Vec<String> = [
        "order and months of jobs are common practice without a source, except where a job names one; nurseries, \
         funders and councils have dates of their own: ask them",
        "a winter is named by the year of its first month; a job takes up its first and its last month",
        "slack is counted to the last month from which everything that is due can still be done",
        "today's date is not looked at, and months may lie in the past: give the month in which work can begin \
         (--start)",
    ]
    .map(str::to_owned)
    .into();
    if plan.names_no_winter()
        && let Some(year) = jobs.rows.iter().find_map(|job| job.winter)
    {
        notes.push(format!(
            "the plan names no winter: {year} is the first in which all can be in time from the month in which work \
             begins"
        ));
    }
    notes
}
