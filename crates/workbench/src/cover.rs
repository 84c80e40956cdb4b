//! Cover of the steep ground under the present plan, year by year.

use std::collections::HashMap;
use std::sync::{Arc, Mutex};

use serde_json::{Value as Json, json};
use spatial::checks::cover::{CheckedCover, CoverCheck, PIECES, check_cover_under};
use spatial::problem::Problem;

use crate::pictures::{cover_png, extent};
use crate::plan_now::PlanNow;
use crate::scene::coordinates;
use crate::table::Table;
use crate::told::Figure;

/// Most checks that are kept.
const MOST: usize = 24;
/// Furthest year that is looked at.
const LAST_YEAR: i32 = 60;

/// Checks by the revision of their plan and by year.
type Checks = HashMap<(u64, Option<i32>), Arc<CheckedCover>>;

/// Checks that were made.
#[derive(Default)]
pub(crate) struct CoverChecks(Mutex<Checks>);

impl CoverChecks {
    /// The check under the plan of a revision at a year, or at the site's own.
    ///
    /// # Errors
    /// Every problem that stops it.
    pub(crate) fn of(
        &self,
        now: &PlanNow,
        revision: u64,
        year: Option<i32>,
    ) -> Result<Arc<CheckedCover>, Vec<Problem>> {
        let key = (revision, year);
        if let Some(known) = self.0.lock().ok().and_then(|checks| checks.get(&key).cloned()) {
            return Ok(known);
        }
        let check = Arc::new(check_cover_under(&now.fitted.property, &now.plan, year)?);
        if let Ok(mut checks) = self.0.lock() {
            let is_another = |(of, year): &&(u64, Option<i32>)| *of != revision && year.is_none();
            let last = checks.keys().filter(is_another).map(|(of, _)| *of).max();
            checks.retain(|(of, year), _| *of == revision || (year.is_none() && Some(*of) == last));
            if checks.len() < MOST {
                checks.insert(key, Arc::clone(&check));
            }
        }
        Ok(check)
    }

    /// What one plan after another does to cover at the target year.
    ///
    /// # Errors
    /// Every problem that stops one of the checks.
    pub(crate) fn change(
        &self,
        (before, was): (&PlanNow, u64),
        (after, is): (&PlanNow, u64),
    ) -> Result<[Figure; 2], Vec<Problem>> {
        let (before, after) = (self.of(before, was, None)?, self.of(after, is, None)?);
        let [a, b] = [&before.check, &after.check];
        let protected = |check: &CoverCheck| check.may_slip_plan_ha.0 - check.below_plan_ha.0;
        Ok([
            Figure {
                name: "protected where it may slip",
                unit: "ha of map",
                before: protected(a),
                after: protected(b),
            },
            Figure {
                name: "below the target of cover",
                unit: "ha of map",
                before: a.below_plan_ha.0,
                after: b.below_plan_ha.0,
            },
        ])
    }

    /// Years, pieces below the target, what is asked for.
    ///
    /// # Errors
    /// Every problem that stops the check.
    pub(crate) fn told(&self, now: &PlanNow, revision: u64) -> Result<Json, Vec<Problem>> {
        let checked = self.of(now, revision, None)?;
        let check = &checked.check;
        let pieces = Table::of(&PIECES, &check.pieces, check)?;
        let mut pieces = serde_json::to_value(pieces).unwrap_or_default();
        pieces["geometry"] =
            check.pieces.iter().map(|piece| coordinates(&piece.geometry)).collect();
        Ok(json!({
            "target": check.target,
            "by_years": check.by_years,
            "measure": check.measure,
            "extent": extent(checked.then.grid()),
            "years": check.may_slip_by_year(),
            "pieces": pieces,
            "cautions": check.cautions,
            "problems": check.warnings,
        }))
    }

    /// Share of the ground protected so many years after the first planting winter, or today, as PNG.
    ///
    /// # Errors
    /// Every problem that stops the check, and a year that is not looked at.
    pub(crate) fn png(
        &self,
        now: &PlanNow,
        revision: u64,
        year: Option<i32>,
    ) -> Result<Option<Vec<u8>>, Vec<Problem>> {
        let Some(year) = year else {
            return Ok(cover_png(&self.of(now, revision, None)?.now));
        };
        if !(0..=LAST_YEAR).contains(&year) {
            return Err(Problem::error("year")
                .found(year.to_string())
                .expected(format!("0 to {LAST_YEAR}"))
                .remedy("choose another year")
                .into());
        }
        Ok(cover_png(&self.of(now, revision, Some(year))?.then))
    }
}
