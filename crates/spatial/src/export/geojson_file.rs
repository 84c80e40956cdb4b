//! A GeoJSON file a layer, after RFC 7946.
//!
//! Source: Butler et al. 2016, RFC 7946, "The GeoJSON Format": longitude first on WGS 84, no `crs` member, shells
//! against the clock, `bbox`.

use std::path::Path;

use geojson::feature::Id;
use geojson::{Feature, FeatureCollection, Geometry, GeometryValue, JsonObject};

use super::globe::{Globe, ellipsoid_ha};
use super::read_back::differs;
use super::record::FileRecord;
use super::{Out, layer_record, sum_of};
use crate::plan::{LayerRow, PlanLayer, PlanLayers, Shape};
use crate::problem::Problem;
use crate::write::{bounds, collection};

/// Writes every layer, reads it back, and notes it.
///
/// # Errors
/// When the disk refuses, or what is read back differs.
pub(super) fn write(read: &PlanLayers, globe: &Globe, out: &mut Out) -> Result<(), Problem> {
    for (at, layer) in read.layers.iter().enumerate() {
        let name = format!("{}.geojson", layer.name);
        let features: Vec<Feature> = layer
            .rows
            .iter()
            .zip(globe.layer(at))
            .enumerate()
            .map(|(row, (values, shape))| feature(layer, values, shape, row))
            .collect();
        let page = collection(&features, bounds_of(globe.layer(at)));
        out.folder.write(&name, page.as_bytes())?;
        let mut record = None;
        out.folder.make(&name, |path| {
            record = Some(check(path, layer, &features)?);
            Ok(())
        })?;
        out.files.extend(record);
    }
    Ok(())
}

/// West, south, east, north of shapes; `None` without any.
fn bounds_of(shapes: &[Shape]) -> Option<[f64; 4]> {
    let as_area = |shape: &Shape| match shape {
        Shape::Area(area) => area.clone(),
        Shape::Place(at) => geo::Polygon::new(vec![*at, *at].into(), vec![]).into(),
    };
    bounds(&shapes.iter().map(as_area).collect::<Vec<_>>())
}

fn feature(layer: &PlanLayer, row: &LayerRow, shape: &Shape, at: usize) -> Feature {
    let mut properties = JsonObject::new();
    for ((name, _), value) in layer.fields.iter().zip(&row.values) {
        properties.insert(name.clone(), value.clone().into());
    }
    let geometry = match shape {
        Shape::Area(area) => Geometry::new(area.into()),
        Shape::Place([lon, lat]) => {
            Geometry::new(GeometryValue::from(&geo::Point::new(*lon, *lat)))
        }
    };
    let id = match layer.text(row, layer.id) {
        "" => format!("{}-{}", layer.name, at + 1),
        id => id.to_owned(),
    };
    Feature {
        bbox: None,
        geometry: Some(geometry),
        id: Some(Id::String(id)),
        properties: Some(properties),
        foreign_members: None,
    }
}

/// Holds the file against what was written: every feature with its name, values and shape.
fn check(path: &Path, layer: &PlanLayer, features: &[Feature]) -> Result<FileRecord, Problem> {
    let text = std::fs::read_to_string(path)
        .map_err(|error| differs(path, layer.name, &error.to_string(), "the file"))?;
    let found: FeatureCollection = text.parse().map_err(|error: geojson::Error| {
        differs(path, layer.name, &error.to_string(), "GeoJSON")
    })?;
    if found.features.len() != features.len() {
        let [found, expected] =
            [found.features.len(), features.len()].map(|rows| format!("{rows} features"));
        return Err(differs(path, layer.name, &found, &expected));
    }
    let mut shapes = Vec::with_capacity(features.len());
    for (found, wanted) in found.features.iter().zip(features) {
        // A reader may differ in the last digit of a number: the same reader is asked about both.
        if wanted.to_string().parse::<Feature>().ok().as_ref() != Some(found) {
            return Err(differs(path, layer.name, "another feature", &format!("{:?}", wanted.id)));
        }
        let value = found.geometry.as_ref().map(|geometry| &geometry.value);
        shapes.extend(
            value.and_then(|value| geo::MultiPolygon::<f64>::try_from(value).ok()).map(Shape::Area),
        );
    }
    let name = path.file_name().unwrap_or_default().to_string_lossy().into_owned();
    let layers = vec![layer_record(layer.name, features.len(), (None, ellipsoid_ha(&shapes)))];
    Ok(FileRecord { file: name, format: "geojson", sha256: sum_of(path)?, layers })
}
