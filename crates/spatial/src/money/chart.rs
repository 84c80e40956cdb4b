//! Pictures of money inside the page: readable in grey, and without a script.

use palette::escaped;

use super::rows::{CashRow, SensitivityRow};
use crate::units::thousands;
use crate::write::put;

/// Size of a picture and its margins (left, right, below, above), in millimetres of paper.
const WIDE: f64 = 182.0;
const MARGINS: [f64; 4] = [22.0, 6.0, 10.0, 5.0];

/// A sum in whole NZ$ with commas, and a true minus sign.
pub(super) fn dollars(nzd: f64) -> String {
    let text = thousands(nzd.abs().round() as u64);
    if nzd < 0.0 && text != "0" { format!("−{text}") } else { text }
}

/// Cash up to the end of each year: a band from the low to the high case, the middle as a line.
pub(super) fn cumulative(rows: &[CashRow]) -> String {
    const HIGH: f64 = 78.0;
    let [left, right, below, above] = MARGINS;
    if rows.len() < 2 {
        return String::new();
    }
    let sums =
        || rows.iter().flat_map(|row| [row.low_sum_nzd, row.middle_sum_nzd, row.high_sum_nzd]);
    let (least, most) = (sums().fold(0.0, f64::min), sums().fold(0.0, f64::max));
    let step = round_step((most - least).max(1.0) / 5.0);
    let (bottom, top) = ((least / step).floor() * step, (most / step).ceil() * step);
    let last = (rows.len() - 1) as f64;
    let x = |year: usize| left + year as f64 / last * (WIDE - left - right);
    let y = |nzd: f64| HIGH - below - (nzd - bottom) / (top - bottom) * (HIGH - below - above);
    let mut svg = format!(
        "<svg viewBox=\"0 0 {WIDE} {HIGH}\" role=\"img\" aria-label=\"Cash up to the end of each year\" \
         font-family=\"sans-serif\" font-size=\"3\">\n"
    );
    let ticks = ((top - bottom) / step).round() as usize;
    for tick in 0..=ticks {
        let nzd = bottom + tick as f64 * step;
        put(
            &mut svg,
            format_args!(
                "<path d=\"M{left} {:.2}H{}\" stroke=\"#ccc\" stroke-width=\".2\"/><text x=\"{}\" y=\"{:.2}\" \
                 text-anchor=\"end\">{}</text>",
                y(nzd),
                WIDE - right,
                left - 1.5,
                y(nzd) + 1.0,
                dollars(nzd)
            ),
        );
    }
    let every = rows.len().div_ceil(12);
    for row in rows.iter().step_by(every) {
        let name = row.calendar_year.map_or_else(|| row.year.to_string(), |year| year.to_string());
        put(
            &mut svg,
            format_args!(
                "<text x=\"{:.2}\" y=\"{}\" text-anchor=\"middle\">{name}</text>",
                x(row.year),
                HIGH - 4.0
            ),
        );
    }
    let line = |of: fn(&CashRow) -> f64| {
        rows.iter()
            .map(move |row| format!("{:.2},{:.2}", x(row.year), y(of(row))))
            .collect::<Vec<_>>()
    };
    let (low, high) = (line(|row| row.low_sum_nzd), line(|row| row.high_sum_nzd));
    let band: Vec<String> = high.iter().cloned().chain(low.iter().rev().cloned()).collect();
    put(&mut svg, format_args!("<polygon points=\"{}\" fill=\"#ddd\"/>", band.join(" ")));
    put(
        &mut svg,
        format_args!(
            "<path d=\"M{left} {:.2}H{}\" stroke=\"#000\" stroke-width=\".3\"/>",
            y(0.0),
            WIDE - right
        ),
    );
    for (points, style) in [
        (low, "stroke=\"#555\" stroke-width=\".4\" stroke-dasharray=\"1.2 1\""),
        (high, "stroke=\"#555\" stroke-width=\".4\" stroke-dasharray=\"3 1\""),
        (line(|row| row.middle_sum_nzd), "stroke=\"#000\" stroke-width=\".8\""),
    ] {
        put(
            &mut svg,
            format_args!("<polyline points=\"{}\" fill=\"none\" {style}/>", points.join(" ")),
        );
    }
    svg + "</svg>\n"
}

/// What each figure does to the present value: a bar from the one end to the other, the widest on top. Ends at
/// the low value of the figure are open, those at the high value filled.
pub(super) fn swings(rows: &[SensitivityRow], middle_nzd: f64) -> String {
    const BAR: f64 = 6.0;
    const NAMES: f64 = 56.0;
    let right = 8.0;
    let ends = || rows.iter().flat_map(|row| [row.npv_low_nzd, row.npv_high_nzd]);
    let least = ends().fold(middle_nzd, f64::min);
    let most = ends().fold(middle_nzd, f64::max);
    if rows.is_empty() || most <= least {
        return String::new();
    }
    let high = rows.len() as f64 * BAR + 10.0;
    let step = round_step((most - least) / 5.0);
    let (from, to) = ((least / step).floor() * step, (most / step).ceil() * step);
    let x = |nzd: f64| NAMES + (nzd - from) / (to - from) * (WIDE - NAMES - right);
    let mut svg = format!(
        "<svg viewBox=\"0 0 {WIDE} {high}\" role=\"img\" aria-label=\"What moves the present value\" \
         font-family=\"sans-serif\" font-size=\"3\">\n"
    );
    for tick in 0..=((to - from) / step).round() as usize {
        let nzd = from + tick as f64 * step;
        put(
            &mut svg,
            format_args!(
                "<path d=\"M{0:.2} 1V{1}\" stroke=\"#ccc\" stroke-width=\".2\"/><text x=\"{0:.2}\" y=\"{2}\" \
                 text-anchor=\"middle\">{3}</text>",
                x(nzd),
                high - 7.0,
                high - 2.5,
                dollars(nzd)
            ),
        );
    }
    for (at, row) in rows.iter().enumerate() {
        let y = 2.0 + at as f64 * BAR;
        let bar = |from: f64, fill: &str| {
            let (a, b) = (x(from).min(x(middle_nzd)), x(from).max(x(middle_nzd)));
            format!(
                "<rect x=\"{a:.2}\" y=\"{y:.2}\" width=\"{:.2}\" height=\"4\" fill=\"{fill}\" stroke=\"#000\" \
                 stroke-width=\".2\"/>",
                b - a
            )
        };
        put(
            &mut svg,
            format_args!(
                "<text x=\"{}\" y=\"{:.2}\" text-anchor=\"end\">{}</text>{}{}",
                NAMES - 2.0,
                y + 3.0,
                escaped(&shortened(&row.driver)),
                bar(row.npv_low_nzd, "#fff"),
                bar(row.npv_high_nzd, "#777")
            ),
        );
    }
    put(
        &mut svg,
        format_args!(
            "<path d=\"M{0:.2} 0V{1}\" stroke=\"#000\" stroke-width=\".5\"/>",
            x(middle_nzd),
            high - 7.0
        ),
    );
    svg + "</svg>\n"
}

/// A name that fits beside its bar.
fn shortened(name: &str) -> String {
    const LETTERS: usize = 32;
    if name.chars().count() <= LETTERS {
        return name.to_owned();
    }
    name.chars().take(LETTERS - 1).chain(['…']).collect()
}

/// 1, 2 or 5 times a power of ten, not below what is asked for.
fn round_step(least: f64) -> f64 {
    let power = 10.0_f64.powf(least.log10().floor());
    let step = [1.0, 2.0, 5.0].into_iter().find(|step| step * power >= least * (1.0 - 1e-9));
    step.unwrap_or(10.0) * power
}
