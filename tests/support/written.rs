//! A written plan, read back by libraries that had no part in making it.

use std::collections::BTreeMap;
use std::path::Path;

use gdal::Dataset;
use gdal::vector::{FieldValue, LayerAccess};
use geo::{Area, BooleanOps, Euclidean, Length, MultiPolygon, Validation};

/// A feature read back.
pub struct Row {
    /// Its fields, as text.
    pub fields: BTreeMap<String, String>,
    /// Its polygon.
    pub geometry: MultiPolygon<f64>,
}

impl Row {
    /// A field as a number.
    pub fn number(&self, field: &str) -> f64 {
        let text = &self.fields[field];
        text.parse().unwrap_or_else(|_| panic!("{field} is `{text}`, not a number"))
    }

    /// A field as text.
    pub fn text(&self, field: &str) -> &str {
        &self.fields[field]
    }
}

/// A layer of the plan's GeoPackage.
pub fn layer(plan: &Path, name: &str) -> Vec<Row> {
    let file = Dataset::open(plan.join("plan.gpkg")).unwrap();
    rows(&file, name)
}

/// The features of a layer of any vector file.
pub fn rows(file: &Dataset, name: &str) -> Vec<Row> {
    let mut layer = file.layer_by_name(name).unwrap();
    let row = |feature: gdal::vector::Feature| {
        let fields = feature.fields().map(|(name, value)| (name, words(value))).collect();
        let geometry = match feature.geometry().unwrap().to_geo().unwrap() {
            geo::Geometry::MultiPolygon(many) => many,
            geo::Geometry::Polygon(one) => MultiPolygon::new(vec![one]),
            other => panic!("{other:?} among polygons"),
        };
        Row { fields, geometry }
    };
    layer.features().map(row).collect()
}

fn words(value: Option<FieldValue>) -> String {
    match value {
        None => String::new(),
        Some(FieldValue::StringValue(text)) => text,
        Some(FieldValue::IntegerValue(number)) => number.to_string(),
        Some(FieldValue::Integer64Value(number)) => number.to_string(),
        Some(FieldValue::RealValue(number)) => format!("{number:?}"),
        Some(other) => panic!("{other:?} is no type of ours"),
    }
}

/// `plan.json`.
pub fn json(plan: &Path) -> serde_json::Value {
    serde_json::from_slice(&std::fs::read(plan.join("plan.json")).unwrap()).unwrap()
}

/// The laws that every written plan obeys; `boundary` is the property as surveyed.
pub fn assert_laws(plan: &Path, boundary: &MultiPolygon<f64>) {
    let (zones, blocks) = (layer(plan, "zones"), layer(plan, "blocks"));
    let (clear, stands) = (layer(plan, "keep_clear"), layer(plan, "stands"));
    assert_partition(&[&zones, &clear, &stands], boundary);
    assert_areas(&zones, &clear, &stands, &blocks);
    assert_counts(plan, &zones, &blocks);
}

/// Zones, stands and ground kept clear make up the property: valid, no gap, no overlap.
fn assert_partition(layers: &[&Vec<Row>], boundary: &MultiPolygon<f64>) {
    let pieces: Vec<&MultiPolygon<f64>> =
        layers.iter().flat_map(|rows| rows.iter().map(|row| &row.geometry)).collect();
    for piece in &pieces {
        assert!(piece.is_valid(), "{:?}", piece.validation_errors());
    }
    let property = boundary.unsigned_area();
    let sum: f64 = pieces.iter().map(|piece| piece.unsigned_area()).sum();
    // Where lines cross the boundary it is rounded to the millimetre: on very small ground that shows.
    let border: f64 = boundary.iter().map(|part| Euclidean.length(part.exterior())).sum();
    let slack = (property * 1e-6).max(border * 1e-4);
    assert!((sum - property).abs() < slack, "pieces {sum} m², property {property} m²");
    let union = pieces.iter().fold(MultiPolygon::new(vec![]), |all, piece| all.union(*piece));
    assert!((union.unsigned_area() - property).abs() < slack, "pieces overlap");
    let outside = union.difference(boundary).unsigned_area();
    assert!(outside < slack, "{outside} m² outside the property");
}

/// Every area column re-computes from the polygon read back.
fn assert_areas(zones: &[Row], clear: &[Row], stands: &[Row], blocks: &[Row]) {
    let close = |row: &Row, share: f64| {
        let hectares = row.geometry.unsigned_area() / 10_000.0 * share;
        let said = row.number("plan_area_ha");
        assert!((said - hectares).abs() <= hectares * 1e-6, "{said} ha said, {hectares} ha drawn");
    };
    for row in zones.iter().chain(clear).chain(stands) {
        close(row, 1.0);
    }
    for row in blocks {
        close(row, row.number("share"));
    }
    for zone in zones {
        let steepest = 1.0 / zone.number("slope_p90_deg").max(89.0).to_radians().cos();
        let ratio = zone.number("ground_area_ha") / zone.number("plan_area_ha");
        assert!((1.0 - 1e-6..steepest).contains(&ratio), "ground is {ratio} × the map area");
    }
}

/// Blocks add up to their zones, their lines and the plan, in every file.
fn assert_counts(plan: &Path, zones: &[Row], blocks: &[Row]) {
    let told = json(plan);
    for field in ["seedlings", "order_qty"] {
        let sum: f64 = blocks.iter().map(|block| block.number(field)).sum();
        assert_eq!(told["totals"][field].as_f64().unwrap(), sum, "{field} in plan.json");
        for order in told["orders"].as_array().unwrap() {
            let own = blocks.iter().filter(|block| block.text("stock_id") == order["stock_id"]);
            let sum: f64 = own.map(|block| block.number(field)).sum();
            assert_eq!(order[field].as_f64().unwrap(), sum, "{field} of {}", order["stock_id"]);
        }
    }
    let mut schedule = csv::Reader::from_path(plan.join("schedule.csv")).unwrap();
    let rows: Vec<BTreeMap<String, String>> = schedule.deserialize().map(Result::unwrap).collect();
    assert_eq!(rows.len(), blocks.len());
    for (row, block) in rows.iter().zip(blocks) {
        for field in ["block_id", "zone_id", "stock_id", "seedlings", "order_qty"] {
            assert_eq!(row[field], block.text(field), "{field} in schedule.csv");
        }
    }
    for zone in zones {
        let own = || blocks.iter().filter(|block| block.text("zone_id") == zone.text("zone_id"));
        let shares: f64 = own().map(|block| block.number("share")).sum();
        let left = zone.number("left_share");
        assert!((shares + left - 1.0).abs() < 1e-6, "shares of {}", zone.text("zone_id"));
        for block in own() {
            let open = block.number("ground_area_ha") * zone.number("gap_share");
            let dense = block.number("seedlings") / block.number("density_sph");
            let plants_apart = (dense - open).abs() * block.number("density_sph");
            let slack = 3.0 + open * block.number("density_sph") * 0.02;
            assert!(
                plants_apart <= slack,
                "{}: {dense} ha of plants on {open} ha",
                block.text("block_id")
            );
        }
    }
    for order in told["orders"].as_array().unwrap() {
        if let Some(supply) = order["supply"].as_u64() {
            assert!(order["order_qty"].as_u64().unwrap() <= supply, "{order} exceeds its supply");
        }
    }
}
