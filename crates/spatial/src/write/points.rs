//! Layers of points: plants and plots, in the GeoPackage, as CSV and as GPX.
//!
//! Source: Foster 2004, GPX 1.1, the GPS Exchange Format (schema at topografix.com/GPX/1/1): way
//! points in longitude and latitude on WGS 84.

use std::fmt::Write;
use std::path::Path;

use gdal::Dataset;
use gdal::errors::GdalError;
use gdal::vector::LayerAccess;
use gdal::vector::sql::Dialect;
use palette::escaped;

use super::blob::point_blob;
use super::columns::{Column, PLANTS, PLOTS};
use super::gdal_problem::gdal_problem;
use super::geopackage_check::differs;
use super::lon_lat::ToLonLat;
use super::schedule::csv_of;
use super::table::{Geometry, Outline, PutRow, Table};
use crate::layout::{Plant, Plot};
use crate::plan::Plan;
use crate::problem::Problem;

/// Rows of one kind with a point each, of a whole that is a plan unless it is named.
pub(crate) struct Points<'a, Row: 'static, Whole: 'static = Plan> {
    /// Name of the layer.
    pub(crate) name: &'static str,
    /// What it holds, for the catalogue of the GeoPackage.
    pub(crate) description: &'static str,
    /// The columns, in order.
    pub(crate) columns: &'static [Column<Row, Whole>],
    /// The rows, in order.
    pub(crate) rows: &'a [Row],
    /// What they belong to.
    pub(crate) whole: &'a Whole,
    /// A row's place, easting and northing in metres.
    pub(crate) at: fn(&Row) -> [f64; 2],
}

/// What a receiver shows of a place.
#[derive(Debug, Clone, Default)]
pub(crate) struct WayPoint {
    /// Its name.
    pub(crate) name: String,
    /// Height, metres, where it is known.
    pub(crate) height_m: Option<f32>,
    /// More about it; empty where there is nothing to say.
    pub(crate) about: String,
}

/// Where each plant stands.
pub(super) fn plants(plan: &Plan) -> Points<'_, Plant> {
    Points {
        name: "plants",
        description: "Where each plant stands",
        columns: &PLANTS,
        rows: &plan.plants,
        whole: plan,
        at: |plant| plant.at,
    }
}

/// Where survivors will be counted.
pub(super) fn plots(plan: &Plan) -> Points<'_, Plot> {
    Points {
        name: "plots",
        description: "Where survivors will be counted: the middles of circular plots",
        columns: &PLOTS,
        rows: &plan.plots,
        whole: plan,
        at: |plot| plot.at,
    }
}

impl<Row, Whole> Table for Points<'_, Row, Whole> {
    fn outline(&self) -> Outline {
        let places = self.rows.iter().map(self.at);
        let sides = places.map(|[x, y]| [x, x, y, y]).collect();
        Outline::new((self.name, self.description), Geometry::Point, self.columns, sides)
    }

    fn put_rows(&self, srs_id: i32, put: &mut PutRow<'_>) -> Result<(), Problem> {
        let mut values = Vec::with_capacity(self.columns.len());
        for row in self.rows {
            values.clear();
            for column in self.columns {
                values.push(column.value(row, self.whole)?);
            }
            put(&values, &point_blob(srs_id, (self.at)(row)))?;
        }
        Ok(())
    }

    /// Places alone: reading all else of half a million plants takes seconds.
    fn check(&self, dataset: &Dataset, path: &Path) -> Result<(), Problem> {
        let unread = |error: GdalError| gdal_problem(path, self.name, &error);
        let query = format!("SELECT geom FROM \"{}\" ORDER BY fid", self.name);
        let answer = dataset.execute_sql(query, None, Dialect::DEFAULT).map_err(unread)?;
        let Some(mut table) = answer else {
            let expected = self.rows.len().to_string();
            return Err(differs(path, self.name, "no points".to_owned(), expected));
        };
        for (row, feature) in self.rows.iter().zip(table.features()) {
            let expected = (self.at)(row);
            let at = feature.geometry().map(|point| point.get_point(0));
            let same = at.is_some_and(|(x, y, _)| {
                x.to_bits() == expected[0].to_bits() && y.to_bits() == expected[1].to_bits()
            });
            if !same {
                let found = format!("a point at {at:?}");
                return Err(differs(path, self.name, found, format!("{expected:?}")));
            }
        }
        Ok(())
    }
}

impl<Row, Whole> Points<'_, Row, Whole> {
    /// Longitude and latitude of every point, degrees on WGS 84.
    fn on_globe(&self, to_lon_lat: ToLonLat<'_>) -> Result<Vec<(f64, f64)>, Problem> {
        let points = self.rows.iter().map(|row| (self.at)(row));
        let mut points: Vec<(f64, f64)> = points.map(|[x, y]| (x, y)).collect();
        to_lon_lat(&mut points)?;
        Ok(points)
    }

    /// One row a point: the columns of the layer, then longitude and latitude with 7 decimals.
    ///
    /// # Errors
    /// When a number is not finite or a point cannot be moved to the globe.
    pub(super) fn csv(&self, file: &str, to_lon_lat: ToLonLat<'_>) -> Result<Vec<u8>, Problem> {
        let points = self.on_globe(to_lon_lat)?;
        let rows = self.rows.iter().zip(points.into_iter().map(degrees));
        csv_of(self.columns, rows, self.whole, file, ["longitude", "latitude"])
    }

    /// A way point each, as `of` describes a row.
    ///
    /// # Errors
    /// When a point cannot be moved to the globe.
    pub(crate) fn gpx(
        &self,
        to_lon_lat: ToLonLat<'_>,
        mut of: impl FnMut(&Row) -> WayPoint,
    ) -> Result<Vec<u8>, Problem> {
        let points = self.on_globe(to_lon_lat)?;
        let mut page = String::from(
            "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<gpx version=\"1.1\" creator=\"hillweave\" \
             xmlns=\"http://www.topografix.com/GPX/1/1\">\n",
        );
        for (row, (lon, lat)) in self.rows.iter().zip(points) {
            let WayPoint { name, height_m, about } = of(row);
            let height = height_m.map_or_else(String::new, |up| format!("<ele>{up:.1}</ele>"));
            let about = match about.as_str() {
                "" => String::new(),
                about => format!("<desc>{}</desc>", escaped(about)),
            };
            // writing to a String cannot fail
            let _ = writeln!(
                page,
                "<wpt lat=\"{lat:.7}\" lon=\"{lon:.7}\">{height}<name>{}</name>{about}</wpt>",
                escaped(&name)
            );
        }
        page += "</gpx>\n";
        Ok(page.into_bytes())
    }
}

/// Longitude and latitude with 7 decimals, about a centimetre.
pub(crate) fn degrees((lon, lat): (f64, f64)) -> [String; 2] {
    [format!("{lon:.7}"), format!("{lat:.7}")]
}
