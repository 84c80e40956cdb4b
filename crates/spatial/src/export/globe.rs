//! The layers of a plan on the globe: longitude and latitude on WGS 84, to 7 decimals.

use geo::{GeodesicArea, MultiPolygon};

use super::Format;
use crate::pipeline::on_globe;
use crate::plan::{PlanLayers, Shape};
use crate::problem::Problem;
use crate::units::M2_PER_HA;
use crate::write::{all_on_globe, rounded_degrees};

/// Where every row of every layer is, in the order of the layers and rows.
pub(super) struct Globe {
    /// `[layer][row]`.
    pub(super) shapes: Vec<Vec<Shape>>,
}

impl Globe {
    /// Moves all polygons together, so that those that share a border in the plan still do. Nothing is moved where no
    /// format asks for degrees.
    ///
    /// # Errors
    /// When a place has no longitude and latitude, or nothing is left of a polygon there.
    pub(super) fn of(read: &PlanLayers, formats: &[Format]) -> Result<Self, Problem> {
        if !formats
            .iter()
            .any(|format| matches!(format, Format::Kml | Format::Gpx | Format::GeoJson))
        {
            return Ok(Self { shapes: read.layers.iter().map(|_| Vec::new()).collect() });
        }
        let rows =
            || read.layers.iter().flat_map(|layer| layer.rows.iter().map(move |row| (layer, row)));
        let areas =
            rows().filter_map(
                |(_, row)| if let Shape::Area(area) = &row.shape { Some(area) } else { None },
            );
        let to_lon_lat = |points: &mut [(f64, f64)]| on_globe(&read.crs, points, "export");
        let mut areas = all_on_globe(areas, &to_lon_lat)?.into_iter();
        let places = rows().filter_map(|(_, row)| {
            if let Shape::Place([x, y]) = row.shape { Some((x, y)) } else { None }
        });
        let mut places = degrees(read, places.collect())?.into_iter();
        let mut shapes = Vec::new();
        for layer in &read.layers {
            let mut of_layer = Vec::with_capacity(layer.rows.len());
            for row in &layer.rows {
                of_layer.push(match row.shape {
                    Shape::Area(_) => {
                        Shape::Area(areas.next().unwrap_or_else(|| MultiPolygon::new(Vec::new())))
                    }
                    Shape::Place(_) => Shape::Place(places.next().unwrap_or_default()),
                });
                if matches!(of_layer.last(), Some(Shape::Area(area)) if area.0.is_empty()) {
                    return Err(Problem::error(format!(
                        "{} {}",
                        layer.name,
                        layer.text(row, layer.id)
                    ))
                    .found("a polygon of which nothing is left with 7 decimals of a degree")
                    .expected("more than a centimetre")
                    .remedy(
                        "make the plan again with `hillweave plan`, or use shapefile or flatgeobuf",
                    ));
                }
            }
            shapes.push(of_layer);
        }
        Ok(Self { shapes })
    }

    /// The shapes of a layer by its place among the layers.
    pub(super) fn layer(&self, at: usize) -> &[Shape] {
        self.shapes.get(at).map_or(&[], Vec::as_slice)
    }
}

/// Places in degrees with 7 decimals, longitude first.
///
/// # Errors
/// When a place has none.
pub(super) fn degrees(
    read: &PlanLayers,
    mut places: Vec<(f64, f64)>,
) -> Result<Vec<[f64; 2]>, Problem> {
    on_globe(&read.crs, &mut places, "export")?;
    Ok(places.into_iter().map(|(lon, lat)| [lon, lat].map(rounded_degrees)).collect())
}

/// Hectares of polygons in degrees, on the ellipsoid. Source: Karney 2013, Algorithms for geodesics, by `geo`.
pub(super) fn ellipsoid_ha<'a>(shapes: impl IntoIterator<Item = &'a Shape>) -> Option<f64> {
    let areas = shapes.into_iter().filter_map(|shape| match shape {
        Shape::Area(area) => Some(area.geodesic_area_unsigned() / M2_PER_HA),
        Shape::Place(_) => None,
    });
    areas.fold(None, |sum: Option<f64>, one| Some(sum.unwrap_or(0.0) + one))
}
