//! Reports and exports from the page: made by the code of the commands, from the files as they are saved.

use std::fmt::Display;
use std::path::{Path, PathBuf};
use std::str::FromStr;

use report::{Asked, gather, write_report};
use serde::Deserialize;
use serde_json::{Value as Json, json};
use spatial::calendar::Month;
use spatial::export::{Format, export};
use spatial::pipeline::write_plan;
use spatial::plan::{Plan, USUAL_SEED};
use spatial::problem::Problem;
use spatial::seed::Day;
use spatial::write::Written;

use crate::plan_now::PlanNow;

/// Folders beside `site.toml` that the bench writes.
const PLAN: &str = "bench_plan";
const REPORT: &str = "bench_report";
const EXPORT: &str = "bench_export";

/// What a report is asked for.
#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct ReportAsked {
    /// The day on its cover, `YYYY-MM-DD`.
    date: Option<String>,
    /// Month in which work begins, `YYYY-MM`.
    start: Option<String>,
}

/// Writes the plan, then a report of it; what was written.
///
/// # Errors
/// Every problem that stops it; an earlier report stays as it was.
pub(crate) fn report_of(
    now: &PlanNow,
    plan: &Plan,
    asked: &ReportAsked,
) -> Result<Json, Vec<Problem>> {
    let start =
        given(asked.start.as_deref()).map(|text| read::<Month>("start", text)).transpose()?;
    let date = given(asked.date.as_deref()).map(|text| read::<Day>("date", text)).transpose()?;
    let plan = plan_of(now, plan)?;
    let site = now.fitted.site.file.as_path();
    let asked = Asked { site: Some(site), plan: Some(&plan), start, seed: USUAL_SEED };
    let dossier = gather(&asked, &mut |_| {})?;
    let target = beside(now, REPORT);
    let (summary, written) = write_report(&dossier, date, &target, true)?;
    let left_out: Vec<&Problem> = summary.left_out.iter().flat_map(|part| &part.why).collect();
    Ok(told(REPORT, &written, &json!(left_out)))
}

/// Writes the plan, then every format of it; what was written.
///
/// # Errors
/// As [`report_of`].
pub(crate) fn export_of(now: &PlanNow, plan: &Plan) -> Result<Json, Vec<Problem>> {
    let plan = plan_of(now, plan)?;
    let target = beside(now, EXPORT);
    let (record, written) = export(&plan, &Format::ALL, (&target, true), &mut |_| {})?;
    Ok(told(EXPORT, &written, &json!(record.warnings)))
}

/// Where a file of an output is; `None` where the name is of no output.
pub(crate) fn file_of(now: &PlanNow, folder: &str, name: &str) -> Option<PathBuf> {
    let is_ours = [PLAN, REPORT, EXPORT].contains(&folder);
    // A name alone: nothing of it leads out of the folder.
    let is_name = !name.is_empty() && Path::new(name).file_name() == Some(name.as_ref());
    let inside = beside(now, folder);
    let file = inside.join(name);
    // Neither the folder nor the file may be a link to elsewhere.
    let is_folder = inside.symlink_metadata().is_ok_and(|about| about.is_dir());
    let is_plain = file.symlink_metadata().is_ok_and(|about| about.is_file());
    (is_ours && is_name && is_folder && is_plain).then_some(file)
}

fn plan_of(now: &PlanNow, plan: &Plan) -> Result<PathBuf, Problem> {
    let target = beside(now, PLAN);
    write_plan(plan, &now.fitted.ready.crs, &target, true)?;
    Ok(target)
}

fn beside(now: &PlanNow, folder: &str) -> PathBuf {
    now.fitted.site.folder().join(folder)
}

fn told(folder: &str, written: &[Written], problems: &Json) -> Json {
    let file = |one: &Written| {
        let name = one.file.display().to_string();
        json!({ "name": name, "bytes": one.bytes, "url": format!("/files/{folder}/{name}") })
    };
    let files: Vec<Json> = written.iter().map(file).collect();
    json!({ "folder": folder, "files": files, "problems": problems })
}

/// What was typed; nothing where a field was left empty.
fn given(text: Option<&str>) -> Option<&str> {
    text.map(str::trim).filter(|text| !text.is_empty())
}

/// What was typed, read.
fn read<T: FromStr<Err: Display>>(item: &str, text: &str) -> Result<T, Problem> {
    text.parse().map_err(|fault: T::Err| {
        let problem = Problem::error(item).found(format!("`{text}`: {fault}"));
        problem
            .expected("a day, such as 2027-03-31; a month, such as 2027-03")
            .remedy("write it so, or leave it empty")
    })
}
