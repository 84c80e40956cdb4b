//! Gain against diversity, as a picture inside the page.

use super::mothers::TradeOffRow;
use super::page::whole;
use crate::write::put;

/// Gain in DHA of so many mothers, as a picture.
pub(super) fn curve(rows: &[TradeOffRow]) -> String {
    const SIZE: [f64; 2] = [182.0, 70.0];
    const EDGES: [f64; 4] = [18.0, 8.0, 14.0, 4.0]; // left, right, below, above
    let drawn: Vec<&TradeOffRow> = rows.iter().filter(|row| row.status_number > 0.0).collect();
    if drawn.len() < 2 {
        return String::new();
    }
    let most =
        |of: &dyn Fn(&TradeOffRow) -> f64| drawn.iter().map(|row| of(row)).fold(0.0, f64::max);
    let least = drawn.iter().map(|row| row.gain_dha_mg_per_kg).fold(0.0, f64::min);
    let (wide, high) = (most(&|row| row.status_number), most(&|row| row.gain_dha_mg_per_kg));
    let (step_x, step_y) = (round_step(wide / 6.0), round_step((high - least) / 4.0));
    let top = ((high / step_y).ceil() * step_y).max(step_y);
    let bottom = (least / step_y).floor() * step_y;
    let x = |value: f64| EDGES[0] + value / (wide * 1.03) * (SIZE[0] - EDGES[0] - EDGES[1]);
    let y = |value: f64| {
        SIZE[1] - EDGES[2] - (value - bottom) / (top - bottom) * (SIZE[1] - EDGES[2] - EDGES[3])
    };
    let mut svg = format!(
        "<svg viewBox=\"0 0 {} {}\" role=\"img\" aria-label=\"Gain in nectar DHA by status number\" \
         font-family=\"sans-serif\" font-size=\"3\">\n",
        SIZE[0], SIZE[1]
    );
    let ticks = |from: f64, to: f64, step: f64| {
        let count = ((to - from) / step + 1e-9).floor() as usize;
        (0..=count).map(move |at| from + at as f64 * step)
    };
    for tick in ticks(bottom, top, step_y) {
        put(
            &mut svg,
            format_args!(
                "<path d=\"M{:.2} {:.2}H{:.2}\" stroke=\"#ddd\" stroke-width=\".2\"/><text x=\"{:.2}\" y=\"{:.2}\" text-anchor=\"end\">{}</text>",
                x(0.0),
                y(tick),
                SIZE[0] - EDGES[1],
                x(0.0) - 1.5,
                y(tick) + 1.0,
                whole(tick)
            ),
        );
    }
    for tick in ticks(0.0, wide, step_x) {
        put(
            &mut svg,
            format_args!(
                "<path d=\"M{:.2} {:.2}v1.2\" stroke=\"#333\" stroke-width=\".2\"/><text x=\"{:.2}\" y=\"{:.2}\" text-anchor=\"middle\">{}</text>",
                x(tick),
                y(bottom),
                x(tick),
                y(bottom) + 4.5,
                whole(tick)
            ),
        );
    }
    let points = drawn
        .iter()
        .map(|row| format!("{:.2},{:.2}", x(row.status_number), y(row.gain_dha_mg_per_kg)));
    put(
        &mut svg,
        format_args!(
            "<path d=\"M{:.2} {:.2}H{:.2}\" stroke=\"#333\" stroke-width=\".3\"/>\n<polyline points=\"{}\" fill=\"none\" stroke=\"#3a6b35\" stroke-width=\".5\"/>",
            x(0.0),
            y(bottom),
            SIZE[0] - EDGES[1],
            points.collect::<Vec<_>>().join(" ")
        ),
    );
    for row in &drawn {
        let (radius, fill) = if row.chosen { (1.6, "#3a6b35") } else { (0.9, "#fff") };
        put(
            &mut svg,
            format_args!(
                "<circle cx=\"{:.2}\" cy=\"{:.2}\" r=\"{radius}\" fill=\"{fill}\" stroke=\"#3a6b35\" stroke-width=\".4\"/>",
                x(row.status_number),
                y(row.gain_dha_mg_per_kg)
            ),
        );
        if row.chosen {
            put(
                &mut svg,
                format_args!(
                    "<text x=\"{:.2}\" y=\"{:.2}\" font-weight=\"bold\">{} mothers, chosen</text>",
                    x(row.status_number) + 1.5,
                    y(row.gain_dha_mg_per_kg) - 2.5,
                    row.mothers
                ),
            );
        }
    }
    put(
        &mut svg,
        format_args!(
            "<text x=\"{:.2}\" y=\"{:.2}\" text-anchor=\"middle\">status number: diversity, as so many mothers that give alike</text>\n\
         <text transform=\"translate(4 {:.2}) rotate(-90)\" text-anchor=\"middle\">gain, mg DHA/kg at 80 °Brix</text>\n</svg>",
            f64::midpoint(x(0.0), SIZE[0] - EDGES[1]),
            SIZE[1] - 2.0,
            f64::midpoint(y(bottom), y(top))
        ),
    );
    svg
}

/// 1, 2 or 5 times a power of ten, no less than asked for.
fn round_step(least: f64) -> f64 {
    let power = 10.0_f64.powf(least.max(1e-9).log10().floor());
    [1.0, 2.0, 5.0, 10.0]
        .into_iter()
        .map(|one| one * power)
        .find(|one| *one >= least * (1.0 - 1e-9))
        .unwrap_or(power)
}
