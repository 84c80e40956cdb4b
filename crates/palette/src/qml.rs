//! Styles and renderers as QGIS 3 reads them.
//!
//! Source: the style files and projects that QGIS 3.22 writes and reads; a check with its own library holds these to
//! what it makes of them. Properties stand twice, as `Option` (from 3.20 on) and as `prop` (before).

use std::fmt::Write;

use crate::class::Class;
use crate::colour::Colour;
use crate::legends::{BORDER, PAPER};
use crate::look::{By, Label, Look, Shape};
use crate::pattern::Stroke;
use crate::sld::titled;
use crate::xml::escaped;

/// The document type of styles and projects.
pub const DOCTYPE: &str = "<!DOCTYPE qgis PUBLIC 'http://mrcc.com/qgis.dtd' 'SYSTEM'>\n";
/// The version whose words are used.
pub const VERSION: &str = "3.22.0";

/// The style of a layer as a whole document, the same text each time.
#[must_use]
pub fn qml(look: &Look) -> String {
    format!(
        "{DOCTYPE}<qgis version=\"{VERSION}\" styleCategories=\"Symbology|Labeling\" labelsEnabled=\"{}\">\n{}{}\
         <layerGeometryType>{}</layerGeometryType>\n</qgis>\n",
        u8::from(look.label != Label::None),
        renderer(look),
        labeling(look),
        if is_point(look) { 0 } else { 2 },
    )
}

fn is_point(look: &Look) -> bool {
    matches!(look.shape, Shape::Point(_))
}

/// Only the renderer, to be put into a project.
#[must_use]
pub fn renderer(look: &Look) -> String {
    let mut text = String::new();
    let (kind, more) = match &look.by {
        By::Nothing => ("singleSymbol", String::new()),
        By::Key(field) => ("categorizedSymbol", format!(" attr=\"{}\"", escaped(field))),
        By::Edges(field, _) => (
            "graduatedSymbol",
            format!(" attr=\"{}\" graduatedMethod=\"GraduatedColor\"", escaped(field)),
        ),
    };
    // Blocks of one zone share its polygon: the one with the largest share is drawn last.
    let ordered = u8::from(look.name == "blocks");
    // writing to a String cannot fail
    let _ = writeln!(
        text,
        "<renderer-v2 type=\"{kind}\"{more} symbollevels=\"0\" enableorderby=\"{ordered}\" forceraster=\"0\">"
    );
    match &look.by {
        By::Nothing => {}
        By::Key(_) => {
            text += "<categories>\n";
            for (at, class) in look.classes.iter().enumerate() {
                let (key, label) = (escaped(&class.key), escaped(&titled(class)));
                let _ = writeln!(
                    text,
                    "<category symbol=\"{at}\" value=\"{key}\" label=\"{label}\" render=\"true\" type=\"string\"/>"
                );
            }
            text += "</categories>\n";
        }
        By::Edges(_, edges) => {
            text += "<ranges>\n";
            for (at, class) in look.classes.iter().enumerate() {
                let low = at.checked_sub(1).and_then(|low| edges.get(low)).copied().unwrap_or(0.0);
                let high = edges.get(at).copied().unwrap_or(1.0);
                let label = escaped(&titled(class));
                let _ = writeln!(
                    text,
                    "<range symbol=\"{at}\" lower=\"{low:.6}\" upper=\"{high:.6}\" label=\"{label}\" render=\"true\"/>"
                );
            }
            text += "</ranges>\n";
        }
    }
    text += "<symbols>\n";
    for (at, class) in look.classes.iter().enumerate() {
        text += &symbol(look.shape, at, class);
    }
    text += "</symbols>\n";
    if ordered == 1 {
        text += "<orderby><orderByClause asc=\"1\" nullsFirst=\"1\">\"share\"</orderByClause></orderby>\n";
    }
    text + "</renderer-v2>\n"
}

fn symbol(shape: Shape, at: usize, class: &Class) -> String {
    let (kind, layers) = match shape {
        Shape::Area => {
            let mut layers = simple_fill(class.colour, "solid", 0.26);
            for stroke in class.pattern.strokes() {
                layers += &pattern(class.hatch(), stroke, at);
            }
            ("fill", layers)
        }
        Shape::Border => ("fill", simple_fill(PAPER, "no", 0.5)),
        Shape::Point(tenths) => {
            ("marker", marker(class.colour, f64::from(tenths) / 10.0, Some(BORDER)))
        }
    };
    wrapped(kind, &at.to_string(), &layers)
}

fn wrapped(kind: &str, name: &str, layers: &str) -> String {
    format!(
        "<symbol type=\"{kind}\" name=\"{name}\" alpha=\"1\" clip_to_extent=\"1\" force_rhr=\"0\">\n{layers}</symbol>\n"
    )
}

fn simple_fill(colour: Colour, style: &str, border_mm: f64) -> String {
    layer(
        "SimpleFill",
        &[
            ("color", rgba(colour)),
            ("style", style.to_owned()),
            ("outline_color", rgba(BORDER)),
            ("outline_style", "solid".to_owned()),
            ("outline_width", border_mm.to_string()),
            ("outline_width_unit", "MM".to_owned()),
            ("joinstyle", "round".to_owned()),
        ],
        "",
    )
}

fn pattern(colour: Colour, stroke: Stroke, at: usize) -> String {
    let apart = stroke.apart_mm.to_string();
    let unit = || "MM".to_owned();
    match stroke.angle_deg {
        Some(angle) => {
            let line = layer(
                "SimpleLine",
                &[
                    ("line_color", rgba(colour)),
                    ("line_style", "solid".to_owned()),
                    ("line_width", stroke.width_mm.to_string()),
                    ("line_width_unit", unit()),
                ],
                "",
            );
            layer(
                "LinePatternFill",
                &[
                    ("angle", angle.to_string()),
                    ("distance", apart),
                    ("distance_unit", unit()),
                    ("line_width", stroke.width_mm.to_string()),
                    ("color", rgba(colour)),
                ],
                &wrapped("line", &format!("@{at}@1"), &line),
            )
        }
        None => layer(
            "PointPatternFill",
            &[
                ("distance_x", apart.clone()),
                ("distance_x_unit", unit()),
                ("distance_y", apart),
                ("distance_y_unit", unit()),
                ("displacement_x", (stroke.apart_mm / 2.0).to_string()),
                ("displacement_x_unit", unit()),
            ],
            &wrapped("marker", &format!("@{at}@1"), &marker(colour, stroke.width_mm, None)),
        ),
    }
}

fn marker(colour: Colour, size_mm: f64, border: Option<Colour>) -> String {
    layer(
        "SimpleMarker",
        &[
            ("name", "circle".to_owned()),
            ("color", rgba(colour)),
            ("size", size_mm.to_string()),
            ("size_unit", "MM".to_owned()),
            ("outline_style", if border.is_some() { "solid" } else { "no" }.to_owned()),
            ("outline_color", rgba(border.unwrap_or(colour))),
            ("outline_width", "0.15".to_owned()),
            ("outline_width_unit", "MM".to_owned()),
        ],
        "",
    )
}

fn layer(class: &str, properties: &[(&str, String)], inside: &str) -> String {
    let mut text = format!(
        "<layer class=\"{class}\" enabled=\"1\" pass=\"0\" locked=\"0\">\n<Option type=\"Map\">\n"
    );
    for (name, value) in properties {
        // writing to a String cannot fail
        let _ = writeln!(text, "<Option name=\"{name}\" value=\"{value}\" type=\"QString\"/>");
    }
    text += "</Option>\n";
    for (name, value) in properties {
        let _ = writeln!(text, "<prop k=\"{name}\" v=\"{value}\"/>");
    }
    text + inside + "</layer>\n"
}

fn rgba(colour: Colour) -> String {
    let [r, g, b] = colour.0;
    format!("{r},{g},{b},255")
}

/// Only the labels, to be put into a project; nothing where there are none.
#[must_use]
pub fn labeling(look: &Look) -> String {
    let (words, is_expression) = match look.label {
        Label::None => return String::new(),
        Label::Column(field) => (field.to_owned(), 0),
        Label::Letters(group, size) => {
            let letter = expression(look);
            (
                format!(
                    "concatenate({letter}, group_by:=\"{group}\", concatenator:=' ', order_by:=-\"{size}\")"
                ),
                1,
            )
        }
        Label::Letter => (expression(look), 1),
    };
    // Over the point of an area (1: over a point inside it); beside a point (0).
    let placement = match look.shape {
        Shape::Point(_) => "placement=\"0\" dist=\"1\" distUnits=\"MM\"",
        Shape::Area => "placement=\"1\" quadOffset=\"4\" centroidInside=\"1\" centroidWhole=\"0\"",
        // Below the letter that stands there.
        Shape::Border => {
            "placement=\"1\" quadOffset=\"7\" centroidInside=\"1\" centroidWhole=\"0\" yOffset=\"1.5\""
        }
    };
    // Names of zones would hide the letters of lines on a map of the whole property.
    let scale = if look.shape == Shape::Border {
        " scaleVisibility=\"1\" scaleMin=\"7500\" scaleMax=\"0\""
    } else {
        ""
    };
    format!(
        "<labeling type=\"simple\">\n<settings calloutType=\"simple\">\n<text-style fieldName=\"{}\" \
         isExpression=\"{is_expression}\" fontFamily=\"Arial\" fontSize=\"8\" fontSizeUnit=\"Point\" fontWeight=\"75\" \
         textColor=\"{}\" textOpacity=\"1\">\n<text-buffer bufferDraw=\"1\" bufferSize=\"0.8\" bufferSizeUnits=\"MM\" \
         bufferColor=\"{}\" bufferOpacity=\"1\"/>\n</text-style>\n<placement {placement}/>\n<rendering \
         obstacle=\"0\" displayAll=\"0\" drawLabels=\"1\"{scale}/>\n</settings>\n</labeling>\n",
        escaped(&words),
        rgba(BORDER),
        rgba(PAPER),
    )
}

/// The expression that tells the letter of a feature.
fn expression(look: &Look) -> String {
    match &look.by {
        By::Nothing => look.classes.first().map(|one| text(&one.letter)).unwrap_or_default(),
        By::Key(field) => {
            let cases = look.classes.iter().map(|class| {
                format!("WHEN \"{field}\" = {} THEN {}", text(&class.key), text(&class.letter))
            });
            format!("CASE {} END", cases.collect::<Vec<_>>().join(" "))
        }
        By::Edges(field, edges) => {
            let below = edges.iter().zip(&look.classes).map(|(edge, class)| {
                format!("WHEN \"{field}\" < {edge} THEN {}", text(&class.letter))
            });
            let last = look.classes.last().map(|class| text(&class.letter)).unwrap_or_default();
            format!("CASE {} ELSE {last} END", below.collect::<Vec<_>>().join(" "))
        }
    }
}

/// A text in an expression.
fn text(words: &str) -> String {
    format!("'{}'", words.replace('\\', "\\\\").replace('\'', "\\'"))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::look::{blocks, fixed_looks, plants};

    #[test]
    fn there_is_a_symbol_for_each_class() {
        for look in fixed_looks() {
            let page = qml(&look);
            for at in 0..look.classes.len() {
                assert!(page.contains(&format!("name=\"{at}\" alpha")), "{}: {at}", look.name);
            }
        }
    }

    #[test]
    fn names_with_marks_do_not_break_the_document() {
        let page = qml(&blocks(crate::lines([("a'b\\", "d > \"e\"", "A")])));
        assert!(page.contains("WHEN &quot;stock_id&quot; = 'a\\'b\\\\' THEN 'A'"), "{page}");
        assert!(page.contains("label=\"A: d &gt; &quot;e&quot;\""), "{page}");
    }

    fn of_lines() -> crate::Legend {
        crate::lines([("low", "Low", "A"), ("high", "High", "B")])
    }

    /// Blocks of one zone share its polygon: they are drawn by their share, and one label tells all their letters.
    /// Plants stand apart: by no order, without a word.
    #[test]
    fn blocks_are_drawn_by_their_share_and_plants_are_not() {
        let (of_blocks, of_plants) = (blocks(of_lines()), plants(of_lines()));
        let [page, other] = [&of_blocks, &of_plants].map(renderer);
        assert!(
            page.contains("enableorderby=\"1\"") && page.contains("\"share\"</orderBy"),
            "{page}"
        );
        assert!(
            other.contains("enableorderby=\"0\"") && !other.contains("orderByClause"),
            "{other}"
        );
        let words = labeling(&of_blocks);
        assert!(
            words.contains("concatenate(CASE WHEN") && words.contains("THEN 'B' END"),
            "{words}"
        );
        assert_eq!(labeling(&of_plants), "");
    }

    /// Dots stand like bricks: each row half a distance beside the one before.
    #[test]
    fn dots_of_a_pattern_stand_like_bricks() {
        let stroke = Stroke { angle_deg: None, apart_mm: 3.0, width_mm: 0.5 };
        let dots = pattern(Colour([1, 2, 3]), stroke, 0);
        for (name, value) in [("distance_x", "3"), ("distance_y", "3"), ("displacement_x", "1.5")] {
            assert!(dots.contains(&format!("name=\"{name}\" value=\"{value}\"")), "{name}: {dots}");
        }
    }
}
