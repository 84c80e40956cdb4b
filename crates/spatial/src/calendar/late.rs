//! What slips if seed is late.

use almanac::{Hemisphere, Month, slip};

use super::jobs::{Jobs, impossible};
use super::rows::{LateRow, SlippedRow, written};
use crate::problem::Problem;

/// Most months by which seed is tried late.
const MOST_MONTHS: u32 = 120;

/// For each gathering of seed: how late it may be before planting slips, and what slips then; `months`: what slips
/// when it is so late.
pub(super) fn late_seed(
    jobs: &Jobs,
    start: Month,
    months: Option<u32>,
    hemisphere: Hemisphere,
) -> Result<Vec<LateRow>, Problem> {
    let seed = (0..jobs.rows.len()).filter(|at| jobs.rows[*at].is_seed);
    seed.map(|at| one(jobs, start, at, months, hemisphere)).collect()
}

fn one(
    jobs: &Jobs,
    start: Month,
    at: usize,
    months: Option<u32>,
    hemisphere: Hemisphere,
) -> Result<LateRow, Problem> {
    let by = |months: u32| slip(&jobs.tasks, start, at, months).map_err(|fault| impossible(&fault));
    let plants = |task: usize| jobs.rows[task].id.starts_with("plant-");
    let mut misses = None;
    for late in 1..=MOST_MONTHS {
        // A month or two within the same winter is no slip of a winter.
        let moved = by(late)?;
        if moved.iter().any(|one| plants(one.task) && one.now.year > one.was.year) {
            misses = Some(late);
            break;
        }
    }
    let told = months.or(misses).unwrap_or(MOST_MONTHS);
    let slipped = by(told)?;
    let missed = slipped.iter().filter(|one| plants(one.task) && one.now.year > one.was.year);
    let row = |one: &almanac::Slipped| SlippedRow {
        task: jobs.rows[one.task].id.clone(),
        was: written(one.was.plus(hemisphere.shift())),
        now: written(one.now.plus(hemisphere.shift())),
        months: one.months(),
    };
    Ok(LateRow {
        task: jobs.rows[at].id.clone(),
        may_be_late_months: misses.map(|first| first - 1),
        late_months: told,
        misses_winters: missed.clone().map(|one| one.was.year).collect(),
        plants_in: missed.map(|one| one.now.year).collect(),
        slipped: slipped.iter().map(row).collect(),
    })
}
