//! `hillweave report`: a plan as a document.

use std::path::Path;

use report::{Asked, Summary, gather, write_report};
use spatial::pipeline::Stage;

use crate::arguments;
use crate::commands::folder::{begin, tell};
use crate::outcome::{Outcome, Stop};
use crate::progress::{Progress, timings_table};
use crate::screen::{Ink, Screen, counted, put_line};

/// Gathers what a report tells, writes it and says what is in it.
pub(crate) fn run(options: &arguments::Report, screen: &Screen) -> Result<Outcome, Stop> {
    // A plan alone stands in the place of the site.
    let (site, plan) = match (&options.plan, is_plan(&options.of)) {
        (None, true) => (None, Some(options.of.as_path())),
        (plan, _) => (Some(options.of.as_path()), plan.as_deref()),
    };
    begin(plan, &options.output, options.overwrite)?;
    let mut progress = Progress::new(Stage::ALL.len() + 1, screen);
    let asked = Asked { site, plan, start: options.start, seed: options.seed };
    let dossier = gather(&asked, &mut |stage| progress.enter(stage))?;
    progress.enter(Stage::Write.name());
    let (summary, written) =
        write_report(&dossier, options.date, &options.output, options.overwrite)?;
    let stages = progress.finish();
    if options.timings {
        screen.talk(&timings_table(&stages));
    }
    let target = ("report", options.output.as_path());
    tell(screen, &summary, &words(&summary, screen), target, &written)?;
    Ok(if summary.left_out.is_empty() { Outcome::Done } else { Outcome::Findings })
}

/// Whether a path is the folder of a plan, or its record.
fn is_plan(path: &Path) -> bool {
    path.join("plan.json").is_file()
        || (path.is_file() && path.extension().is_some_and(|end| end == "json"))
}

fn words(summary: &Summary, screen: &Screen) -> String {
    let mut text = format!(
        "{}: a report of {} and {}\n",
        screen.ink(Ink::Strong, &summary.site),
        counted(summary.sections.len(), "part"),
        counted(summary.sheets.len(), "map sheet"),
    );
    put_line(&mut text, "plan", &format!("plan.json, SHA-256 {}", summary.plan_sha256));
    for sheet in &summary.sheets {
        put_line(&mut text, "sheet", sheet);
    }
    for problem in &summary.warnings {
        let item = problem
            .file
            .as_ref()
            .map_or_else(|| problem.item.clone(), |file| file.display().to_string());
        let words = format!("{item}: {}; expected {}", problem.found, problem.expected);
        put_line(&mut text, "look at", &words);
    }
    for part in &summary.left_out {
        for problem in &part.why {
            let words = format!("{}: {}; {}", problem.item, problem.found, problem.remedy);
            put_line(&mut text, "left out", &format!("{}: {words}", part.section));
        }
    }
    put_line(&mut text, "caution", "local rules and licensed people decide; nothing is promised");
    text
}
