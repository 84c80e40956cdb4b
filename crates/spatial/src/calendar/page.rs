//! The months of the work as a chart to read and print.

use almanac::Month;
use palette::escaped;

use super::events::month;
use super::rows::{Calendar, LateRow, TaskRow};
use crate::write::{PAGE_END, page_head, put};

/// For A4 on its side; nothing is loaded from elsewhere and no script runs.
const STYLE: &str = "@page{size:A4 landscape;margin:10mm}\
body{font:9pt sans-serif;color:#000;background:#fff;margin:0 auto;max-width:277mm}\
h1{font-size:15pt;margin:0 0 1mm}h2{font-size:11pt;margin:5mm 0 1mm;break-after:avoid}\
p{margin:0 0 1.5mm}ul{margin:0;padding-left:5mm}li{margin:0 0 .6mm}\
table{border-collapse:collapse;width:100%;margin:1mm 0 2mm}thead{display:table-header-group}\
th,td{border-bottom:.2mm solid #999;padding:.5mm 1.5mm;text-align:left;vertical-align:top;font-size:8pt}\
th{border-bottom:.4mm solid #333}tr{break-inside:avoid}svg{width:100%;height:auto;break-inside:avoid}\
.note{color:#333;font-size:8pt}";

/// Width of the chart and of the names in it, height of a row, in millimetres; rows of one piece of the chart.
const WIDE: f64 = 277.0;
const NAMES: f64 = 92.0;
const ROW: f64 = 5.0;
const ROWS: usize = 30;

/// The page, UTF-8.
pub(super) fn page(calendar: &Calendar) -> String {
    let site = escaped(&calendar.site);
    let title = format!("{site}: the work by month");
    let mut page = page_head(&title, &[STYLE], &title);
    put(
        &mut page,
        format_args!(
            "<p>From {}; seasons of the {}. Hatched: no slack, every month late moves what follows. Grey: may be late, \
             by the thin line behind it. Crossed out: cannot be in time. Local rules and licensed people decide.</p>",
            escaped(&calendar.start),
            calendar.hemisphere
        ),
    );
    page += &charts(calendar).concat();
    let path: Vec<String> = calendar.critical_path.iter().map(|id| escaped(id)).collect();
    let slack = match calendar.least_slack_months {
        1 => "Nothing is without slack; the least is a month: ".to_owned(),
        months if months > 1 => format!("Nothing is without slack; the least is {months} months: "),
        _ => String::new(),
    };
    put(&mut page, format_args!("<h2>Critical path</h2>\n<p>{slack}{}</p>", path.join(" → ")));
    if !calendar.late_seed.is_empty() {
        put(&mut page, format_args!("<h2>If seed is late</h2>\n<ul>"));
        for row in &calendar.late_seed {
            put(&mut page, format_args!("<li>{}</li>", escaped(&late_words(row))));
        }
        page += "</ul>\n";
    }
    table(&mut page, calendar);
    put(&mut page, format_args!("<h2>Before anyone goes out</h2>\n<ul>"));
    for caution in &calendar.cautions {
        let zones = match &caution.zones[..] {
            [] => String::new(),
            zones => format!(" ({})", escaped(&zones.join(", "))),
        };
        let [about, text] = [&caution.about, &caution.text].map(|one| escaped(one));
        put(&mut page, format_args!("<li><b>{about}</b>{zones}: {text}</li>"));
    }
    for note in &calendar.notes {
        put(&mut page, format_args!("<li class=\"note\">{}</li>", escaped(note)));
    }
    page + "</ul>\n" + PAGE_END
}

/// Jobs by month, a chart for so many as a page holds.
pub(super) fn charts(calendar: &Calendar) -> Vec<String> {
    let [from, to] = reach(calendar);
    let rows = calendar.tasks.chunks(ROWS);
    rows.map(|rows| {
        let mut svg = String::new();
        chart(&mut svg, rows, from, to);
        svg
    })
    .collect()
}

/// A gathering of seed that is late, in a sentence.
pub(super) fn late_words(row: &LateRow) -> String {
    let may = row.may_be_late_months.map_or_else(
        || "ten years late and more without missing a winter".to_owned(),
        |months| format!("{months} months late before a winter is missed"),
    );
    let years = |years: &[i32]| years.iter().map(i32::to_string).collect::<Vec<_>>().join(", ");
    let then = if row.misses_winters.is_empty() {
        "no winter is missed".to_owned()
    } else {
        format!("planting of {} is done in {}", years(&row.misses_winters), years(&row.plants_in))
    };
    format!(
        "{}: may be {may}; {} months late, {then}, and {} jobs slip",
        row.task,
        row.late_months,
        row.slipped.len()
    )
}

/// First month of the chart, a January, and the one after its last.
fn reach(calendar: &Calendar) -> [Month; 2] {
    let months =
        |of: fn(&TaskRow) -> &String| calendar.tasks.iter().map(move |task| month(of(task)));
    let first = months(|task| &task.earliest).chain(months(|task| &task.latest)).min();
    let ends = calendar.tasks.iter().map(|task| month(&task.latest).plus(task.months as i32 - 1));
    let last = months(|task| &task.ends).chain(ends).max();
    let (first, last) = (first.unwrap_or(month("2000-01")), last.unwrap_or(month("2000-12")));
    [Month { month: 1, ..first }, Month { year: last.year.saturating_add(1), month: 1 }]
}

fn chart(page: &mut String, rows: &[TaskRow], from: Month, to: Month) {
    let months = f64::from(to.since(from).max(1));
    let x = |at: Month| NAMES + f64::from(at.since(from)) / months * (WIDE - NAMES);
    let high = rows.len() as f64 * ROW + 7.0;
    put(
        page,
        format_args!(
            "<svg viewBox=\"0 0 {WIDE} {high}\" role=\"img\" aria-label=\"Jobs by month\" font-family=\"sans-serif\" \
             font-size=\"2.8\"><defs><pattern id=\"hatch\" width=\"1.4\" height=\"1.4\" patternUnits=\"userSpaceOnUse\" \
             patternTransform=\"rotate(45)\"><rect width=\"1.4\" height=\"1.4\" fill=\"#fff\"/><path d=\"M0 0V1.4\" \
             stroke=\"#000\" stroke-width=\"1.1\"/></pattern></defs>"
        ),
    );
    for quarter in (0..to.since(from)).step_by(3) {
        let at = from.plus(quarter);
        let (ink, thick) = if at.month == 1 { ("#000", 0.25) } else { ("#ccc", 0.15) };
        put(
            page,
            format_args!(
                "<path d=\"M{0:.2} 5V{high}\" stroke=\"{ink}\" stroke-width=\"{thick}\"/>",
                x(at)
            ),
        );
        if at.month == 1 {
            put(
                page,
                format_args!(
                    "<text x=\"{:.2}\" y=\"3.6\" font-weight=\"bold\">{}</text>",
                    x(at) + 0.8,
                    at.year
                ),
            );
        }
    }
    for (at, task) in rows.iter().enumerate() {
        bar(page, task, 6.0 + at as f64 * ROW, &x);
    }
    page.push_str("</svg>\n");
}

fn bar(page: &mut String, task: &TaskRow, y: f64, x: &dyn Fn(Month) -> f64) {
    let (begins, ends) = (month(&task.earliest), month(&task.ends).plus(1));
    let weight = if task.critical { "bold" } else { "normal" };
    put(
        page,
        format_args!(
            "<text x=\"0\" y=\"{:.2}\" font-weight=\"{weight}\">{}</text>",
            y + 3.2,
            escaped(&named(task))
        ),
    );
    if task.slack_months > 0 {
        let most = month(&task.latest).plus(task.months as i32);
        put(
            page,
            format_args!(
                "<path d=\"M{:.2} {1:.2}H{2:.2}M{2:.2} {3:.2}v1.6\" stroke=\"#000\" stroke-width=\".25\" fill=\"none\"/>",
                x(ends),
                y + 2.2,
                x(most),
                y + 1.4
            ),
        );
    }
    let fill = if task.critical { "url(#hatch)" } else { "#bbb" };
    let (left, right) = (x(begins), x(ends));
    put(
        page,
        format_args!(
            "<rect x=\"{left:.2}\" y=\"{:.2}\" width=\"{:.2}\" height=\"3.2\" fill=\"{fill}\" stroke=\"#000\" \
             stroke-width=\".2\"/>",
            y + 0.6,
            right - left
        ),
    );
    if task.slack_months < 0 {
        put(
            page,
            format_args!(
                "<path d=\"M{left:.2} {0:.2}L{right:.2} {1:.2}M{left:.2} {1:.2}L{right:.2} {0:.2}\" stroke=\"#000\" \
                 stroke-width=\".5\"/>",
                y + 0.6,
                y + 3.8
            ),
        );
    }
}

/// A job as the chart names it, with its winter and no longer than its place.
fn named(task: &TaskRow) -> String {
    const LETTERS: usize = 58;
    let winter = task.winter.map_or_else(String::new, |year| format!("{year}: "));
    let name = format!("{winter}{}", task.task);
    if name.chars().count() <= LETTERS {
        return name;
    }
    name.chars().take(LETTERS - 1).chain(['…']).collect()
}

fn table(page: &mut String, calendar: &Calendar) {
    page.push_str(
        "<h2>Every job</h2>\n<table><thead><tr><th>job</th><th>who</th><th>begins</th><th>by</th><th>ends</th>\
         <th>slack</th><th>season</th><th>hands on</th><th>caution</th></tr></thead><tbody>\n",
    );
    for task in &calendar.tasks {
        let winter = task.winter.map_or_else(String::new, |year| format!("{year}: "));
        put(
            page,
            format_args!(
                "<tr><td>{}{}</td><td>{}</td><td>{}</td><td>{}</td><td>{}</td><td>{}</td><td>{}</td><td>{}</td>\
                 <td>{}</td></tr>",
                winter,
                escaped(&task.task),
                task.who.join(", "),
                task.earliest,
                task.latest,
                task.ends,
                task.slack_months,
                task.season,
                task.hands_on,
                task.caution
            ),
        );
    }
    page.push_str("</tbody></table>\n");
}
