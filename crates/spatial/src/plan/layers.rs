//! The map layers of an earlier plan, read back from its GeoPackage.

use std::path::{Path, PathBuf};

use gdal::Dataset;
use gdal::errors::GdalError;
use gdal::vector::{Feature, FieldValue, Layer, LayerAccess};
use gdal_sys::OGRFieldType;
use geo::{Geometry, MultiPolygon};
use serde::Deserialize;

use super::{plan_file, read_plan};
use crate::problem::Problem;
use crate::read::{Crs, silence};
use crate::write::{Kind, PLAN_GPKG, Value, gdal_problem};

/// A layer of a plan.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct PlanLayer {
    /// Its name.
    pub(crate) name: &'static str,
    /// The column that names a row; empty where nothing does.
    pub(crate) id: &'static str,
    /// Its columns in order.
    pub(crate) fields: Vec<(String, Kind)>,
    /// Its rows in order.
    pub(crate) rows: Vec<LayerRow>,
}

/// A row of a layer.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct LayerRow {
    /// Its values, in the order of the columns.
    pub(crate) values: Vec<Value>,
    /// Where it is.
    pub(crate) shape: Shape,
}

/// Where a row is.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Shape {
    /// Polygons.
    Area(MultiPolygon<f64>),
    /// A point.
    Place([f64; 2]),
}

/// Layers that a plan may have, each with the column that names a row.
pub(crate) const LAYERS: [(&str, &str); 6] = [
    ("zones", "zone_id"),
    ("blocks", "block_id"),
    ("keep_clear", "keep_clear_id"),
    ("stands", "stand_id"),
    ("plants", ""),
    ("plots", "plot_id"),
];

/// Layers that every plan has.
const ALWAYS: [&str; 3] = ["zones", "keep_clear", "stands"];

impl PlanLayer {
    /// The place of a column among its values.
    pub(crate) fn column(&self, name: &str) -> Option<usize> {
        self.fields.iter().position(|(field, _)| field == name)
    }

    /// A value of a row as text; empty where it is not one.
    pub(crate) fn text<'a>(&self, row: &'a LayerRow, name: &str) -> &'a str {
        match self.column(name).and_then(|at| row.values.get(at)) {
            Some(Value::Text(text)) => text,
            _ => "",
        }
    }

    /// A value of a row as a number; `None` where it is not known.
    pub(crate) fn number(&self, row: &LayerRow, name: &str) -> Option<f64> {
        match self.column(name).and_then(|at| row.values.get(at))? {
            Value::Real(number) => Some(*number),
            Value::Integer(count) => Some(*count as f64),
            Value::Null | Value::Text(_) => None,
        }
    }
}

/// The layers of a plan and their coordinate system, held against its record.
pub(crate) struct PlanLayers {
    /// In the order of [`LAYERS`]; those that the plan has not are left out.
    pub(crate) layers: Vec<PlanLayer>,
    /// Their coordinate system.
    pub(crate) crs: Crs,
}

impl PlanLayers {
    /// A layer by its name; `None` where the plan has it not.
    pub(crate) fn find(&self, name: &str) -> Option<&PlanLayer> {
        self.layers.iter().find(|layer| layer.name == name)
    }
}

/// Where the GeoPackage of a plan is: beside its record.
pub(crate) fn layers_file(folder: &Path) -> PathBuf {
    plan_file(folder).with_file_name(PLAN_GPKG)
}

/// Reads the layers of the plan in a folder.
///
/// # Errors
/// When there is no GeoPackage, it cannot be read, or it is not of the plan whose record lies beside it.
pub(crate) fn read_layers(folder: &Path) -> Result<PlanLayers, Problem> {
    silence();
    let file = layers_file(folder);
    let told: Told = read_plan(folder)?;
    if !file.is_file() {
        return Err(Problem::error("plan")
            .file(&file)
            .found("no such file")
            .expected("the GeoPackage of the plan beside its record")
            .remedy("make the plan again with `hillweave plan`"));
    }
    let dataset = Dataset::open(&file).map_err(|error| unread(&file, "plan", &error))?;
    let mut layers = Vec::new();
    let mut crs = None;
    for (name, id) in LAYERS {
        let Ok(mut layer) = dataset.layer_by_name(name) else {
            if ALWAYS.contains(&name) {
                return Err(changed(&file, name, "no such layer", "a layer of the plan"));
            }
            continue;
        };
        crs = crs.or_else(|| layer.spatial_ref());
        layers.push(read_layer(&mut layer, (name, id), &file)?);
    }
    let crs =
        crs.ok_or_else(|| changed(&file, "zones", "no coordinate system", "that of the plan"))?;
    let crs = Crs::from_spatial_ref(&crs)
        .map_err(|reason| changed(&file, "zones", &reason, "a coordinate system"))?;
    let read = PlanLayers { layers, crs };
    told.hold_against(&read, &file)?;
    Ok(read)
}

fn read_layer(
    layer: &mut Layer<'_>,
    (name, id): (&'static str, &'static str),
    file: &Path,
) -> Result<PlanLayer, Problem> {
    let mut fields = Vec::new();
    for field in layer.defn().fields() {
        let kind = match field.field_type() {
            OGRFieldType::OFTString => Kind::Text,
            OGRFieldType::OFTInteger | OGRFieldType::OFTInteger64 => Kind::Integer,
            OGRFieldType::OFTReal => Kind::Real,
            _ => {
                let found = format!("a column {} that is no text and no number", field.name());
                return Err(changed(file, name, &found, "the columns of the plan"));
            }
        };
        fields.push((field.name(), kind));
    }
    let mut rows = Vec::new();
    for (at, feature) in layer.features().enumerate() {
        let fault = |found: String| {
            changed(file, &format!("{name}, feature {}", at + 1), &found, "what the plan wrote")
        };
        let values = (0..fields.len()).map(|field| value(&feature, field)).collect::<Option<_>>();
        let values = values.ok_or_else(|| fault("a value of another kind".into()))?;
        let shape = shape(&feature).ok_or_else(|| fault("no polygon and no point".into()))?;
        rows.push(LayerRow { values, shape });
    }
    Ok(PlanLayer { name, id, fields, rows })
}

/// A value of a feature; `None` where it is of no kind that a plan has.
pub(crate) fn value(feature: &Feature<'_>, field: usize) -> Option<Value> {
    match feature.field(field).ok()? {
        None => Some(Value::Null),
        Some(FieldValue::StringValue(text)) => Some(Value::Text(text)),
        Some(FieldValue::IntegerValue(count)) => u64::try_from(count).ok().map(Value::Integer),
        Some(FieldValue::Integer64Value(count)) => u64::try_from(count).ok().map(Value::Integer),
        Some(FieldValue::RealValue(number)) => number.is_finite().then_some(Value::Real(number)),
        Some(_) => None,
    }
}

/// Polygons or a point; `None` for anything else.
pub(crate) fn shape(feature: &Feature<'_>) -> Option<Shape> {
    match feature.geometry()?.to_geo().ok()? {
        Geometry::MultiPolygon(polygons) => Some(Shape::Area(polygons)),
        Geometry::Polygon(polygon) => Some(Shape::Area(polygon.into())),
        Geometry::Point(point) => Some(Shape::Place([point.x(), point.y()])),
        _ => None,
    }
}

/// What the record says of the layers.
#[derive(Deserialize)]
struct Told {
    zones: Vec<ToldZone>,
    #[serde(default)]
    blocks: Vec<serde::de::IgnoredAny>,
    keep_clear: Vec<serde::de::IgnoredAny>,
    stands: Vec<serde::de::IgnoredAny>,
}

#[derive(Deserialize)]
struct ToldZone {
    zone_id: String,
    plan_area_ha: f64,
}

impl Told {
    /// The GeoPackage is the one that was written with the record.
    fn hold_against(&self, read: &PlanLayers, file: &Path) -> Result<(), Problem> {
        let counts = [
            ("zones", self.zones.len()),
            ("blocks", self.blocks.len()),
            ("keep_clear", self.keep_clear.len()),
            ("stands", self.stands.len()),
        ];
        for (name, expected) in counts {
            let found = read.find(name).map_or(0, |layer| layer.rows.len());
            if found != expected {
                let expected = format!("{expected}, as plan.json beside it says");
                return Err(changed(file, name, &format!("{found} features"), &expected));
            }
        }
        let Some(zones) = read.find("zones") else { return Ok(()) };
        for (row, told) in zones.rows.iter().zip(&self.zones) {
            let found = (zones.text(row, "zone_id"), zones.number(row, "plan_area_ha"));
            let same = |area: f64| (area - told.plan_area_ha).abs() <= 1e-9 * told.plan_area_ha;
            if found.0 != told.zone_id || !found.1.is_some_and(same) {
                let expected = format!(
                    "{} of {} ha, as plan.json beside it says",
                    told.zone_id, told.plan_area_ha
                );
                let found = format!("{} of {} ha", found.0, found.1.unwrap_or_default());
                return Err(changed(file, "zones", &found, &expected));
            }
        }
        Ok(())
    }
}

fn unread(file: &Path, item: &str, error: &GdalError) -> Problem {
    gdal_problem(file, item, error)
        .expected("a GeoPackage that can be read")
        .remedy("make the plan again with `hillweave plan`, and change nothing in it by hand")
}

fn changed(file: &Path, item: &str, found: &str, expected: &str) -> Problem {
    Problem::error(item)
        .file(file)
        .found(found)
        .expected(expected)
        .remedy("make the plan again with `hillweave plan`, and change nothing in it by hand")
}
