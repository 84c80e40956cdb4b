//! The chart of a season: weeks across, lines and bands of height down, flying hours above.

use palette::escaped;

use super::rows::{BandRow, Season, YearWeekRow};
use crate::write::put;

/// Width of the labels, of a week and of the whole, in units of the drawing.
const LABEL: f64 = 250.0;
const WEEK: f64 = 14.0;
const WIDE: f64 = LABEL + 52.0 * WEEK + 12.0;
/// Height of the strip of hours, and of a row.
const STRIP: f64 = 90.0;
const ROW: f64 = 22.0;
/// Top of the strip, below the names of the months.
const TOP: f64 = 26.0;
/// Longest name of a line that is shown whole, letters.
const LONGEST: usize = 22;

const MONTHS: [&str; 12] =
    ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"];

/// The chart as an SVG that stands in a page.
pub(super) fn chart(season: &Season) -> String {
    let rows = rows(&season.bands);
    let bottom = TOP + STRIP + 30.0 + ROW * rows.len() as f64;
    let high = bottom + 50.0;
    let mut svg = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {WIDE} {high}\" role=\"img\" \
         font-family=\"sans-serif\" font-size=\"12\">\n<title>Bloom of each line by week, and hours in which bees \
         fly</title>\n<defs><pattern id=\"no\" width=\"5\" height=\"5\" patternUnits=\"userSpaceOnUse\"><rect width=\"5\" \
         height=\"5\" fill=\"#fff\"/><path d=\"M0 5L5 0\" stroke=\"#000\" stroke-width=\"1\"/></pattern></defs>\n"
    );
    months(&mut svg, &season.year, bottom);
    strip(&mut svg, &season.year);
    for (at, (label, weeks)) in rows.iter().enumerate() {
        row(&mut svg, TOP + STRIP + 30.0 + ROW * at as f64, label, weeks);
    }
    legend(&mut svg, bottom + 22.0);
    svg + "</svg>\n"
}

/// Each line and band with its weeks, in order.
fn rows(bands: &[BandRow]) -> Vec<(String, Vec<&BandRow>)> {
    let same = |a: &BandRow, b: &BandRow| {
        a.stock_id == b.stock_id && a.from_m.to_bits() == b.from_m.to_bits()
    };
    let of_band = |weeks: &[&BandRow]| {
        let name: String = if weeks[0].stock_name.chars().count() > LONGEST {
            weeks[0].stock_name.chars().take(LONGEST - 1).chain(['…']).collect()
        } else {
            weeks[0].stock_name.clone()
        };
        format!("{name}, {:.0}–{:.0} m", weeks[0].from_m, weeks[0].to_m)
    };
    let all: Vec<&BandRow> = bands.iter().collect();
    all.chunk_by(|a, b| same(a, b)).map(|weeks| (of_band(weeks), weeks.to_vec())).collect()
}

/// Left edge of a week, from 1.
fn left(week: usize) -> f64 {
    LABEL + (week as f64 - 1.0) * WEEK
}

/// A line where each month begins, and its name.
fn months(svg: &mut String, year: &[YearWeekRow], bottom: f64) {
    let month = |day: &str| day.get(..2).and_then(|month| month.parse::<usize>().ok());
    let mut before = None;
    for week in year {
        let own = month(&week.first_day);
        if own != before {
            let (x, end) = (left(week.week), bottom);
            put(
                svg,
                format_args!(
                    "<line x1=\"{x}\" y1=\"{}\" x2=\"{x}\" y2=\"{end}\" stroke=\"#bbb\" stroke-width=\"1\"/>",
                    TOP - 20.0
                ),
            );
            if let Some(name) = own.and_then(|own| MONTHS.get(own.wrapping_sub(1))) {
                put(svg, format_args!("<text x=\"{}\" y=\"{}\">{name}</text>", x + 3.0, TOP - 9.0));
            }
        }
        before = own;
    }
}

/// Hours of daylight, of flight and of flow a day, week by week.
fn strip(svg: &mut String, year: &[YearWeekRow]) {
    let base = TOP + STRIP;
    let scale = STRIP / 18.0; // hours a day, more than the longest day of settled latitudes
    for (y, text) in
        [(base - 62.0, "Hours a day at the mean height"), (base - 46.0, "of the planted ground:")]
    {
        put(svg, format_args!("<text x=\"0\" y=\"{y}\">{text}</text>"));
    }
    for (y, fill, text) in [
        (base - 30.0, "#fff", "daylight"),
        (base - 14.0, "#aaa", "bees fly"),
        (base + 2.0, "#222", "and nectar flows well"),
    ] {
        put(
            svg,
            format_args!(
                "<rect x=\"0\" y=\"{}\" width=\"11\" height=\"11\" fill=\"{fill}\" stroke=\"#000\" \
                 stroke-width=\".7\"/><text x=\"17\" y=\"{y}\">{text}</text>",
                y - 10.0
            ),
        );
    }
    for hours in [0.0, 6.0, 12.0] {
        let y = base - hours * scale;
        put(
            svg,
            format_args!(
                "<line x1=\"{LABEL}\" y1=\"{y}\" x2=\"{}\" y2=\"{y}\" stroke=\"#ddd\" stroke-width=\"1\"/>\
                 <text x=\"{}\" y=\"{}\" text-anchor=\"end\">{hours} h</text>",
                WIDE - 12.0,
                LABEL - 5.0,
                y + 4.0
            ),
        );
    }
    for week in year {
        let days = if week.week == 52 { 8.0 } else { 7.0 };
        for (hours, fill) in
            [(week.daylight_hours, "#fff"), (week.flying_hours, "#aaa"), (week.flow_hours, "#222")]
        {
            let high = hours / days * scale;
            put(
                svg,
                format_args!(
                    "<rect x=\"{:.1}\" y=\"{:.1}\" width=\"{:.1}\" height=\"{high:.1}\" fill=\"{fill}\" \
                     stroke=\"#000\" stroke-width=\".5\"/>",
                    left(week.week) + 1.0,
                    base - high,
                    WEEK - 2.0
                ),
            );
        }
    }
}

/// A line in a band: as high as the share in flower, dark with flying weather and hatched without.
fn row(svg: &mut String, y: f64, label: &str, weeks: &[&BandRow]) {
    let (base, full) = (y + ROW - 3.0, ROW - 6.0);
    put(svg, format_args!("<text x=\"0\" y=\"{}\">{}</text>", base - 3.0, escaped(label)));
    put(
        svg,
        format_args!(
            "<line x1=\"{LABEL}\" y1=\"{base}\" x2=\"{}\" y2=\"{base}\" stroke=\"#999\" stroke-width=\"1\"/>",
            WIDE - 12.0
        ),
    );
    for week in weeks {
        let x = left(week.week);
        let flying = full * week.flying_share.min(week.bloom_share);
        let all = full * week.bloom_share;
        for (low, high, fill) in [(0.0, flying, "#333"), (flying, all, "url(#no)")] {
            if high - low > 0.05 {
                put(
                    svg,
                    format_args!(
                        "<rect x=\"{:.1}\" y=\"{:.1}\" width=\"{WEEK:.1}\" height=\"{:.1}\" fill=\"{fill}\" \
                         stroke=\"#000\" stroke-width=\".5\"/>",
                        x,
                        base - high,
                        high - low
                    ),
                );
            }
        }
    }
}

fn legend(svg: &mut String, y: f64) {
    for (x, fill, text) in [
        (LABEL, "#333", "in flower, bees fly"),
        (LABEL + 170.0, "url(#no)", "in flower, no flying weather"),
    ] {
        put(
            svg,
            format_args!(
                "<rect x=\"{x}\" y=\"{}\" width=\"14\" height=\"12\" fill=\"{fill}\" stroke=\"#000\" \
                 stroke-width=\".7\"/><text x=\"{}\" y=\"{y}\">{text}</text>",
                y - 11.0,
                x + 20.0
            ),
        );
    }
    put(
        svg,
        format_args!(
            "<text x=\"{}\" y=\"{y}\">height of a bar: share of the line's plants and days</text>",
            LABEL + 395.0
        ),
    );
}
