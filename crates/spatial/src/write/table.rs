//! What becomes a table of a GeoPackage: polygons or points, row by row.

use std::path::Path;

use gdal::Dataset;
use geo::Rect;

use super::columns::Column;
use super::described::{ColumnWords, words_of};
use super::spatial_index::Sides;
use super::value::{Kind, Value};
use crate::problem::Problem;

/// The geometry of a table.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Geometry {
    /// Points.
    Point,
    /// MULTIPOLYGON.
    Polygons,
}

/// A table as it is made, and as it must be found in the file.
#[derive(Debug)]
pub(crate) struct Outline {
    /// Its name.
    pub(super) name: &'static str,
    /// What it holds, for the catalogue.
    pub(super) description: &'static str,
    /// What its rows are on the map.
    pub(super) geometry: Geometry,
    /// Its columns, in order.
    pub(super) fields: Vec<(&'static str, Kind)>,
    /// Its columns in words.
    pub(super) words: Vec<ColumnWords>,
    /// What each row lies within, in their order.
    pub(super) sides: Vec<Sides>,
}

impl Outline {
    /// A table with these columns, whose rows lie within `sides`.
    pub(super) fn new<Row, Whole>(
        (name, description): (&'static str, &'static str),
        geometry: Geometry,
        columns: &[Column<Row, Whole>],
        sides: Vec<Sides>,
    ) -> Self {
        let on_the_map = match geometry {
            Geometry::Point => "Point",
            Geometry::Polygons => "Polygons (MULTIPOLYGON)",
        };
        Self {
            name,
            description,
            geometry,
            fields: columns.iter().map(|column| (column.name, column.kind)).collect(),
            words: words_of(columns, on_the_map),
            sides,
        }
    }

    /// What all rows lie within; `None` where there are none.
    pub(super) fn extent(&self) -> Option<Rect<f64>> {
        extent_of(&self.sides)
    }
}

/// Takes a row: its values in the order of the columns, and its geometry as the file stores it.
pub(crate) type PutRow<'a> = dyn FnMut(&[Value], &[u8]) -> Result<(), Problem> + 'a;

/// Rows that become a table.
pub(crate) trait Table {
    /// The table without its rows.
    fn outline(&self) -> Outline;

    /// Hands every row on, in order. `srs_id` is the number of the coordinate system in the file.
    ///
    /// # Errors
    /// When a row cannot be held by the file, or is refused where it is handed to.
    fn put_rows(&self, srs_id: i32, put: &mut PutRow<'_>) -> Result<(), Problem>;

    /// Reads every row back and compares it.
    ///
    /// # Errors
    /// With the first row that came back changed.
    fn check(&self, dataset: &Dataset, path: &Path) -> Result<(), Problem>;
}

/// What all of them lie within.
pub(super) fn extent_of(sides: &[Sides]) -> Option<Rect<f64>> {
    let around = |[west, east, south, north]: &Sides| Rect::new((*west, *south), (*east, *north));
    sides.iter().map(around).reduce(joined)
}

/// The least rectangle around two.
pub(crate) fn joined(a: Rect<f64>, b: Rect<f64>) -> Rect<f64> {
    let (low, high) = (a.min(), a.max());
    Rect::new(
        (low.x.min(b.min().x), low.y.min(b.min().y)),
        (high.x.max(b.max().x), high.y.max(b.max().y)),
    )
}
