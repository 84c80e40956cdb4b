//! Cover year by year, as a picture inside the page.

use palette::STROKES;
use palette::escaped;

use super::page::class_words;
use super::rows::{CoverCheck, YearRow};
use crate::write::put;

/// Lines are told apart by their dashes and marks, colour being an aid alone.
const DASHES: [&str; STROKES.len()] = ["", "3 1", "1 1", "4 1 1 1", "2 2", "6 1.5", "", "1 2"];

/// Share of ground that may slip protected, by slope group and year.
pub(super) fn chart(check: &CoverCheck) -> String {
    const SIZE: [f64; 2] = [182.0, 84.0];
    const EDGES: [f64; 4] = [14.0, 34.0, 12.0, 4.0]; // left, right, below, above
    let is_meant = |row: &&YearRow| {
        row.by == "slope_group" && row.may_slip_only && row.measure == check.measure
    };
    let rows: Vec<&YearRow> = check.by_year_rows.iter().filter(is_meant).collect();
    let last = rows.iter().filter_map(|row| row.years).max().unwrap_or(1).max(1);
    let x = |years: f64| EDGES[0] + years / f64::from(last) * (SIZE[0] - EDGES[0] - EDGES[1]);
    let y = |share: f64| SIZE[1] - EDGES[2] - share * (SIZE[1] - EDGES[2] - EDGES[3]);
    let mut svg = format!(
        "<svg viewBox=\"0 0 {} {}\" role=\"img\" aria-label=\"Share protected by year\" \
         font-family=\"sans-serif\" font-size=\"3.2\">\n",
        SIZE[0], SIZE[1]
    );
    for tick in 0..=5 {
        let share = f64::from(tick) / 5.0;
        put(
            &mut svg,
            format_args!(
                "<path d=\"M{:.2} {:.2}H{:.2}\" stroke=\"#ddd\" stroke-width=\".2\"/><text x=\"{:.2}\" y=\"{:.2}\" \
                 text-anchor=\"end\">{:.0} %</text>",
                x(0.0),
                y(share),
                SIZE[0] - EDGES[1],
                x(0.0) - 1.5,
                y(share) + 1.0,
                share * 100.0
            ),
        );
    }
    for years in (0..=last).step_by(5) {
        let at = f64::from(years);
        put(
            &mut svg,
            format_args!(
                "<path d=\"M{0:.2} {1:.2}v1.2\" stroke=\"#333\" stroke-width=\".2\"/><text x=\"{0:.2}\" y=\"{2:.2}\" \
                 text-anchor=\"middle\">{years}</text>",
                x(at),
                y(0.0),
                y(0.0) + 4.6
            ),
        );
    }
    put(
        &mut svg,
        format_args!(
            "<path d=\"M{:.2} {:.2}H{:.2}\" stroke=\"#000\" stroke-width=\".4\"/><path d=\"M{:.2} {:.2}V{:.2}\" \
             stroke=\"#000\" stroke-width=\".3\" stroke-dasharray=\"1 1\"/>",
            x(0.0),
            y(check.target),
            SIZE[0] - EDGES[1],
            x(f64::from(check.by_years)),
            y(0.0),
            y(1.0)
        ),
    );
    svg += &lines(&rows, x, y, (SIZE[0] - EDGES[1], y(1.0) + 3.0));
    put(
        &mut svg,
        format_args!(
            "<text x=\"{:.2}\" y=\"{:.2}\" text-anchor=\"middle\">years after the first planting</text>\n</svg>",
            f64::midpoint(x(0.0), SIZE[0] - EDGES[1]),
            SIZE[1] - 2.0
        ),
    );
    svg
}

/// A line for each class, named in a key to the right.
fn lines(
    rows: &[&YearRow],
    x: impl Fn(f64) -> f64,
    y: impl Fn(f64) -> f64,
    key: (f64, f64),
) -> String {
    let mut svg = String::new();
    let mut classes: Vec<&str> = rows.iter().map(|row| row.class.as_str()).collect();
    classes.dedup();
    for (at, class) in classes.into_iter().enumerate() {
        let (colour, dashes) = (STROKES[at % STROKES.len()], DASHES[at % DASHES.len()]);
        let of_class = rows.iter().filter(|row| row.class == class);
        let points: Vec<String> = of_class
            .filter_map(|row| {
                Some(format!("{:.2},{:.2}", x(f64::from(row.years?)), y(row.protected_share)))
            })
            .collect();
        let width = if class == "slip_scar" { 0.9 } else { 0.6 };
        let stroke = format!(
            "fill=\"none\" stroke=\"{colour}\" stroke-width=\"{width}\" stroke-dasharray=\"{dashes}\""
        );
        let foot = key.1 + 5.0 * at as f64;
        put(
            &mut svg,
            format_args!(
                "<polyline points=\"{}\" {stroke}/><path d=\"M{:.2} {:.2}h9\" {stroke}/>\
                 <text x=\"{:.2}\" y=\"{:.2}\">{}</text>",
                points.join(" "),
                key.0 + 3.0,
                foot,
                key.0 + 14.0,
                foot + 1.1,
                escaped(&class_words(class))
            ),
        );
    }
    svg
}
