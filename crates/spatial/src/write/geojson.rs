//! `zones.geojson` and `blocks.geojson` after RFC 7946.
//!
//! Source: Butler et al. 2016, RFC 7946, "The GeoJSON Format": longitude first on WGS 84, no `crs`
//! member, shells against the clock, `bbox`, features cut at the 180th meridian.

use std::fmt::Write;

use geo::MultiPolygon;
use geojson::feature::Id;
use geojson::{Feature, Geometry, JsonObject};

use super::layer::Layer;
use super::lon_lat::{ToLonLat, all_on_globe, bounds};
use crate::problem::Problem;

/// A layer as GeoJSON: one feature a line, properties in the order of the columns, the row's name as
/// its `id`, every geometry a `MultiPolygon`.
///
/// # Errors
/// When a polygon cannot be moved to the globe or nothing is left of it there, or when a number is
/// not finite.
pub(crate) fn layer_geojson<Row>(
    layer: &Layer<'_, Row>,
    to_lon_lat: ToLonLat<'_>,
) -> Result<Vec<u8>, Problem> {
    let polygons = all_on_globe(layer.rows.iter().map(layer.geometry), to_lon_lat)?;
    let nothing = |(_, polygons): &(&Row, &MultiPolygon<f64>)| polygons.0.is_empty();
    if let Some((row, _)) = layer.rows.iter().zip(&polygons).find(nothing) {
        return Err(layer.fault(row, "a polygon without area", "ground to plant"));
    }
    let features = layer.rows.iter().zip(&polygons);
    let features: Result<Vec<Feature>, Problem> =
        features.map(|(row, polygons)| feature(layer, row, polygons)).collect();
    Ok(collection(&features?, bounds(&polygons)).into_bytes())
}

/// A collection, a feature a line, under the box (west, south, east, north) that holds them all.
pub(crate) fn collection(features: &[Feature], within: Option<[f64; 4]>) -> String {
    let mut text = String::from("{\"type\":\"FeatureCollection\",");
    if let Some([west, south, east, north]) = within {
        // writing to a String cannot fail
        let _ = write!(text, "\"bbox\":[{west:?},{south:?},{east:?},{north:?}],");
    }
    text += "\"features\":[";
    for (place, feature) in features.iter().enumerate() {
        text += if place == 0 { "\n" } else { ",\n" };
        text += &feature.to_string();
    }
    text + "\n]}\n"
}

fn feature<Row>(
    layer: &Layer<'_, Row>,
    row: &Row,
    polygons: &MultiPolygon<f64>,
) -> Result<Feature, Problem> {
    let mut properties = JsonObject::new();
    for column in layer.columns {
        properties.insert(column.name.to_owned(), column.value(row, layer.whole)?.into());
    }
    Ok(Feature {
        bbox: None,
        geometry: Some(Geometry::new(polygons.into())),
        id: Some(Id::String((layer.row_id)(row).to_owned())),
        properties: Some(properties),
        foreign_members: None,
    })
}

#[cfg(test)]
mod tests {
    use geo::Area;
    use geojson::{FeatureCollection, GeometryValue};

    use super::*;
    use crate::plan::Plan;
    use crate::write::{fixture, layer};

    /// Not a projection: degrees of 100 km from an origin, enough to see every rule of the format.
    #[expect(clippy::unnecessary_wraps, reason = "the shape of a transform")]
    fn flat(points: &mut [(f64, f64)]) -> Result<(), Problem> {
        for point in points {
            *point = (175.0 + (point.0 - 1_800_000.0) / 1e5, -39.0 + (point.1 - 5_600_000.0) / 1e5);
        }
        Ok(())
    }

    fn zones(plan: &Plan) -> String {
        String::from_utf8(layer_geojson(&layer::zones(plan), &flat).unwrap()).unwrap()
    }

    #[test]
    fn the_layer_reads_back_row_by_row() {
        let plan = fixture::plan();
        let read: FeatureCollection = zones(&plan).parse().unwrap();
        assert_eq!(read.features.len(), plan.zones.len());
        assert_eq!(read.bbox.unwrap(), vec![175.0, -39.0, 175.0037, -38.999]);
        for (feature, zone) in read.features.iter().zip(&plan.zones) {
            let value = &feature.geometry.as_ref().unwrap().value;
            assert!(matches!(value, GeometryValue::MultiPolygon { .. }));
            let polygons = MultiPolygon::<f64>::try_from(value).unwrap();
            let hectares = polygons.unsigned_area() * 1e10 / 1e4;
            assert!((hectares / zone.plan_area_ha.0 - 1.0).abs() < 1e-3);
            assert_eq!(feature.id, Some(Id::String(zone.zone_id.clone())));
            assert_eq!(
                feature.property("plan_area_ha").unwrap().as_f64(),
                Some(zone.plan_area_ha.0)
            );
        }
        assert!(read.foreign_members.is_none());
    }

    #[test]
    fn properties_stand_in_the_order_of_the_columns() {
        let text = zones(&fixture::plan());
        for line in text.lines().filter(|line| line.starts_with("{\"type\":\"Feature\"")) {
            let places: Vec<usize> = crate::write::columns::ZONES
                .iter()
                .map(|column| line.rfind(&format!("\"{}\":", column.name)).unwrap())
                .collect();
            assert!(places.is_sorted());
        }
    }

    #[test]
    fn unknown_is_null_and_nothing_to_say_is_empty() {
        let read: FeatureCollection = zones(&fixture::plan()).parse().unwrap();
        let property = |row: usize, name: &str| read.features[row].property(name).unwrap().clone();
        assert!(property(1, "best_fit").is_null() && property(0, "best_fit") == "RIDGE");
        assert_eq!(
            (property(0, "left_reason"), property(1, "left_reason")),
            ("".into(), "nothing fits".into())
        );
    }

    #[test]
    fn no_rows_are_an_empty_collection() {
        let mut plan = fixture::plan();
        plan.zones.clear();
        let text = zones(&plan);
        assert_eq!(text, "{\"type\":\"FeatureCollection\",\"features\":[\n]}\n");
        assert!(text.parse::<FeatureCollection>().unwrap().features.is_empty());
    }

    #[test]
    fn a_polygon_that_vanishes_is_refused_by_name() {
        let mut plan = fixture::plan();
        plan.zones[1].geometry = MultiPolygon::new(vec![fixture::square(0.0, 0.0, 1e-4)]);
        let refused = layer_geojson(&layer::zones(&plan), &flat).unwrap_err();
        assert_eq!(refused.item, "zones zone_id = Z002");
    }
}
