//! `plan.kml`: every layer as a folder, with its columns.
//!
//! Source: OGC 07-147r2, "OGC KML", version 2.2: longitude first on WGS 84, shells against the clock, colours as
//! alpha, blue, green, red.

use std::collections::BTreeMap;
use std::fmt::Write;
use std::path::Path;

use palette::escaped;

use super::globe::{Globe, ellipsoid_ha};
use super::read_back::{differs, read_file};
use super::record::FileRecord;
use super::told::Told;
use super::{Out, PLAN_KML, layer_record, sizes, sum_of};
use crate::plan::{LayerRow, PlanLayer, PlanLayers, Shape};
use crate::problem::Problem;
use crate::write::{Kind, Value};

/// How much of a colour covers what lies beneath, hexadecimal.
const FILL_ALPHA: &str = "80";
/// Largest difference of areas that were read back, as a part of them: the reader rounds nothing.
const AREA_TOLERANCE: f64 = 1e-9;

/// Writes the file, reads it back, and notes it.
///
/// # Errors
/// When the disk refuses, or what is read back differs.
pub(super) fn write(
    read: &PlanLayers,
    globe: &Globe,
    told: &Told,
    out: &mut Out,
) -> Result<(), Problem> {
    out.folder.write(PLAN_KML, page(read, globe, told).as_bytes())?;
    let mut record = None;
    out.folder.make(PLAN_KML, |path| {
        record = Some(check(path, read, globe)?);
        Ok(())
    })?;
    out.files.extend(record);
    Ok(())
}

fn page(read: &PlanLayers, globe: &Globe, told: &Told) -> String {
    let mut page = String::from(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<kml xmlns=\"http://www.opengis.net/kml/2.2\">\n<Document>\n",
    );
    let lines = told.lines();
    // writing to a String cannot fail
    let _ = writeln!(page, "<name>{}</name>", escaped(&told.site));
    put_styles(&mut page, &lines);
    for layer in &read.layers {
        put_schema(&mut page, layer);
    }
    for (at, layer) in read.layers.iter().enumerate() {
        let _ = writeln!(page, "<Folder>\n<name>{}</name>", layer.name);
        for (number, (row, shape)) in layer.rows.iter().zip(globe.layer(at)).enumerate() {
            put_placemark(&mut page, layer, row, shape, (number, &lines));
        }
        page += "</Folder>\n";
    }
    page + "</Document>\n</kml>\n"
}

/// A style for each planted line, in the colour of its cards.
fn put_styles(page: &mut String, lines: &BTreeMap<&str, (&str, &str)>) {
    for (number, (colour, _)) in lines.values().enumerate() {
        let [red, green, blue] = parts(colour);
        let _ = writeln!(
            page,
            "<Style id=\"line_{number}\"><LineStyle><color>ff{blue}{green}{red}</color><width>1</width></LineStyle>\
             <PolyStyle><color>{FILL_ALPHA}{blue}{green}{red}</color></PolyStyle></Style>"
        );
    }
    page.push_str(
        "<Style id=\"outline\"><LineStyle><color>ff000000</color><width>1</width></LineStyle>\
         <PolyStyle><fill>0</fill></PolyStyle></Style>\n",
    );
}

/// Red, green and blue of `#RRGGBB`; black for anything else.
fn parts(colour: &str) -> [&str; 3] {
    let hex = colour
        .strip_prefix('#')
        .filter(|hex| hex.len() == 6 && hex.bytes().all(|b| b.is_ascii_hexdigit()));
    let part = |from: usize| hex.and_then(|hex| hex.get(from..from + 2)).unwrap_or("00");
    [part(0), part(2), part(4)]
}

/// Names and types of a layer's columns.
fn put_schema(page: &mut String, layer: &PlanLayer) {
    let _ = writeln!(page, "<Schema name=\"{0}\" id=\"{0}_columns\">", layer.name);
    for (name, kind) in &layer.fields {
        // KML has no whole numbers of more than 32 bits; a double holds those of 53.
        let kind = if *kind == Kind::Text { "string" } else { "double" };
        let _ = writeln!(page, "<SimpleField type=\"{kind}\" name=\"{name}\"></SimpleField>");
    }
    page.push_str("</Schema>\n");
}

fn put_placemark(
    page: &mut String,
    layer: &PlanLayer,
    row: &LayerRow,
    shape: &Shape,
    (number, lines): (usize, &BTreeMap<&str, (&str, &str)>),
) {
    let stock = layer.text(row, "stock_id");
    let style = lines.keys().position(|line| *line == stock);
    let style = style.map_or_else(|| "outline".to_owned(), |number| format!("line_{number}"));
    let _ = write!(page, "<Placemark><name>{}</name>", escaped(&name(layer, row, number)));
    let about = about(layer, row, lines);
    if !about.is_empty() {
        let _ = write!(page, "<description>{}</description>", escaped(&about));
    }
    let _ = write!(
        page,
        "<styleUrl>#{style}</styleUrl><ExtendedData><SchemaData schemaUrl=\"#{}_columns\">",
        layer.name
    );
    for ((name, _), value) in layer.fields.iter().zip(&row.values) {
        // What is not known is left out; an empty text is kept.
        let words = match value {
            Value::Null => continue,
            Value::Text(text) => escaped(text),
            Value::Integer(count) => count.to_string(),
            Value::Real(number) => number.to_string(),
        };
        let _ = write!(page, "<SimpleData name=\"{name}\">{words}</SimpleData>");
    }
    page.push_str("</SchemaData></ExtendedData>");
    put_shape(page, shape);
    page.push_str("</Placemark>\n");
}

/// What a row is called: its own name, or its layer and number.
fn name(layer: &PlanLayer, row: &LayerRow, number: usize) -> String {
    match layer.text(row, layer.id) {
        "" => format!("{} {}", layer.name, number + 1),
        id => id.to_owned(),
    }
}

/// A row in a sentence.
fn about(layer: &PlanLayer, row: &LayerRow, lines: &BTreeMap<&str, (&str, &str)>) -> String {
    let hectares = layer.number(row, "plan_area_ha").map(|area| format!("{area:.2} ha of map"));
    let line = lines.get(layer.text(row, "stock_id")).map(|(_, name)| (*name).to_owned());
    let plants = layer.number(row, "seedlings").map(|count| format!("{count:.0} plants"));
    let words = ["cover", "reason"].map(|column| layer.text(row, column).to_owned());
    let parts = [line, plants, hectares].into_iter().flatten().chain(words);
    parts.filter(|part| !part.is_empty()).collect::<Vec<_>>().join("; ")
}

fn put_shape(page: &mut String, shape: &Shape) {
    match shape {
        Shape::Place([lon, lat]) => {
            let _ = write!(page, "<Point><coordinates>{lon:.7},{lat:.7}</coordinates></Point>");
        }
        Shape::Area(area) => {
            page.push_str("<MultiGeometry>");
            for polygon in area {
                page.push_str("<Polygon><outerBoundaryIs>");
                put_ring(page, polygon.exterior());
                page.push_str("</outerBoundaryIs>");
                for hole in polygon.interiors() {
                    page.push_str("<innerBoundaryIs>");
                    put_ring(page, hole);
                    page.push_str("</innerBoundaryIs>");
                }
                page.push_str("</Polygon>");
            }
            page.push_str("</MultiGeometry>");
        }
    }
}

fn put_ring(page: &mut String, ring: &geo::LineString<f64>) {
    page.push_str("<LinearRing><coordinates>");
    for (at, corner) in ring.coords().enumerate() {
        let _ = write!(page, "{}{:.7},{:.7}", if at == 0 { "" } else { " " }, corner.x, corner.y);
    }
    page.push_str("</coordinates></LinearRing>");
}

/// Holds the file against the layers: folders, names in order, and areas on the ellipsoid.
fn check(path: &Path, read: &PlanLayers, globe: &Globe) -> Result<FileRecord, Problem> {
    let found = read_file(path, None)?;
    let mut layers = Vec::new();
    for (at, (name, expected)) in sizes(read).enumerate() {
        // A reader may leave out a folder without anything in it.
        let rows =
            found.iter().find(|layer| layer.name == name).map_or(&[][..], |layer| &layer.rows);
        if rows.len() != expected {
            return Err(differs(
                path,
                name,
                &format!("{} features", rows.len()),
                &format!("{expected} features"),
            ));
        }
        let areas =
            [ellipsoid_ha(rows.iter().map(|row| &row.shape)), ellipsoid_ha(globe.layer(at))];
        if let [Some(area), Some(wanted)] = areas
            && (area - wanted).abs() > AREA_TOLERANCE * wanted
        {
            return Err(differs(path, name, &format!("{area} ha"), &format!("{wanted} ha")));
        }
        layers.push(layer_record(name, rows.len(), (None, areas[0])));
    }
    Ok(FileRecord { file: PLAN_KML.into(), format: "kml", sha256: sum_of(path)?, layers })
}
