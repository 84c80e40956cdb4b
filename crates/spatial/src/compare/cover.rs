//! Two checks of cover held against each other.

use std::collections::BTreeMap;
use std::path::Path;

use super::rows::{CoverChange, CoverYearRow};
use super::told::{Cover, CoverYear};
use crate::checks::cover::COVER_JSON;
use crate::problem::Problem;

/// Schema of the checks that are understood.
const SCHEMA: &str = "hillweave.cover/1";

/// Compares the checks of two folders that `hillweave cover` wrote.
///
/// # Errors
/// When a check cannot be read, or they ask for other things.
pub(super) fn compare(folders: [&Path; 2]) -> Result<CoverChange, Problem> {
    let [a, b] = [read(folders[0])?, read(folders[1])?];
    let asked = |check: &Cover| {
        format!(
            "{} by {}, {} % by {} years",
            check.site,
            check.measure,
            check.target * 100.0,
            check.by_years
        )
    };
    if asked(&a) != asked(&b) {
        return Err(Problem::error("cover")
            .file(folders[1].join(COVER_JSON))
            .found(asked(&b))
            .expected(format!("{}, as the first check asks", asked(&a)))
            .remedy("check both plans with the same `--measure`, `--target` and `--by-years`"));
    }
    let by_year = [&a, &b].map(years);
    let mut years: Vec<Option<i32>> =
        by_year.iter().flat_map(|rows| rows.keys().copied()).collect();
    years.sort_unstable();
    years.dedup();
    let row = |years: Option<i32>| CoverYearRow {
        years,
        a_below_plan_ha: by_year[0].get(&years).copied(),
        b_below_plan_ha: by_year[1].get(&years).copied(),
    };
    Ok(CoverChange {
        measure: a.measure.clone(),
        target: a.target,
        by_years: a.by_years,
        may_slip_plan_ha: [a.may_slip_plan_ha, b.may_slip_plan_ha],
        below_plan_ha: [a.below_plan_ha, b.below_plan_ha],
        by_year: years.into_iter().map(row).collect(),
    })
}

/// Ground that may slip and is below the target, by year, over all classes.
fn years(check: &Cover) -> BTreeMap<Option<i32>, f64> {
    let counts = |row: &&CoverYear| {
        row.by == "slope_group"
            && row.class != "all"
            && row.may_slip_only
            && row.measure == check.measure
    };
    let mut years = BTreeMap::new();
    for row in check.by_year_rows.iter().filter(counts) {
        *years.entry(row.years).or_default() += row.below_plan_ha;
    }
    years
}

fn read(folder: &Path) -> Result<Cover, Problem> {
    let file = if folder.is_file() { folder.to_path_buf() } else { folder.join(COVER_JSON) };
    let wrong = |found: String| {
        Problem::error("cover")
            .file(&file)
            .found(found)
            .expected("a check that `hillweave cover` wrote")
            .remedy(
                "name two folders of `hillweave cover -o DIR`, of the first plan and of the second",
            )
    };
    let bytes = std::fs::read(&file).map_err(|error| wrong(error.to_string()))?;
    let check: Cover = serde_json::from_slice(&bytes).map_err(|error| wrong(error.to_string()))?;
    if check.schema == SCHEMA { Ok(check) } else { Err(wrong(format!("`{}`", check.schema))) }
}
