//! Styles that any package with the open standard reads.
//!
//! Sources: Open Geospatial Consortium 05-078r4, Styled Layer Descriptor 1.1.0; 05-077r4, Symbology Encoding 1.1.0;
//! 04-095, Filter Encoding 1.1.0.
//!
//! A pattern is a fill of marks over the fill of colour. The standard's own marks are square, circle, triangle, star,
//! cross and x; the names for single lines (`line`, `horline`, `slash`, `backslash`) are widely read, and a reader
//! without them still has colour, letter and border.

use std::fmt::Write;

use crate::class::Class;
use crate::colour::Colour;
use crate::legends::{BORDER, PAPER};
use crate::look::{By, Label, Look, Shape};
use crate::pattern::Pattern;
use crate::xml::escaped;

/// Pixels in a millimetre: the standard's pixel is 0.28 mm.
const PER_MM: f64 = 1.0 / 0.28;

/// The style of a layer as a whole document, the same text each time.
#[must_use]
pub fn sld(look: &Look) -> String {
    let name = escaped(&look.name);
    let mut page = format!(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<StyledLayerDescriptor version=\"1.1.0\" \
         xmlns=\"http://www.opengis.net/sld\" xmlns:se=\"http://www.opengis.net/se\" \
         xmlns:ogc=\"http://www.opengis.net/ogc\">\n<NamedLayer>\n<se:Name>{name}</se:Name>\n<UserStyle>\n\
         <se:Name>{name}</se:Name>\n<se:FeatureTypeStyle>\n"
    );
    for (at, class) in look.classes.iter().enumerate() {
        page += &rule(look, at, class);
    }
    page + "</se:FeatureTypeStyle>\n</UserStyle>\n</NamedLayer>\n</StyledLayerDescriptor>\n"
}

fn rule(look: &Look, at: usize, class: &Class) -> String {
    let mut rule = format!(
        "<se:Rule>\n<se:Name>{}</se:Name>\n<se:Description><se:Title>{}</se:Title></se:Description>\n",
        escaped(&class.key),
        escaped(&titled(class)),
    );
    rule += &filter(&look.by, at, class);
    match look.shape {
        Shape::Area => {
            let _ = write!(
                rule,
                "<se:PolygonSymbolizer>\n<se:Fill>{}</se:Fill>\n{}</se:PolygonSymbolizer>\n",
                parameter("fill", class.colour),
                border(0.26),
            );
            rule += &hatch(class);
        }
        Shape::Border => {
            let _ =
                write!(rule, "<se:PolygonSymbolizer>\n{}</se:PolygonSymbolizer>\n", border(0.5));
        }
        Shape::Point(tenths) => {
            let _ = write!(
                rule,
                "<se:PointSymbolizer>\n<se:Graphic>\n<se:Mark>\n<se:WellKnownName>circle</se:WellKnownName>\n\
                 <se:Fill>{}</se:Fill>\n{}</se:Mark>\n<se:Size>{:.2}</se:Size>\n</se:Graphic>\n</se:PointSymbolizer>\n",
                parameter("fill", class.colour),
                border(0.15),
                f64::from(tenths) / 10.0 * PER_MM,
            );
        }
    }
    rule += &label(look, class);
    rule + "</se:Rule>\n"
}

/// Letter and words.
pub(crate) fn titled(class: &Class) -> String {
    format!("{}: {}", class.letter, class.label)
}

fn filter(by: &By, at: usize, class: &Class) -> String {
    let test = |name: &str, field: &str, value: &str| {
        format!(
            "<ogc:{name}><ogc:PropertyName>{}</ogc:PropertyName><ogc:Literal>{}</ogc:Literal></ogc:{name}>",
            escaped(field),
            escaped(value)
        )
    };
    let inside = match by {
        By::Nothing => return String::new(),
        By::Key(field) => test("PropertyIsEqualTo", field, &class.key),
        By::Edges(field, edges) => {
            let from = at.checked_sub(1).and_then(|low| edges.get(low));
            let from =
                from.map(|low| test("PropertyIsGreaterThanOrEqualTo", field, &low.to_string()));
            let below =
                edges.get(at).map(|high| test("PropertyIsLessThan", field, &high.to_string()));
            match (from, below) {
                (Some(from), Some(below)) => format!("<ogc:And>{from}{below}</ogc:And>"),
                (from, below) => from.or(below).unwrap_or_default(),
            }
        }
    };
    format!("<ogc:Filter>{inside}</ogc:Filter>\n")
}

fn hatch(class: &Class) -> String {
    let mark = match class.pattern {
        Pattern::Plain => return String::new(),
        Pattern::Rising | Pattern::Dense => "slash",
        Pattern::Falling => "backslash",
        Pattern::Level => "horline",
        Pattern::Upright => "line",
        Pattern::Squared => "cross",
        Pattern::Crossed => "x",
        Pattern::Dotted => "circle",
    };
    let Some(stroke) = class.pattern.strokes().into_iter().next() else { return String::new() };
    let (drawn, size) = if class.pattern == Pattern::Dotted {
        // A dot is as large as it is wide; how far apart dots stand is for the reader.
        (format!("<se:Fill>{}</se:Fill>", parameter("fill", class.hatch())), stroke.apart_mm)
    } else {
        (line(class.hatch(), stroke.width_mm), stroke.apart_mm)
    };
    format!(
        "<se:PolygonSymbolizer>\n<se:Fill><se:GraphicFill><se:Graphic><se:Mark>\
         <se:WellKnownName>{mark}</se:WellKnownName>{drawn}</se:Mark><se:Size>{:.2}</se:Size></se:Graphic>\
         </se:GraphicFill></se:Fill>\n</se:PolygonSymbolizer>\n",
        size * PER_MM
    )
}

fn label(look: &Look, class: &Class) -> String {
    let words = match look.label {
        Label::None => return String::new(),
        Label::Letter | Label::Letters(..) => {
            format!("<ogc:Literal>{}</ogc:Literal>", escaped(&class.letter))
        }
        Label::Column(field) => format!("<ogc:PropertyName>{}</ogc:PropertyName>", escaped(field)),
    };
    let mut text = format!("<se:TextSymbolizer>\n<se:Label>{words}</se:Label>\n<se:Font>");
    for (name, value) in [("font-family", "Arial"), ("font-size", "10"), ("font-weight", "bold")] {
        // writing to a String cannot fail
        let _ = write!(text, "<se:SvgParameter name=\"{name}\">{value}</se:SvgParameter>");
    }
    text += "</se:Font>\n";
    if let Shape::Point(_) = look.shape {
        text += "<se:LabelPlacement><se:PointPlacement><se:Displacement><se:DisplacementX>8</se:DisplacementX>\
                 <se:DisplacementY>8</se:DisplacementY></se:Displacement></se:PointPlacement></se:LabelPlacement>\n";
    }
    let _ = write!(
        text,
        "<se:Halo><se:Radius>2</se:Radius><se:Fill>{}</se:Fill></se:Halo>\n<se:Fill>{}</se:Fill>\n",
        parameter("fill", PAPER),
        parameter("fill", BORDER)
    );
    text + "</se:TextSymbolizer>\n"
}

fn border(width_mm: f64) -> String {
    line(BORDER, width_mm) + "\n"
}

fn line(colour: Colour, width_mm: f64) -> String {
    format!(
        "<se:Stroke>{}<se:SvgParameter name=\"stroke-width\">{:.2}</se:SvgParameter></se:Stroke>",
        parameter("stroke", colour),
        width_mm * PER_MM
    )
}

fn parameter(name: &str, colour: Colour) -> String {
    format!("<se:SvgParameter name=\"{name}\">{colour}</se:SvgParameter>")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::look::{cover_pieces, fixed_looks, plants, zones};

    #[test]
    fn there_is_a_rule_for_each_class_with_its_colour_and_words() {
        for look in fixed_looks() {
            let page = sld(&look);
            assert_eq!(page.matches("<se:Rule>").count(), look.classes.len(), "{}", look.name);
            if look.shape == Shape::Border {
                continue;
            }
            for class in &look.classes {
                assert!(page.contains(&class.colour.to_string()) && page.contains(&titled(class)));
            }
        }
    }

    #[test]
    fn bands_leave_no_share_out_and_none_twice() {
        let page = sld(&cover_pieces());
        assert_eq!(page.matches("PropertyIsLessThan>").count(), 8); // four, opened and closed
        assert_eq!(page.matches("PropertyIsGreaterThanOrEqualTo>").count(), 8);
    }

    #[test]
    fn names_with_marks_do_not_break_the_document() {
        let legend = crate::lines([("a<b & \"c\"", "d > e", "A")]);
        let page = sld(&plants(legend));
        assert!(page.contains("<ogc:Literal>a&lt;b &amp; &quot;c&quot;</ogc:Literal>"), "{page}");
        assert!(sld(&zones()).contains("<ogc:Literal>G</ogc:Literal>"));
    }
}
