//! What to look at before a survey is believed.

use std::collections::BTreeSet;
use std::fmt::Write;
use std::path::Path;

use stock::Library;

use super::{PlantedPlan, SurveyRow, SurveyRules};
use crate::problem::Problem;
use crate::site::Site;

/// Most names that one warning lists.
const MOST_NAMES: usize = 12;

/// Everything to look at: of the plan first, then row by row.
pub(super) fn warnings(
    site: &Site,
    library: &Library,
    plan: &PlantedPlan,
    rows: &[SurveyRow],
    hopeless: &[&SurveyRow],
    counts_file: &Path,
    rules: &SurveyRules,
) -> Vec<Problem> {
    let mut found = Vec::new();
    found.extend(another_site(site, plan));
    found.extend(several_winters(plan));
    found.extend(lost_lines(library, plan, rows));
    found.extend(not_counted(plan, rows, counts_file));
    for row in rows {
        found.extend(few(row, counts_file, rules));
        found.extend(unlike(row, counts_file));
    }
    found.extend(hopeless.iter().map(|row| none_lives(row, counts_file)));
    found
}

fn another_site(site: &Site, plan: &PlantedPlan) -> Option<Problem> {
    (site.name != plan.site).then(|| {
        Problem::warning("site")
            .file(&plan.file)
            .found(format!("a plan of `{}`", plan.site))
            .expected(format!("a plan of `{}`, as the site is named", site.name))
            .remedy("check that site and plan belong together")
    })
}

fn several_winters(plan: &PlantedPlan) -> Option<Problem> {
    let years: Vec<String> = plan.seasons.iter().map(ToString::to_string).collect();
    (years.len() > 1).then(|| {
        Problem::warning("winters")
            .file(&plan.file)
            .found(format!("plants of {} taken together", years.join(", ")))
            .expected("counts of all of them")
            .remedy("pass `--season` with the winter that was counted")
    })
}

fn lost_lines(library: &Library, plan: &PlantedPlan, rows: &[SurveyRow]) -> Vec<Problem> {
    let lost = plan.stock_ids().into_iter().filter(|id| library.find(id).is_none());
    let counted = lost.filter(|id| rows.iter().any(|row| row.stock_id == *id));
    let one = |id: &str| {
        Problem::warning(format!("stock `{id}`"))
            .file(&plan.file)
            .found("a line that the stock file no longer has")
            .expected("a line of the stock file, for its smallest order")
            .remedy("put it back, or see to the smallest order by hand")
    };
    counted.map(one).collect()
}

fn not_counted(plan: &PlantedPlan, rows: &[SurveyRow], counts_file: &Path) -> Option<Problem> {
    let counted: BTreeSet<(&str, &str)> =
        rows.iter().map(|row| (&*row.zone_id, &*row.stock_id)).collect();
    let lines: Vec<String> = plan
        .planted
        .iter()
        .filter(|line| !counted.contains(&(&*line.zone_id, &*line.stock_id)))
        .map(|line| format!("{} {}", line.zone_id, line.stock_id))
        .collect();
    (!lines.is_empty()).then(|| {
        let mut names = lines.iter().take(MOST_NAMES).cloned().collect::<Vec<_>>().join(", ");
        if lines.len() > MOST_NAMES {
            // Writing to a String cannot fail.
            let _ = write!(names, " and {} more", lines.len() - MOST_NAMES);
        }
        Problem::warning("not counted")
            .file(counts_file)
            .found(format!("no plot of {names}"))
            .expected("plots in every zone of every line")
            .remedy("count there too: nothing here speaks for ground that was not seen")
    })
}

fn few(row: &SurveyRow, counts_file: &Path, rules: &SurveyRules) -> Option<Problem> {
    (row.counted < rules.least_counted).then(|| {
        Problem::warning(format!("zone `{}`, line `{}`", row.zone_id, row.stock_id))
            .file(counts_file)
            .found(format!("{} counted in {}", plants(row.counted), plots(row.plots)))
            .expected(format!("{} or more", rules.least_counted))
            .remedy("count more plots before you decide: few plants mislead")
    })
}

/// Fewest plots by which it is said that they are unlike, and how many times as much as chance they must
/// differ. Our choice, no source.
const UNLIKE: (usize, f64) = (3, 2.0);

fn unlike(row: &SurveyRow, counts_file: &Path) -> Option<Problem> {
    let times = row.design_effect.filter(|times| row.plots >= UNLIKE.0 && *times >= UNLIKE.1)?;
    let wider = times.sqrt();
    let found = format!(
        "plots that differ {times:.1} times as much as by chance: what is true lies about {wider:.1} times as wide as the interval"
    );
    Some(
        Problem::warning(format!("zone `{}`, line `{}`", row.zone_id, row.stock_id))
            .file(counts_file)
            .found(found)
            .expected("plots that are much alike")
            .remedy("see where plants died and why, and count more plots before you decide"),
    )
}

fn none_lives(row: &SurveyRow, counts_file: &Path) -> Problem {
    Problem::warning(format!("zone `{}`, line `{}`", row.zone_id, row.stock_id))
        .file(counts_file)
        .found(format!("{} alive of {}", row.alive, plants(row.counted)))
        .expected("survivors, to reckon an order from")
        .remedy("find out why they died before planting again; no order is made here")
}

fn plants(number: u64) -> String {
    if number == 1 { "1 plant".to_owned() } else { format!("{number} plants") }
}

fn plots(number: usize) -> String {
    if number == 1 { "1 plot".to_owned() } else { format!("{number} plots") }
}
