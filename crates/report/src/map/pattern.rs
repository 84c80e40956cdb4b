//! What areas are filled with: colours, patterns, stripes.

use std::fmt::Write;

use palette::{Class, Pattern};

/// What a class is filled with: its colour, or its pattern in the sheet.
pub(super) fn paint(sheet: usize, legend: &str, class: &Class) -> String {
    match class.pattern {
        // Tiles of one colour would show their seams.
        Pattern::Plain => class.colour.to_string(),
        _ => format!("url(#{})", fill(sheet, legend, class)),
    }
}

/// Name of the pattern of a class in the sheet.
pub(super) fn fill(sheet: usize, legend: &str, class: &Class) -> String {
    format!("s{sheet}-{legend}-{}", class.letter)
}

/// A pattern of a class: its colour and strokes, as an SVG `pattern`.
pub(super) fn pattern(id: &str, class: &Class) -> String {
    let side = class.pattern.strokes().first().map_or(4.0, |stroke| stroke.apart_mm);
    let turn = class.pattern.strokes().iter().find_map(|stroke| stroke.angle_deg).unwrap_or(0.0);
    let mut svg = format!(
        "<pattern id=\"{id}\" width=\"{side}\" height=\"{side}\" patternUnits=\"userSpaceOnUse\" \
         patternTransform=\"rotate({})\"><rect width=\"{side}\" height=\"{side}\" fill=\"{}\"/>",
        -turn, class.colour
    );
    let ink = class.hatch();
    for stroke in class.pattern.strokes() {
        // Writing to a String cannot fail.
        let _ = match stroke.angle_deg {
            None => write!(
                svg,
                "<circle cx=\"{0}\" cy=\"{0}\" r=\"{1}\" fill=\"{ink}\"/>",
                side / 2.0,
                stroke.width_mm / 2.0
            ),
            // The first family lies level in the turned pattern, a second one across it.
            Some(angle) => {
                let is_first = (angle - turn).abs() < 1e-9;
                let middle = side / 2.0;
                let path = if is_first {
                    format!("M0 {middle}h{side}")
                } else {
                    format!("M{middle} 0v{side}")
                };
                write!(
                    svg,
                    "<path d=\"{path}\" stroke=\"{ink}\" stroke-width=\"{}\"/>",
                    stroke.width_mm
                )
            }
        };
    }
    svg + "</pattern>\n"
}

/// Two or more lines in one zone: stripes by share.
pub(super) fn stripes(id: &str, parts: &[(&Class, f64)]) -> String {
    const SIDE: f64 = 5.0;
    // As long as a sheet, so that no seam of a tile crosses a stripe.
    const LONG: f64 = 600.0;
    let mut svg = format!(
        "<pattern id=\"{id}\" width=\"{SIDE}\" height=\"{LONG}\" patternUnits=\"userSpaceOnUse\" \
         patternTransform=\"rotate(20)\">"
    );
    let all: f64 = parts.iter().map(|(_, share)| share).sum();
    let mut left = 0.0;
    for (class, share) in parts {
        let wide = share / all * SIDE;
        // Writing to a String cannot fail.
        let _ = write!(
            svg,
            "<rect x=\"{left:.3}\" width=\"{wide:.3}\" height=\"{LONG}\" fill=\"{}\"/>",
            class.colour
        );
        left += wide;
    }
    svg + "</pattern>\n"
}
