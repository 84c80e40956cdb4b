//! A report as files.

use std::path::Path;

use rayon::join;
use serde::Serialize;
use spatial::problem::Problem;
use spatial::seed::Day;
use spatial::write::{REPORT_HTML, REPORT_JSON, REPORT_PDF, StagedFolder, Written};

use crate::document::{Document, Section};
use crate::gather::Dossier;
use crate::html::html;
use crate::inputs::Input;
use crate::letters::without_shape;
use crate::map::sheets;
use crate::pdf::pdf;
use crate::sections::sections;

/// Schema of the record, its first member.
const REPORT_SCHEMA: &str = "hillweave.report/1";

/// What a report was made of.
#[derive(Debug, Clone, Serialize)]
pub struct Summary {
    /// `hillweave.report/1`.
    pub schema: &'static str,
    /// Version of the program.
    pub version: &'static str,
    /// Name of the property.
    pub site: String,
    /// SHA-256 of the `plan.json` that it tells, hexadecimal.
    pub plan_sha256: String,
    /// Day that it bears, as it was given; `null`: none.
    pub date: Option<String>,
    /// Its parts.
    pub sections: Vec<&'static str>,
    /// Its map sheets.
    pub sheets: Vec<String>,
    /// Parts that could not be reckoned, with why.
    pub left_out: Vec<LeftOut>,
    /// What was read of the site as it is now; empty where the plan alone was given.
    pub inputs: Vec<Input>,
    /// Files that are not those that the plan was made of, and letters that the PDF cannot draw.
    pub warnings: Vec<Problem>,
}

/// A part that could not be reckoned.
#[derive(Debug, Clone, Serialize)]
pub struct LeftOut {
    /// The part.
    pub section: &'static str,
    /// Why, and what would mend it.
    pub why: Vec<Problem>,
}

/// Writes the page, the PDF and the record of a report into a folder, whole or not at all.
///
/// - `date`: the day that its maps bear; none is taken from the clock, so that equal inputs give equal files.
///
/// # Errors
/// When the folder may not be made or replaced, or the disk refuses.
pub fn write_report(
    dossier: &Dossier,
    date: Option<Day>,
    target: &Path,
    overwrite: bool,
) -> Result<(Summary, Vec<Written>), Problem> {
    let folder = StagedFolder::begin(target, overwrite)?;
    let plan = &dossier.plan;
    let site = plan.text("/site").to_owned();
    let subtitle = match date {
        Some(date) => format!("Planting plan, {date}"),
        None => "Planting plan".to_owned(),
    };
    let mut document = Document {
        property: site.clone(),
        subtitle,
        foot: format!(
            // The name comes last: where it is long it is cut, and the checksum never is.
            "plan.json SHA-256 {} · hillweave {} · local rules and licensed people decide · {site}",
            &dossier.plan_sha256[..16],
            plan.text("/version")
        ),
        sections: sections(dossier),
        sheets: sheets(dossier, date)?,
    };
    let mut warnings = dossier.inputs.warnings.clone();
    warnings.extend(without_shape(&mut document)?);
    let (page, print) = join(|| html(&document), || pdf(&document));
    folder.write(REPORT_HTML, page.as_bytes())?;
    folder.write(REPORT_PDF, &print?)?;
    let summary = Summary {
        schema: REPORT_SCHEMA,
        version: env!("CARGO_PKG_VERSION"),
        site,
        plan_sha256: dossier.plan_sha256.clone(),
        date: date.map(|day| day.to_string()),
        sections: document.sections.iter().map(|section| section.id).collect(),
        sheets: document.sheets.iter().map(|sheet| sheet.title.clone()).collect(),
        left_out: left_out(dossier, &document.sections),
        inputs: dossier.inputs.inputs.clone(),
        warnings,
    };
    folder.record(REPORT_JSON, &summary)?;
    Ok((summary, folder.commit()?))
}

/// Parts whose check could not be made, in the order of the parts.
fn left_out(dossier: &Dossier, sections: &[Section]) -> Vec<LeftOut> {
    let Some(site) = &dossier.of_site else { return Vec::new() };
    let checks = site.checks();
    let why = |section: &Section| {
        let (section, told) = *checks.iter().find(|(id, _)| *id == section.id)?;
        told.as_ref().err().map(|why| LeftOut { section, why: why.clone() })
    };
    sections.iter().filter_map(why).collect()
}
