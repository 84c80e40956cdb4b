//! Polygons as a table of a GeoPackage: put in, read back, compared.
//!
//! They are read back by GDAL, as others will read them.

use std::path::Path;

use gdal::Dataset;
use gdal::vector::{Feature, FieldValue, LayerAccess};
use geo::orient::Direction;
use geo::{Area, BoundingRect, CoordsIter, MultiPolygon, Orient, Rect};

use super::blob::polygons_blob;
use super::gdal_problem::gdal_problem;
use super::layer::Layer;
use super::spatial_index::Sides;
use super::table::{Geometry, Outline, PutRow, Table};
use super::value::Value;
use crate::problem::Problem;
use crate::units::PlanHectares;

/// Largest difference between a polygon's area and the column that states it, as a part of it.
const AREA_TOLERANCE: f64 = 1e-6;

impl<Row, Whole> Table for Layer<'_, Row, Whole> {
    fn outline(&self) -> Outline {
        Outline::new((self.name, self.description), Geometry::Polygons, self.columns, self.sides())
    }

    fn put_rows(&self, srs_id: i32, put: &mut PutRow<'_>) -> Result<(), Problem> {
        self.rows.iter().try_for_each(|row| {
            put(&self.values(row)?, &polygons_blob(srs_id, &self.polygons(row)?))
        })
    }

    fn check(&self, dataset: &Dataset, path: &Path) -> Result<(), Problem> {
        let mut table = dataset
            .layer_by_name(self.name)
            .map_err(|error| gdal_problem(path, self.name, &error))?;
        let mut rows = self.rows.iter().zip(table.features());
        rows.try_for_each(|(row, feature)| self.check_feature(&feature, row))
            .map_err(|problem| problem.file(path))
    }
}

impl<Row, Whole> Layer<'_, Row, Whole> {
    /// What each polygon lies within. A polygon without corners is refused when it is written.
    pub(super) fn sides(&self) -> Vec<Sides> {
        let sides =
            |around: Rect<f64>| [around.min().x, around.max().x, around.min().y, around.max().y];
        self.rows.iter().filter_map(|row| (self.geometry)(row).bounding_rect()).map(sides).collect()
    }

    /// A row's values, in the order of the columns.
    fn values(&self, row: &Row) -> Result<Vec<Value>, Problem> {
        self.columns.iter().map(|column| column.value(row, self.whole)).collect()
    }

    /// A row's polygons, shells against the clock.
    fn polygons(&self, row: &Row) -> Result<MultiPolygon<f64>, Problem> {
        let polygons = (self.geometry)(row);
        if polygons.coords_iter().next().is_none() {
            return Err(self.fault(row, "no polygon", "a polygon with area"));
        }
        match polygons.coords_iter().find(|corner| !(corner.x.is_finite() && corner.y.is_finite()))
        {
            Some(corner) => {
                let found = format!("a corner at ({}, {})", corner.x, corner.y);
                Err(self.fault(row, found, "finite coordinates"))
            }
            None => Ok(polygons.orient(Direction::Default)),
        }
    }

    fn check_feature(&self, feature: &Feature<'_>, row: &Row) -> Result<(), Problem> {
        for (field, (column, expected)) in self.columns.iter().zip(self.values(row)?).enumerate() {
            let found = feature.field(field).ok().and_then(read_value);
            if found.as_ref() != Some(&expected) {
                let found = format!("{} read back as {found:?}", column.name);
                return Err(self.fault(row, found, &format!("{expected:?}")));
            }
        }
        let expected = self.polygons(row)?;
        if read_polygons(feature).as_ref() != Some(&expected) {
            return Err(self.fault(
                row,
                "a polygon that came back changed",
                "the polygon of the plan",
            ));
        }
        self.check_area(&expected, row)
    }

    /// The polygon's area is the one that its row states.
    fn check_area(&self, polygons: &MultiPolygon<f64>, row: &Row) -> Result<(), Problem> {
        let found = PlanHectares::from_m2(polygons.unsigned_area()).0;
        let expected = (self.polygon_ha)(row);
        if (found - expected).abs() <= AREA_TOLERANCE * found {
            Ok(())
        } else {
            let expected = format!("{expected} ha, as the row says");
            Err(self.fault(row, format!("a polygon of {found} ha"), &expected))
        }
    }
}

fn read_value(field: Option<FieldValue>) -> Option<Value> {
    match field {
        None => Some(Value::Null),
        Some(FieldValue::StringValue(text)) => Some(Value::Text(text)),
        Some(FieldValue::Integer64Value(count)) => u64::try_from(count).ok().map(Value::Integer),
        Some(FieldValue::RealValue(number)) => Some(Value::Real(number)),
        Some(_) => None,
    }
}

fn read_polygons(feature: &Feature<'_>) -> Option<MultiPolygon<f64>> {
    match feature.geometry()?.to_geo() {
        Ok(geo::Geometry::MultiPolygon(polygons)) => Some(polygons),
        _ => None,
    }
}
