//! Styles for pages: layers in the open `MapLibre` style specification, version 8, and colours as CSS variables.
//!
//! Source: the `MapLibre` style specification (maplibre.org/maplibre-style-spec), layers of type `fill`, `line` and
//! `circle`. Patterns and letters stand in `metadata`, as the format has patterns only as pictures.

use std::fmt::Write;

use crate::class::Class;
use crate::legend::Legend;
use crate::legends::BORDER;
use crate::look::{By, Look, Shape};

/// A style with one source, `layer`, of GeoJSON in the file that is named.
#[must_use]
pub fn style_json(look: &Look, data: &str) -> String {
    let name = json(&look.name);
    let mut layers = Vec::new();
    let colour = colour_of(look);
    let border = json(&BORDER.to_string());
    match look.shape {
        Shape::Point(tenths) => layers.push(format!(
            "    {{\"id\": {name}, \"type\": \"circle\", \"source\": \"layer\", \"paint\": {{\"circle-color\": {colour}, \
             \"circle-radius\": {:.2}, \"circle-stroke-color\": {border}, \"circle-stroke-width\": 0.5}}}}",
            f64::from(tenths) / 20.0 / 0.28
        )),
        Shape::Area => layers.push(format!(
            "    {{\"id\": {name}, \"type\": \"fill\", \"source\": \"layer\", \"paint\": {{\"fill-color\": {colour}}}}}"
        )),
        Shape::Border => {}
    }
    if !matches!(look.shape, Shape::Point(_)) {
        layers.push(format!(
            "    {{\"id\": {}, \"type\": \"line\", \"source\": \"layer\", \"paint\": {{\"line-color\": {border}, \
             \"line-width\": 1}}}}",
            json(&format!("{}_border", look.name))
        ));
    }
    let legend: Vec<String> = look.classes.iter().map(row).collect();
    format!(
        "{{\n  \"version\": 8,\n  \"name\": {},\n  \"metadata\": {{\"legend\": [\n{}\n  ]}},\n  \"sources\": {{\"layer\": \
         {{\"type\": \"geojson\", \"data\": {}}}}},\n  \"layers\": [\n{}\n  ]\n}}\n",
        json(&look.title),
        legend.join(",\n"),
        json(data),
        layers.join(",\n")
    )
}

/// An expression that tells the colour of a feature.
fn colour_of(look: &Look) -> String {
    let colour = |class: &Class| json(&class.colour.to_string());
    let first = look.classes.first().map_or_else(|| json("#000000"), colour);
    match &look.by {
        By::Nothing => first,
        By::Key(field) => {
            let mut text = format!("[\"match\", [\"get\", {}]", json(field));
            for class in &look.classes {
                // writing to a String cannot fail
                let _ = write!(text, ", {}, {}", json(&class.key), colour(class));
            }
            text + ", \"#FFFFFF\"]"
        }
        By::Edges(field, edges) => {
            let mut text = format!("[\"step\", [\"get\", {}], {first}", json(field));
            for (edge, class) in edges.iter().zip(look.classes.iter().skip(1)) {
                let _ = write!(text, ", {edge}, {}", colour(class));
            }
            text + "]"
        }
    }
}

fn row(class: &Class) -> String {
    format!(
        "    {{\"key\": {}, \"label\": {}, \"letter\": {}, \"colour\": \"{}\", \"ink\": \"{}\", \"pattern\": \"{}\", \
         \"hatch\": \"{}\"}}",
        json(&class.key),
        json(&class.label),
        json(&class.letter),
        class.colour,
        class.ink(),
        class.pattern.name(),
        class.hatch()
    )
}

/// Colour, ink and hatch of each class of each legend as variables of a page.
#[must_use]
pub fn css(legends: &[Legend]) -> String {
    let mut page = String::from(":root {\n");
    for legend in legends {
        for class in &legend.classes {
            let name = format!("{}-{}", legend.name, class.key).replace('_', "-").to_lowercase();
            // writing to a String cannot fail
            let _ = writeln!(
                page,
                "  --{name}: {}; --{name}-ink: {}; --{name}-hatch: {};",
                class.colour,
                class.ink(),
                class.hatch()
            );
        }
    }
    page + "}\n"
}

/// A text in JSON (RFC 8259, section 7).
fn json(text: &str) -> String {
    let mut quoted = String::from("\"");
    for letter in text.chars() {
        match letter {
            '"' => quoted += "\\\"",
            '\\' => quoted += "\\\\",
            letter if letter < ' ' => {
                // writing to a String cannot fail
                let _ = write!(quoted, "\\u{:04x}", u32::from(letter));
            }
            letter => quoted.push(letter),
        }
    }
    quoted + "\""
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::look::{cover_pieces, zones};

    #[test]
    fn every_class_has_its_colour_and_its_row() {
        let page = style_json(&zones(), "zones.geojson");
        for class in &zones().classes {
            assert_eq!(page.matches(&class.colour.to_string()).count(), 2, "{}", class.key);
        }
        assert!(
            style_json(&cover_pieces(), "a")
                .contains("[\"step\", [\"get\", \"protected_then\"], \"#FDEFDE\", 0.2,")
        );
    }

    #[test]
    fn a_mark_does_not_end_a_text() {
        assert_eq!(json("a\"\\\n"), "\"a\\\"\\\\\\u000a\"");
    }

    #[test]
    fn variables_are_named_by_legend_and_class() {
        let page = css(&[crate::slope_groups()]);
        assert!(
            page.contains("  --slope-groups-a: #FCF4D1; --slope-groups-a-ink: #000000;"),
            "{page}"
        );
    }
}
