//! `hillweave compare`: what two plans of one property differ in.

use spatial::compare::{
    Comparison, CoverChange, Differences, GroundChangeRow, LineChangeRow, OrderChangeRow, compare,
    write_compare,
};
use spatial::units::thousands;

use crate::arguments;
use crate::commands::folder::{begin, tell};
use crate::outcome::{Outcome, Stop};
use crate::progress::Progress;
use crate::screen::{Ink, Screen, columns, counted, put_line};

/// Changes of ground, and differences of inputs or defaults, that are told on the screen.
const TOLD: usize = 12;

/// Compares two plans, writes what comes of it where a folder is named, and tells it.
pub(crate) fn run(options: &arguments::Compare, screen: &Screen) -> Result<Outcome, Stop> {
    if let Some(output) = &options.output {
        for plan in [&options.a, &options.b] {
            begin(Some(plan), output, options.overwrite)?;
        }
    }
    let covers = match &options.cover[..] {
        [a, b] => Some([a.as_path(), b.as_path()]),
        _ => None,
    };
    let mut progress = Progress::new(4, screen);
    let (found, crs) = compare([&options.a, &options.b], covers, &mut |step| progress.enter(step))?;
    let words = words(&found, options, screen);
    let Some(output) = &options.output else {
        progress.finish();
        screen.json(&found)?;
        screen.words(&words)?;
        return Ok(Outcome::Done);
    };
    progress.enter("write");
    let written = write_compare(&found, &crs, output, options.overwrite)?;
    progress.finish();
    tell(screen, &found, &words, ("comparison", output), &written)?;
    Ok(Outcome::Done)
}

/// The comparison in words.
fn words(found: &Comparison, options: &arguments::Compare, screen: &Screen) -> String {
    let share = found.line_changes_plan_ha.0 / found.ground_plan_ha.0.max(f64::MIN_POSITIVE);
    let mut text = format!(
        "{}: {:.1} ha of {:.1} ha change line ({:.1} %), and {:.1} ha change density alone\n",
        screen.ink(Ink::Strong, &found.site),
        found.line_changes_plan_ha.0,
        found.ground_plan_ha.0,
        share * 100.0,
        found.density_changes_plan_ha.0,
    );
    put_line(&mut text, "a", &options.a.display().to_string());
    put_line(&mut text, "b", &options.b.display().to_string());
    put_differences(&mut text, "inputs", "input", &found.inputs, |_| "other content".to_owned());
    put_differences(&mut text, "defaults", "default", &found.defaults, |row| {
        let [a, b] = [&row.a, &row.b].map(|value| value.as_deref().unwrap_or("-"));
        format!("{a} → {b}")
    });
    let zones = &found.zones;
    let counts = format!(
        "{} the same polygon, {} redrawn, {} new, {} gone",
        zones.same, zones.redrawn, zones.new, zones.gone
    );
    put_line(&mut text, "zones", &counts);
    put_line(&mut text, "cover", &found.cover.as_ref().map_or_else(not_compared, cover_words));
    text.push_str(&totals_table(found));
    text.push_str(&line_table(&found.lines));
    text.push_str(&order_table(&found.orders));
    text.push_str(&ground_table(&found.ground));
    text + &screen.to_look_at(&found.warnings)
}

fn not_compared() -> String {
    "not compared: name the checks of both plans with `--cover COVER_A COVER_B`".to_owned()
}

fn cover_words(cover: &CoverChange) -> String {
    let [a, b] = cover.below_plan_ha;
    format!(
        "{a:.1} ha → {b:.1} ha below {:.0} % {} years after the first planting, by `{}`",
        cover.target * 100.0,
        cover.by_years,
        cover.measure
    )
}

/// How many are the same, then those that differ, one a line.
fn put_differences(
    text: &mut String,
    label: &str,
    noun: &str,
    differences: &Differences,
    how: impl Fn(&spatial::compare::DifferenceRow) -> String,
) {
    let same = counted(differences.same, noun);
    let number = differences.changed.len();
    let said = if number == 0 {
        format!("{same}, all the same")
    } else {
        format!("{same} the same, {number} not")
    };
    put_line(text, label, &said);
    for row in differences.changed.iter().take(TOLD) {
        let words = match (&row.a, &row.b) {
            (None, Some(_)) => "in b alone".to_owned(),
            (Some(_), None) => "in a alone".to_owned(),
            _ => how(row),
        };
        put_line(text, "", &format!("{}: {words}", row.name));
    }
    if number > TOLD {
        put_line(text, "", &format!("and {} more", number - TOLD));
    }
}

/// Figures of both plans side by side.
fn totals_table(found: &Comparison) -> String {
    let [a, b] = &found.plans;
    let row = |name: &str, figures: [f64; 2], decimals: usize| {
        let [a, b] = figures;
        let change = with_commas(b - a, decimals);
        let is_none = change.chars().all(|letter| matches!(letter, '0' | '.'));
        let sign = if b > a && !is_none { "+" } else { "" };
        [
            name.to_owned(),
            with_commas(a, decimals),
            with_commas(b, decimals),
            format!("{sign}{change}"),
        ]
    };
    let count = |name: &str, figures: [u64; 2]| row(name, figures.map(|count| count as f64), 0);
    let mut rows = vec![["", "a", "b", "change"].map(str::to_owned)];
    rows.extend([
        row("planted ha", [a.planted_plan_ha, b.planted_plan_ha], 1),
        row("left ha", [a.left_plan_ha, b.left_plan_ha], 1),
        row("kept stands ha", [a.stands_plan_ha, b.stands_plan_ha], 1),
        row("kept clear ha", [a.keep_clear_plan_ha, b.keep_clear_plan_ha], 1),
        count("plants into the ground", [a.seedlings, b.seedlings]),
        count("plants to order", [a.order_qty, b.order_qty]),
        row("plants a planted ha", [a.stems_ha.unwrap_or(0.0), b.stems_ha.unwrap_or(0.0)], 0),
        row("cost NZ$", [a.cost_nzd, b.cost_nzd], 0),
        row("days of one person", [a.person_days, b.person_days], 0),
    ]);
    format!("\n{}", columns(&rows, |at| at == 0))
}

/// A number with commas at thousands; no minus before a nought.
fn with_commas(number: f64, decimals: usize) -> String {
    let scale = 10_f64.powi(decimals as i32);
    let steps = (number.abs() * scale).round();
    let whole = thousands((steps / scale).floor() as u64);
    let sign = if number < 0.0 && steps > 0.0 { "-" } else { "" };
    if decimals == 0 {
        return format!("{sign}{whole}");
    }
    format!("{sign}{whole}.{:0decimals$}", (steps % scale) as u64)
}

/// Lines in columns.
fn line_table(lines: &[LineChangeRow]) -> String {
    if lines.is_empty() {
        return String::new();
    }
    let heading = ["line", "a ha", "b ha", "a plants", "b plants", "a order", "b order"];
    let mut rows = vec![heading.map(str::to_owned)];
    rows.extend(lines.iter().map(|line| {
        [
            line.stock_name.clone(),
            format!("{:.1}", line.a_plan_ha),
            format!("{:.1}", line.b_plan_ha),
            thousands(line.a_seedlings),
            thousands(line.b_seedlings),
            thousands(line.a_order_qty),
            thousands(line.b_order_qty),
        ]
    }));
    format!("\n{}", columns(&rows, |at| at == 0))
}

/// Orders by winter in columns, where the plans name winters.
fn order_table(orders: &[OrderChangeRow]) -> String {
    if orders.iter().all(|order| order.season.is_none()) {
        return String::new();
    }
    let mut rows = vec![["order of", "winter", "a order", "b order"].map(str::to_owned)];
    rows.extend(orders.iter().map(|order| {
        let winter = order.season.map_or_else(|| "-".to_owned(), |year| year.to_string());
        [order.stock_id.clone(), winter, thousands(order.a_order_qty), thousands(order.b_order_qty)]
    }));
    format!("\n{}", columns(&rows, |at| at == 0))
}

/// Changes of ground in columns, the widest first.
fn ground_table(ground: &[GroundChangeRow]) -> String {
    let changes: Vec<&GroundChangeRow> = ground.iter().filter(|row| row.from != row.to).collect();
    if changes.is_empty() {
        return String::new();
    }
    let mut rows = vec![["from", "to", "ha"].map(str::to_owned)];
    rows.extend(
        changes
            .iter()
            .take(TOLD)
            .map(|row| [row.from.clone(), row.to.clone(), format!("{:.2}", row.plan_area_ha.0)]),
    );
    let more = match changes.len().checked_sub(TOLD) {
        None | Some(0) => String::new(),
        Some(more) => format!("  and {} in compare_ground.csv\n", counted(more, "smaller change")),
    };
    format!("\n{}{more}", columns(&rows, |at| at < 2))
}
