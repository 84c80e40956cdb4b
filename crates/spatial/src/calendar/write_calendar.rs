//! The months of the work as files.

use std::path::Path;

use super::columns::TASKS;
use super::events;
use super::page::page;
use super::rows::Calendar;
use crate::problem::Problem;
use crate::write::{StagedFolder, Written};

/// The record.
pub const CALENDAR_JSON: &str = "calendar.json";
/// Every job.
pub const CALENDAR_CSV: &str = "calendar.csv";
/// The jobs as events, RFC 5545.
pub const CALENDAR_ICS: &str = "calendar.ics";
/// The chart to read and print.
pub const CALENDAR_HTML: &str = "calendar.html";
/// Schema of the record, its first member.
pub const CALENDAR_SCHEMA: &str = "hillweave.calendar/1";

/// Writes every file into a folder, whole or not at all, and says which.
///
/// # Errors
/// When the folder may not be made or replaced, or the disk refuses. Nothing new is left then, and what was there
/// stays.
pub fn write_calendar(
    calendar: &Calendar,
    target: &Path,
    overwrite: bool,
) -> Result<Vec<Written>, Problem> {
    let folder = StagedFolder::begin(target, overwrite)?;
    folder.record(CALENDAR_JSON, calendar)?;
    folder.table(CALENDAR_CSV, &TASKS, &calendar.tasks, calendar)?;
    folder.write(CALENDAR_ICS, events::text(calendar).as_bytes())?;
    folder.write(CALENDAR_HTML, page(calendar).as_bytes())?;
    folder.commit()
}
