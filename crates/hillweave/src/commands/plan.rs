//! `hillweave plan`: the main job.

use serde::Serialize;
use spatial::pipeline::write_plan;
use spatial::pipeline::{self, Planned, Stage};
use spatial::plan::{OrderRow, Plan, Reach, Totals};
use spatial::write::{StagedFolder, Written};

use crate::arguments::{self, Only};
use crate::commands::folder::names;
use crate::outcome::{Outcome, Stop};
use crate::progress::{Progress, timings_table};
use crate::screen::{Ink, Screen};
use crate::summary::plan_summary;

/// Plans a property and writes the plan.
pub(crate) fn run(options: &arguments::Plan, screen: &Screen) -> Result<Outcome, Stop> {
    // Refuses the folder now rather than after the work.
    drop(StagedFolder::begin(&options.output, options.overwrite)?);
    let mut progress = Progress::new(Stage::ALL.len(), screen);
    let mut enter = |stage: Stage| progress.enter(stage.name());
    let reach = options.only.map_or(Reach::Orders, |Only::Zones| Reach::Zones);
    let Planned { plan, crs } = pipeline::plan(&options.site, reach, options.seed, &mut enter)?;
    progress.enter(Stage::Write.name());
    let written = write_plan(&plan, &crs, &options.output, options.overwrite)?;
    let stages = progress.finish();
    if options.timings {
        screen.talk(&timings_table(&stages));
    }
    screen.json(&Summary::of(&plan, &written))?;
    screen.words(&plan_summary(&plan, screen))?;
    let place = screen.ink(Ink::Hint, &options.output.display().to_string());
    screen.words(&format!("plan written to {place}: {}\n", names(&written)))?;
    Ok(Outcome::Done)
}

/// What a script is told.
#[derive(Serialize)]
struct Summary<'a> {
    schema: &'static str,
    site: &'a str,
    totals: &'a Totals,
    orders: &'a [OrderRow],
    gap: f64,
    warnings: usize,
    files: &'a [Written],
}

impl<'a> Summary<'a> {
    fn of(plan: &'a Plan, files: &'a [Written]) -> Self {
        Self {
            schema: "hillweave.summary/1",
            site: &plan.site,
            totals: &plan.totals,
            orders: &plan.orders,
            gap: plan.solution.gap,
            warnings: plan.warnings.len(),
            files,
        }
    }
}
