//! Drainage lines as GeoJSON after RFC 7946.

use geojson::{Feature, FeatureCollection, Geometry, JsonObject};
use terrain::StreamLine;

use crate::problem::Problem;
use crate::read::Crs;
use crate::units::M2_PER_HA;

/// Decimals of a degree: 7 are about a centimetre.
const DECIMALS: f64 = 1e7;

/// One feature a line, downstream, longitude and latitude on WGS 84.
///
/// # Errors
/// When the coordinate system does not lead to longitude and latitude.
pub(super) fn lines_geojson(lines: &[StreamLine], crs: &Crs) -> Result<Vec<u8>, Problem> {
    let fault = |found: String| {
        Problem::error("drainage_lines.geojson")
            .found(found)
            .expected("a coordinate system that leads to longitude and latitude")
            .remedy("reproject the elevation to a published system, such as EPSG:2193")
    };
    let globe = Crs::longitude_latitude().map_err(fault)?;
    // A line that leaves the ground where it begins has one point, and is none to draw.
    let lines: Vec<&StreamLine> = lines.iter().filter(|line| line.points.len() > 1).collect();
    // All at once: a transformation takes longer to find than to use.
    let mut points: Vec<_> = lines.iter().flat_map(|line| line.points.iter().copied()).collect();
    crs.transform_points(&globe, &mut points).map_err(|error| fault(error.to_string()))?;
    let mut points = points.into_iter();
    let mut features = Vec::with_capacity(lines.len());
    for line in lines {
        let round = |degrees: f64| (degrees * DECIMALS).round() / DECIMALS;
        let places = points.by_ref().take(line.points.len());
        let places: geo::LineString<f64> = places.map(|(x, y)| (round(x), round(y))).collect();
        let mut properties = JsonObject::new();
        properties.insert("strahler_order".to_owned(), line.order.into());
        properties.insert("area_ha".to_owned(), (line.area_m2 / M2_PER_HA).into());
        features.push(Feature {
            geometry: Some(Geometry::new((&places).into())),
            properties: Some(properties),
            ..Feature::default()
        });
    }
    let collection = FeatureCollection { bbox: None, features, foreign_members: None };
    Ok(format!("{collection}\n").into_bytes())
}
