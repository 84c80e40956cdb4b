//! `schedule.xlsx`: the schedule as a workbook for the nursery and the crew.
//!
//! Numbers are numbers, with their units in the heading; texts are texts, also those that look like formulas; what
//! is not known is an empty cell, and 0 means none. Totals are formulas that carry the figure they come to, so that a
//! viewer that reckons nothing shows it too.
//!
//! Source: ECMA-376, Office Open XML, 5th edition (from memory), as crate `rust_xlsxwriter` writes it.

mod about;
mod blanking;
mod crew_days;
mod nursery;
mod sheet;
#[cfg(test)]
mod tests;
mod zone_cards;

use rust_xlsxwriter::{DocProperties, ExcelDateTime, Workbook, XlsxError};

use super::lon_lat::ToLonLat;
use crate::plan::Plan;
use crate::problem::Problem;

/// Name of the workbook.
pub(crate) const SCHEDULE_XLSX: &str = "schedule.xlsx";

/// The workbook of a plan: orders, planting day by day, cards, a form for blanking, and what it was made from. It
/// holds no time of day: the same plan is the same bytes.
///
/// # Errors
/// When a number is not finite, a point cannot be moved to the globe, or there are more rows than a sheet holds
/// (1,048,576).
pub(super) fn schedule_xlsx(plan: &Plan, to_lon_lat: ToLonLat<'_>) -> Result<Vec<u8>, Problem> {
    let sheets = [
        nursery::sheet(plan),
        crew_days::sheet(plan),
        zone_cards::sheet(plan, to_lon_lat)?,
        blanking::sheet(plan),
    ];
    let written = || -> Result<Vec<u8>, XlsxError> {
        let made = ExcelDateTime::from_ymd(2000, 1, 1)?;
        let properties = DocProperties::new()
            .set_title(format!("Planting schedule of {}", plan.site))
            .set_comment(format!("hillweave {}", plan.version))
            .set_creation_datetime(&made);
        let mut workbook = Workbook::new();
        workbook.set_properties(&properties);
        for sheet in &sheets {
            sheet.write(workbook.add_worksheet(), plan)?;
        }
        about::write(workbook.add_worksheet(), plan)?;
        workbook.save_to_buffer()
    };
    written().map_err(|error| trouble(&error))
}

fn trouble(error: &XlsxError) -> Problem {
    Problem::error("workbook")
        .file(SCHEDULE_XLSX)
        .found(error.to_string())
        .expected("rows and texts that a sheet can hold: 1,048,576 rows")
        .remedy("use `schedule.csv`, which holds the same")
}
