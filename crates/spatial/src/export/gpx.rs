//! `plan.gpx`: drop points as way points, outlines of zones as tracks, for receivers in the field.
//!
//! Source: Foster 2004, GPX 1.1, the GPS Exchange Format (schema at topografix.com/GPX/1/1).

use std::fmt::Write;
use std::path::Path;

use gdal::vector::LayerAccess;
use geo::{GeodesicArea, Geometry, LineString, MultiPolygon, Polygon};
use palette::escaped;

use super::globe::{Globe, degrees, ellipsoid_ha};
use super::read_back::{differs, open};
use super::record::FileRecord;
use super::told::{Card, Told};
use super::{Out, PLAN_GPX, layer_record, sum_of};
use crate::plan::{PlanLayer, PlanLayers, Shape};
use crate::problem::Problem;
use crate::units::{M2_PER_HA, thousands};
use crate::write::gdal_problem;
use crate::zones::rings;

/// Largest difference of areas that were read back, as a part of them.
const AREA_TOLERANCE: f64 = 1e-9;
/// The way points in the record.
const DROP_POINTS: &str = "drop_points";

/// Writes the file, reads it back, and notes it.
///
/// # Errors
/// When a drop point has no place on the globe, the disk refuses, or what is read back differs.
pub(super) fn write(
    read: &PlanLayers,
    globe: &Globe,
    told: &Told,
    out: &mut Out,
) -> Result<(), Problem> {
    let Some(zones) = read.find("zones") else { return Ok(()) };
    let at = read.layers.iter().position(|layer| layer.name == zones.name).unwrap_or_default();
    let outlines = globe.layer(at);
    let drops = drops(read, told)?;
    out.folder.write(PLAN_GPX, page(zones, outlines, &drops).as_bytes())?;
    let mut record = None;
    out.folder.make(PLAN_GPX, |path| {
        record = Some(check(path, outlines, drops.len())?);
        Ok(())
    })?;
    out.files.extend(record);
    Ok(())
}

/// Where the plants of a zone are set down.
struct Drop<'a> {
    zone_id: &'a str,
    at: [f64; 2],
    about: String,
}

/// The drop point of each zone that has one, in the order of the cards.
fn drops<'a>(read: &PlanLayers, told: &'a Told) -> Result<Vec<Drop<'a>>, Problem> {
    let mut of_zones: Vec<(&Card, Vec<&Card>)> = Vec::new();
    for card in told.cards.iter().filter(|card| card.drop_east_m.is_some()) {
        match of_zones.last_mut() {
            Some((first, cards)) if first.zone_id == card.zone_id => cards.push(card),
            _ => of_zones.push((card, vec![card])),
        }
    }
    let places =
        of_zones.iter().filter_map(|(card, _)| card.drop_east_m.zip(card.drop_north_m)).collect();
    let places = degrees(read, places)?;
    let drop = |((card, cards), at): ((&'a Card, Vec<&Card>), [f64; 2])| {
        let boxes = |card: &Card| {
            card.boxes.map_or_else(String::new, |boxes| format!(" in {} boxes", thousands(boxes)))
        };
        let line = |card: &&Card| {
            let winter = card.season.map_or_else(String::new, |year| format!(" for winter {year}"));
            format!(
                "{} {}: {} plants{}{winter}",
                card.letter,
                card.stock_name,
                thousands(card.order_qty),
                boxes(card)
            )
        };
        let hazards = Some(card.hazards.clone()).filter(|words| !words.is_empty());
        let caution = "a place on the map: look at the way in on foot first".to_owned();
        let words = cards.iter().map(line).chain(hazards).chain([caution]);
        Drop { zone_id: &card.zone_id, at, about: words.collect::<Vec<_>>().join("; ") }
    };
    Ok(of_zones.into_iter().zip(places).map(drop).collect())
}

fn page(zones: &PlanLayer, outlines: &[Shape], drops: &[Drop<'_>]) -> String {
    let mut page = String::from(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<gpx version=\"1.1\" creator=\"hillweave\" \
         xmlns=\"http://www.topografix.com/GPX/1/1\">\n",
    );
    for Drop { zone_id, at: [lon, lat], about } in drops {
        // writing to a String cannot fail
        let _ = writeln!(
            page,
            "<wpt lat=\"{lat:.7}\" lon=\"{lon:.7}\"><name>{}</name><desc>{}</desc></wpt>",
            escaped(zone_id),
            escaped(about)
        );
    }
    for (row, outline) in zones.rows.iter().zip(outlines) {
        let Shape::Area(area) = outline else { continue };
        let hectares = zones.number(row, "plan_area_ha").unwrap_or_default();
        let _ = write!(
            page,
            "<trk><name>{}</name><desc>{hectares:.2} ha of map</desc>",
            escaped(zones.text(row, zones.id))
        );
        for ring in area.iter().flat_map(rings) {
            page.push_str("<trkseg>");
            for corner in ring.coords() {
                let _ =
                    write!(page, "<trkpt lat=\"{:.7}\" lon=\"{:.7}\"></trkpt>", corner.y, corner.x);
            }
            page.push_str("</trkseg>");
        }
        page.push_str("</trk>\n");
    }
    page + "</gpx>\n"
}

/// Holds the file against what was written: way points, tracks, and the area that their rings enclose.
fn check(path: &Path, outlines: &[Shape], drops: usize) -> Result<FileRecord, Problem> {
    let refused = |error| gdal_problem(path, "reading back", &error);
    let dataset = open(path, None).map_err(refused)?;
    let points = dataset.layer_by_name("waypoints").map_err(refused)?.feature_count();
    if points != drops as u64 {
        return Err(differs(
            path,
            DROP_POINTS,
            &format!("{points} way points"),
            &format!("{drops} way points"),
        ));
    }
    let mut tracks = dataset.layer_by_name("tracks").map_err(refused)?;
    let mut areas = Vec::new();
    for track in tracks.features() {
        let lines = match track.geometry().and_then(|lines| lines.to_geo().ok()) {
            Some(Geometry::MultiLineString(lines)) => lines.0,
            Some(Geometry::LineString(line)) => vec![line],
            _ => return Err(differs(path, "zones", "a track without lines", "its rings")),
        };
        areas.push(enclosed_ha(lines));
    }
    if areas.len() != outlines.len() {
        return Err(differs(
            path,
            "zones",
            &format!("{} tracks", areas.len()),
            &format!("{} tracks", outlines.len()),
        ));
    }
    for (area, outline) in areas.iter().zip(outlines) {
        let wanted = ellipsoid_ha([outline]).unwrap_or_default();
        if (area - wanted).abs() > AREA_TOLERANCE * wanted {
            return Err(differs(path, "zones", &format!("{area} ha"), &format!("{wanted} ha")));
        }
    }
    let area = (!areas.is_empty()).then(|| areas.iter().sum());
    let layers = vec![
        layer_record(DROP_POINTS, drops, (None, None)),
        layer_record("zones", areas.len(), (None, area)),
    ];
    Ok(FileRecord { file: PLAN_GPX.into(), format: "gpx", sha256: sum_of(path)?, layers })
}

/// Hectares that rings enclose: shells run against the clock and add, holes run with it and take away.
fn enclosed_ha(lines: Vec<LineString<f64>>) -> f64 {
    let rings = lines.into_iter().map(|ring| Polygon::new(ring, vec![]));
    rings.map(|ring| MultiPolygon::from(ring).geodesic_area_signed()).sum::<f64>() / M2_PER_HA
}
