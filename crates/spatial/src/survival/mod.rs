//! After planting: counts of survivors held against the plan, and what to plant again.
//!
//! ```text
//! plan.json ─► what was planted ─┐
//! counts.csv ─► plots ───────────┴─► rows by zone and line ─► decisions ─► blanking order
//! ```

mod blanking;
mod counts_file;
mod plan_file;
mod report;
mod rows;
mod rules;
mod warnings;

#[cfg(test)]
mod fixture;

use std::path::Path;

pub use blanking::{BlankingRow, blanking_csv};
pub(crate) use counts_file::count_columns;
pub use counts_file::{PlotCount, read_counts};
pub use plan_file::{PlanCaution, PlantedPlan, ZoneLine, read_planted};
pub use report::{SurveyReport, report};
pub use rows::{SurveyRow, SurveyTotal};
pub use rules::{Planted, SurveyRules};

use crate::problem::Problem;
use crate::site;
use crate::stock_file;

/// Reads site, stock, plan and counts, and holds the counts against the plan.
///
/// # Errors
/// Every fault of the files: those of the site and the plan together, then all of the counts.
pub fn survey(
    site_file: &Path,
    plan_folder: &Path,
    counts_file: &Path,
    rules: &SurveyRules,
) -> Result<SurveyReport, Vec<Problem>> {
    let mut problems = Vec::new();
    let mut keep = |faults: Vec<Problem>| problems.extend(faults);
    let site = site::load(site_file)
        .and_then(|(site, _)| stock_file::read(&site.stock).map(|library| (site, library)))
        .map_err(&mut keep);
    let plan = read_planted(plan_folder, rules.season).map_err(|fault| keep(vec![fault]));
    let (Ok((site, library)), Ok(plan)) = (site, plan) else { return Err(problems) };
    let counts = read_counts(counts_file, &plan)?;
    Ok(report(&site, &library, &plan, &counts, counts_file, rules))
}
