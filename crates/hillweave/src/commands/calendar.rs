//! `hillweave calendar`: the whole job by month.

use spatial::calendar::{Calendar, CalendarAsked, LateRow, TaskRow, calendar, write_calendar};
use spatial::pipeline::Stage;

use crate::arguments;
use crate::commands::folder::{begin, tell};
use crate::outcome::{Outcome, Stop};
use crate::progress::Progress;
use crate::screen::{Ink, Screen, columns, counted, put_line};

/// Puts the work of a plan into months, writes and tells it.
pub(crate) fn run(options: &arguments::Calendar, screen: &Screen) -> Result<Outcome, Stop> {
    begin(options.of.plan.as_deref(), &options.of.output, options.of.overwrite)?;
    let mut progress = Progress::new(Stage::ALL.len(), screen);
    let mut enter = |stage: Stage| progress.enter(stage.name());
    let asked = CalendarAsked {
        plan: options.of.plan.as_deref(),
        start: options.start,
        late_seed_months: options.late_seed,
    };
    let told = calendar(&options.of.site, &asked, &mut enter)?;
    progress.enter(Stage::Write.name());
    let written = write_calendar(&told, &options.of.output, options.of.overwrite)?;
    progress.finish();
    let target = ("calendar", options.of.output.as_path());
    tell(screen, &told, &words(&told, screen), target, &written)?;
    Ok(if told.warnings.is_empty() { Outcome::Done } else { Outcome::Findings })
}

/// The calendar in words.
fn words(calendar: &Calendar, screen: &Screen) -> String {
    let mut text = format!(
        "{}: {} from {}, seasons of the {}\n",
        screen.ink(Ink::Strong, &calendar.site),
        counted(calendar.tasks.len(), "job"),
        calendar.start,
        calendar.hemisphere
    );
    let heading = ["begins", "by", "ends", "slack", "who", "job"].map(str::to_owned);
    let cells: Vec<[String; 6]> =
        std::iter::once(heading).chain(calendar.tasks.iter().map(cells)).collect();
    text.push_str(&columns(&cells, |at| at != 3));
    let path = calendar.critical_path.join(", ");
    match calendar.least_slack_months {
        months if months > 0 => {
            let least = format!("{}: {path}", counted(months as usize, "month"));
            put_line(&mut text, "least slack", &least);
        }
        _ => put_line(&mut text, "no slack", &path),
    }
    for row in &calendar.late_seed {
        put_line(&mut text, "late seed", &late_words(row));
    }
    for note in &calendar.notes {
        put_line(&mut text, "note", note);
    }
    let work = calendar.tasks.iter().filter(|task| !task.caution.is_empty());
    let mut told: Vec<&str> = work.map(|task| task.caution).collect();
    told.sort_unstable();
    told.dedup();
    for caution in told {
        put_line(&mut text, "caution", caution);
    }
    for caution in &calendar.cautions {
        put_line(&mut text, "caution", &format!("{}: {}", caution.about, caution.text));
    }
    text + &screen.to_look_at(&calendar.warnings)
}

fn cells(task: &TaskRow) -> [String; 6] {
    let winter = task.winter.map_or_else(String::new, |year| format!("{year}: "));
    [
        task.earliest.clone(),
        task.latest.clone(),
        task.ends.clone(),
        task.slack_months.to_string(),
        task.who.join(", "),
        format!("{winter}{}", task.task),
    ]
}

fn late_words(row: &LateRow) -> String {
    let may = row.may_be_late_months.map_or_else(
        || "no winter is missed within ten years".to_owned(),
        |months| format!("up to {} late, no winter is missed", counted(months as usize, "month")),
    );
    let years = |years: &[i32]| years.iter().map(i32::to_string).collect::<Vec<_>>().join(", ");
    let then = if row.misses_winters.is_empty() {
        "no winter is missed".to_owned()
    } else {
        format!("planting of {} is done in {}", years(&row.misses_winters), years(&row.plants_in))
    };
    format!(
        "{}: {may}; {} late, {then}, {} slip",
        row.task,
        counted(row.late_months as usize, "month"),
        counted(row.slipped.len(), "job")
    )
}
