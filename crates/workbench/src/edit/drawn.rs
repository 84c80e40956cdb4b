//! What is drawn on the map: a feature of `drawn.geojson`, and the keys of `site.toml` that name it.

use std::fmt::Write as _;

use geo::{BoundingRect, Coord, CoordsIter, Distance, Euclidean, Rect};
use geojson::{Feature, FeatureCollection, GeoJson, GeometryValue};
use serde_json::{Map, Value as Json};
use spatial::problem::Problem;
use toml_edit::{ArrayOfTables, DocumentMut, Item, Table, value};

use super::{document, refused};
use crate::change::{Drawing, What};
use crate::files::{DRAWN, Files, Places};
use crate::plan_now::PlanNow;

/// Nothing that is drawn for a property reaches further from it, metres; beyond all measure a distance is no number.
const FAR_M: f64 = 100_000.0;

/// Decimals of longitude and latitude: a tenth of a millimetre.
const DECIMALS: f64 = 1e9;

/// Draws something; the change in words.
pub(super) fn draw(
    files: &mut Files,
    places: &Places,
    now: &PlanNow,
    drawing: &Drawing,
) -> Result<String, Problem> {
    let mut all = features(files)?;
    let number = all.features.iter().filter_map(number_of).max().unwrap_or(0) + 1;
    let mut said = Map::new();
    said.insert("number".into(), number.into());
    said.insert("what".into(), drawing.what.key().into());
    said.insert("name".into(), name_of(drawing, number).into());
    all.features.push(Feature {
        geometry: Some(on_globe(now, drawing)?),
        properties: Some(said),
        ..Feature::default()
    });
    let mut site = document(&files.site, "site.toml")?;
    match drawing.what {
        What::KeepClear => keep_clear(&mut site, drawing, number)?,
        What::Break | What::Zone => name_layer(&mut site, places, drawing.what)?,
    }
    files.site = site.to_string();
    files.drawn = Some(text(&all));
    Ok(format!("{} drawn: {}", drawing.what.words(), name_of(drawing, number)))
}

/// Takes something away that was drawn; the change in words.
pub(super) fn erase(
    files: &mut Files,
    places: &Places,
    what: What,
    number: u64,
) -> Result<String, Problem> {
    let mut all = features(files)?;
    let before = all.features.len();
    let is_it = |one: &Feature| number_of(one) == Some(number) && is_a(one, what);
    let name = all.features.iter().find(|one| is_it(one)).map(name).unwrap_or_default();
    all.features.retain(|one| !is_it(one));
    if all.features.len() == before {
        return Err(refused(
            "index",
            number.to_string(),
            "something that was drawn",
            "reload the page",
        ));
    }
    let mut site = document(&files.site, "site.toml")?;
    match what {
        What::KeepClear => forget_rule(&mut site, number),
        _ if all.features.iter().any(|one| is_a(one, what)) => {}
        _ => forget_layer(&mut site, what),
    }
    files.site = site.to_string();
    files.drawn = (!all.features.is_empty() || places.drawn.exists()).then(|| text(&all));
    Ok(format!("{} erased: {name}", what.words()))
}

/// What was drawn, in metres of the plan: what it is, its number, its name, its shape.
pub(crate) fn told(files: &Files, now: &PlanNow) -> Vec<(String, u64, String, Json)> {
    // A file that was not drawn here is read by the engine as any layer; there is nothing in it to take back.
    let Ok(all) = features(files) else { return Vec::new() };
    let is_ours =
        |what: &str| [What::Break, What::Zone, What::KeepClear].iter().any(|one| one.key() == what);
    let ours = all.features.into_iter().filter_map(|feature| {
        let what = Some(text_of(&feature, "what")).filter(|what| is_ours(what))?;
        let (number, name) = (number_of(&feature)?, name(&feature));
        Some((what, number, name, feature.geometry?))
    });
    let mut ours: Vec<_> = ours.collect();
    let to_plan = |points: &mut [(f64, f64)]| now.to_plan(points);
    // All at once, as finding the way between two systems takes long; one by one to leave out what has no place.
    if moved(ours.iter_mut().map(|(.., shape)| &mut shape.value), to_plan).is_err() {
        ours.retain_mut(|(.., shape)| moved([&mut shape.value], to_plan).is_ok());
    }
    let as_json = |shape| serde_json::to_value(shape).unwrap_or_default();
    ours.into_iter()
        .map(|(what, number, name, shape)| (what, number, name, as_json(shape)))
        .collect()
}

fn name_of(drawing: &Drawing, number: u64) -> String {
    match drawing.name.trim() {
        "" => format!("{} {number}", drawing.what.words()),
        name => name.to_owned(),
    }
}

fn features(files: &Files) -> Result<FeatureCollection, Problem> {
    let Some(text) = &files.drawn else { return Ok(FeatureCollection::default()) };
    match text.parse::<GeoJson>() {
        Ok(GeoJson::FeatureCollection(all)) if names_degrees(&all) => Ok(all),
        Ok(GeoJson::FeatureCollection(_)) => Err("features in a system of their own".to_owned()),
        Ok(_) => Err("another kind of GeoJSON".to_owned()),
        Err(error) => Err(error.to_string()),
    }
    .map_err(|found| {
        let expected = "a FeatureCollection in longitude and latitude (RFC 7946)";
        let remedy = "give that file another name, in site.toml too, so that the page can draw in one of its own";
        refused(DRAWN, found, expected, remedy).file(DRAWN)
    })
}

/// Whether features are in longitude and latitude: a file that names a system, as was done before RFC 7946, must name
/// that one.
fn names_degrees(all: &FeatureCollection) -> bool {
    let named = all.foreign_members.as_ref().and_then(|members| members.get("crs"));
    named.is_none_or(|named| {
        let name = named["properties"]["name"].as_str().unwrap_or_default();
        name.ends_with("CRS84") || name.ends_with(":4326")
    })
}

fn text(all: &FeatureCollection) -> String {
    // One feature a line, so that a person can read what changed.
    let features: Vec<String> = all.features.iter().map(ToString::to_string).collect();
    // What else the file says stays: its name, the system that it names.
    let members = all.foreign_members.iter().flatten();
    let members = members.fold(String::new(), |mut text, (key, value)| {
        let _ = write!(text, "{}:{value},", Json::from(key.as_str()));
        text
    });
    format!(
        "{{\"type\":\"FeatureCollection\",{members}\"features\":[\n{}\n]}}\n",
        features.join(",\n")
    )
}

fn number_of(feature: &Feature) -> Option<u64> {
    feature.property("number")?.as_u64()
}

fn text_of(feature: &Feature, key: &str) -> String {
    feature.property(key).and_then(Json::as_str).unwrap_or_default().to_owned()
}

fn name(feature: &Feature) -> String {
    text_of(feature, "name")
}

fn is_a(feature: &Feature, what: What) -> bool {
    text_of(feature, "what") == what.key()
}

/// The shape in longitude and latitude.
fn on_globe(now: &PlanNow, drawing: &Drawing) -> Result<geojson::Geometry, Problem> {
    let is_fit = match (&drawing.geometry.value, drawing.what) {
        (GeometryValue::LineString { coordinates }, What::Break | What::KeepClear) => {
            coordinates.len() > 1
        }
        (GeometryValue::Polygon { coordinates }, _) => {
            !coordinates.is_empty() && coordinates.iter().all(|ring| ring.len() > 3)
        }
        (GeometryValue::Point { .. }, What::KeepClear) => true,
        _ => false,
    };
    if !is_fit {
        let expected = "a line with two points or more, or an area with three corners or more";
        return Err(refused("geometry", "another shape", expected, "draw it again"));
    }
    if !has_places(&drawing.geometry.value) {
        let expected = "two numbers, easting and northing, for each place";
        return Err(refused("geometry", "a place without two numbers", expected, "draw it again"));
    }
    meets_property(now, drawing)?;
    let mut shape = drawing.geometry.clone();
    let rounded = |degrees: f64| (degrees * DECIMALS).round() / DECIMALS;
    moved([&mut shape.value], |points| now.to_globe(points))?;
    places_of(&mut shape.value, &mut |place| {
        *place = geojson::Position::from([rounded(place[0]), rounded(place[1])]);
    });
    Ok(shape)
}

/// Whether every place of a point, line or area has two numbers, as whoever turns it into a shape believes.
fn has_places(shape: &GeometryValue) -> bool {
    let is_place = |place: &geojson::Position| place.len() > 1;
    match shape {
        GeometryValue::Point { coordinates } => is_place(coordinates),
        GeometryValue::LineString { coordinates } => coordinates.iter().all(is_place),
        GeometryValue::Polygon { coordinates } => coordinates.iter().flatten().all(is_place),
        _ => false,
    }
}

/// What is drawn lies on the property, or within the distance that it keeps clear, and reaches nowhere far.
fn meets_property(now: &PlanNow, drawing: &Drawing) -> Result<(), Problem> {
    let shape = geo::Geometry::<f64>::try_from(&drawing.geometry.value).map_err(|error| {
        refused("geometry", error.to_string(), "a line, an area or a point", "draw it again")
    })?;
    let boundary = &now.fitted.ready.boundary;
    let found = if farthest_m(&shape, boundary.bounding_rect()) > FAR_M {
        format!("a place more than {:.0} km from the property", FAR_M / 1e3)
    } else {
        let of_parts = boundary.iter().map(|part| Euclidean.distance(part, &shape));
        let apart_m = of_parts.fold(f64::INFINITY, f64::min);
        if apart_m <= drawing.distance_m.max(0.0) {
            return Ok(());
        }
        format!("a place {apart_m:.0} m from the property")
    };
    Err(refused(
        "geometry",
        found,
        "a place on it, in easting and northing of the plan's system",
        "look whether the two numbers are of another system, or the wrong way round",
    ))
}

/// How far east, west, north or south of some ground the farthest place of a shape is; of no ground, endlessly far.
fn farthest_m(shape: &geo::Geometry, ground: Option<Rect>) -> f64 {
    let Some(ground) = ground else { return f64::INFINITY };
    let beyond = |Coord { x, y }: Coord| {
        let east = (x - ground.max().x).max(ground.min().x - x);
        let north = (y - ground.max().y).max(ground.min().y - y);
        east.max(north).max(0.0)
    };
    shape.coords_iter().map(beyond).fold(0.0, f64::max)
}

/// Moves every place of shapes; where one cannot be moved, none is.
fn moved<'a>(
    shapes: impl IntoIterator<Item = &'a mut GeometryValue>,
    to: impl Fn(&mut [(f64, f64)]) -> Result<(), Problem>,
) -> Result<(), Problem> {
    let mut places = Vec::new();
    for shape in shapes {
        places_of(shape, &mut |place| places.push(place));
    }
    let mut points: Vec<(f64, f64)> = places.iter().map(|place| (place[0], place[1])).collect();
    to(&mut points)?;
    for (place, (x, y)) in places.into_iter().zip(points) {
        *place = geojson::Position::from([x, y]);
    }
    Ok(())
}

/// Visits every place of a shape that has two numbers.
fn places_of<'a>(shape: &'a mut GeometryValue, visit: &mut dyn FnMut(&'a mut geojson::Position)) {
    let one = |place: &'a mut geojson::Position| {
        if place.len() > 1 {
            visit(place);
        }
    };
    match shape {
        GeometryValue::Point { coordinates } => std::iter::once(coordinates).for_each(one),
        GeometryValue::LineString { coordinates } | GeometryValue::MultiPoint { coordinates } => {
            coordinates.iter_mut().for_each(one);
        }
        GeometryValue::Polygon { coordinates } | GeometryValue::MultiLineString { coordinates } => {
            coordinates.iter_mut().flatten().for_each(one);
        }
        GeometryValue::MultiPolygon { coordinates } => {
            coordinates.iter_mut().flatten().flatten().for_each(one);
        }
        GeometryValue::GeometryCollection { geometries } => {
            for part in geometries {
                places_of(&mut part.value, visit);
            }
        }
    }
}

fn layer_key(what: What) -> &'static str {
    if what == What::Zone { "drawn_zones" } else { "breaks" }
}

/// Names the drawn lines or zones as a layer of the site.
fn name_layer(site: &mut DocumentMut, places: &Places, what: What) -> Result<(), Problem> {
    let key = layer_key(what);
    let layers = site.entry("layers").or_insert_with(|| {
        let mut table = Table::new();
        table.set_implicit(true);
        Item::Table(table)
    });
    let Some(layers) = layers.as_table_mut() else {
        return Err(refused(
            "layers",
            "a value",
            "tables under [layers]",
            "write them so in site.toml",
        ));
    };
    match layers.get(key).and_then(|layer| layer.get("file")).and_then(Item::as_str) {
        Some(DRAWN) => return Ok(()),
        Some(other) => {
            let problem = refused(
                &format!("layers.{key}.file"),
                format!("`{other}`"),
                &format!("no such layer yet, or `{DRAWN}`"),
                "draw in that file with a mapping package, or take the layer out of the site first",
            );
            return Err(problem.file(&places.site));
        }
        None => {}
    }
    let mut table = Table::new();
    table.insert("file", value(DRAWN));
    table.insert("filter", value(format!("what = '{}'", what.key())));
    layers.insert(key, Item::Table(table));
    Ok(())
}

fn forget_layer(site: &mut DocumentMut, what: What) {
    if let Some(layers) = site.get_mut("layers").and_then(Item::as_table_mut) {
        layers.remove(layer_key(what));
    }
}

/// A rule that keeps what was drawn clear.
fn keep_clear(site: &mut DocumentMut, drawing: &Drawing, number: u64) -> Result<(), Problem> {
    let rules =
        site.entry("keep_clear").or_insert_with(|| Item::ArrayOfTables(ArrayOfTables::new()));
    let Some(rules) = rules.as_array_of_tables_mut() else {
        return Err(refused("keep_clear", "a value", "[[keep_clear]] tables", "mend site.toml"));
    };
    let reason = match drawing.reason.trim() {
        "" => "drawn by hand",
        reason => reason,
    };
    let mut table = Table::new();
    table.insert("name", value(name_of(drawing, number)));
    table.insert("file", value(DRAWN));
    table.insert("filter", value(filter(number)));
    table.insert("distance_m", value(drawing.distance_m));
    table.insert("reason", value(reason));
    table.insert("authority", value("drawn by hand: check locally"));
    table.insert("date", value("not dated"));
    rules.push(table);
    Ok(())
}

fn filter(number: u64) -> String {
    format!("number = {number}")
}

fn forget_rule(site: &mut DocumentMut, number: u64) {
    let Some(rules) = site.get_mut("keep_clear").and_then(Item::as_array_of_tables_mut) else {
        return;
    };
    let is_it = |table: &Table| {
        table.get("file").and_then(Item::as_str) == Some(DRAWN)
            && table.get("filter").and_then(Item::as_str) == Some(&filter(number))
    };
    rules.retain(|table| !is_it(table));
    if rules.is_empty() {
        site.remove("keep_clear");
    }
}
