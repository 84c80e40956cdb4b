//! Coordinate systems. Axis order and every transform of the project are decided here.

use std::cell::RefCell;
use terrain::Grid;

use gdal::spatial_ref::{AxisMappingStrategy, CoordTransform, SpatialRef};
use geo::{CoordsIter, Distance, Geodesic, MapCoordsInPlace, Point};
use serde_json::Value;

use super::{chatter, ways};

/// A horizontal coordinate system: a description only, so that it can be sent between threads.
///
/// Coordinates are always in the order **x, y**: easting or longitude first, whatever order the
/// registry gives (EPSG:2193 is northing first there, EPSG:4326 latitude first).
///
/// A vertical part of a compound system is set apart: see [`Crs::height_unit`].
#[derive(Debug, Clone)]
pub struct Crs {
    /// PROJJSON, or WKT where GDAL cannot write the former.
    definition: String,
    name: String,
    authority: Option<String>,
    /// Authority of the geographic system beneath a projection, or of the system itself.
    base: Option<String>,
    kind: Kind,
    /// Metres (or radians) in one unit of the axes.
    unit_size: f64,
    unit_name: String,
    height_unit: Option<HeightUnit>,
}

/// What the axes measure.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Kind {
    Projected,
    Geographic,
    Other,
}

/// The unit of heights, as a file declares it.
#[derive(Debug, Clone, PartialEq)]
pub struct HeightUnit {
    /// As the file names it.
    pub name: String,
    /// Metres in one.
    pub metres: f64,
}

/// How a map is stretched at a place, as map over ground: 1 where it is true.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stretch {
    /// Square metres of map in one square metre of ground: 1.7 at 40° in Web Mercator.
    pub area: f64,
    /// Metres of map in one metre of ground, the least of four directions.
    pub least: f64,
    /// The same, the most of them.
    pub most: f64,
}

/// Why points could not be carried from one coordinate system to another.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[error("coordinates cannot be carried from {from} to {to}: {reason}")]
pub struct TransformError {
    /// Where the points were.
    pub from: String,
    /// Where they should have gone.
    pub to: String,
    /// GDAL's words.
    pub reason: String,
}

/// Datums surveyed before satellites, by the EPSG code of their geographic system: shifting from
/// them needs grids that not every PROJ has, so results differ by metres between versions.
/// Measured for NZGD49 between PROJ 9.1 and 9.6: 2–3 m. The other codes: from memory.
const OLD_DATUMS: [(&str, &str); 6] = [
    ("EPSG:4272", "NZGD49"),
    ("EPSG:4202", "AGD66"),
    ("EPSG:4203", "AGD84"),
    ("EPSG:4230", "ED50"),
    ("EPSG:4267", "NAD27"),
    ("EPSG:4277", "OSGB36"),
];

impl Crs {
    /// The system a person names: an authority and code such as `EPSG:2193`, or WKT.
    ///
    /// # Errors
    /// A sentence when it is neither, or not known. File names and addresses are never followed.
    pub fn from_user(text: &str) -> Result<Self, String> {
        chatter::silence();
        let text = text.trim();
        if !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_digit()) {
            return Err(format!("`{text}`: did you mean `EPSG:{text}`?"));
        }
        if !is_authority_code(text) && !is_well_known_text(text) {
            return Err(format!("`{text}`: expected an authority and code such as `EPSG:2193`"));
        }
        let found = SpatialRef::from_definition(text)
            .map_err(|error| format!("`{text}`: {}", chatter::reason(&error)))?;
        Self::from_spatial_ref(&found)
    }

    /// Longitude and latitude in degrees on WGS 84, longitude first.
    ///
    /// # Errors
    /// When PROJ's database is missing.
    pub fn longitude_latitude() -> Result<Self, String> {
        Self::from_user("EPSG:4326")
    }

    /// The system of a dataset or layer.
    ///
    /// # Errors
    /// A sentence when GDAL cannot describe it.
    pub(crate) fn from_spatial_ref(found: &SpatialRef) -> Result<Self, String> {
        chatter::silence();
        let described = found.to_projjson().ok().and_then(|text| parse(&text));
        match described {
            Some(whole) => Ok(Self::from_projjson(&whole)),
            None => Self::from_wkt_only(found),
        }
    }

    fn from_projjson(whole: &Value) -> Self {
        let compound = kind_of(whole) == "CompoundCRS";
        let horizontal = if compound { &whole["components"][0] } else { whole };
        let inner =
            if kind_of(horizontal) == "BoundCRS" { &horizontal["source_crs"] } else { horizontal };
        let (unit_name, unit_size) = axis_unit(inner);
        Self {
            definition: horizontal.to_string(),
            name: inner["name"].as_str().unwrap_or("unnamed").to_owned(),
            authority: authority_of(inner),
            base: authority_of(&inner["base_crs"]).or_else(|| authority_of(inner)),
            kind: match kind_of(inner) {
                "ProjectedCRS" | "DerivedProjectedCRS" => Kind::Projected,
                "GeographicCRS" | "DerivedGeographicCRS" => Kind::Geographic,
                _ => Kind::Other,
            },
            unit_size,
            unit_name,
            height_unit: compound.then(|| height_unit(&whole["components"][1])),
        }
    }

    fn from_wkt_only(found: &SpatialRef) -> Result<Self, String> {
        let definition = found.to_wkt().map_err(|error| chatter::reason(&error))?;
        if definition.is_empty() {
            return Err("an empty coordinate system".to_owned());
        }
        let (kind, unit_size) = if found.is_projected() {
            (Kind::Projected, found.linear_units())
        } else if found.is_geographic() {
            (Kind::Geographic, found.angular_units())
        } else {
            (Kind::Other, found.linear_units())
        };
        let authority = found.authority().ok();
        Ok(Self {
            definition,
            name: found.name().unwrap_or_else(|| "unnamed".to_owned()),
            base: authority.clone(),
            authority,
            kind,
            unit_size,
            unit_name: found.linear_units_name().unwrap_or_default(),
            height_unit: None,
        })
    }

    /// For GDAL: the one place where axis order is set.
    ///
    /// # Errors
    /// When GDAL does not take back what it described.
    pub(crate) fn spatial_ref(&self) -> gdal::errors::Result<SpatialRef> {
        let mut made = SpatialRef::from_definition(&self.definition)?;
        made.set_axis_mapping_strategy(AxisMappingStrategy::TraditionalGisOrder);
        Ok(made)
    }

    /// Well-known text, for files.
    ///
    /// # Errors
    /// When GDAL does not take back what it described.
    pub fn to_wkt(&self) -> Result<String, String> {
        self.spatial_ref().and_then(|made| made.to_wkt()).map_err(|error| chatter::reason(&error))
    }

    /// `EPSG:code` when the system has one, otherwise its name.
    #[must_use]
    pub fn describe(&self) -> String {
        self.authority.clone().unwrap_or_else(|| self.name.clone())
    }

    /// `EPSG:code` and the name, for a person.
    #[must_use]
    pub fn describe_fully(&self) -> String {
        match &self.authority {
            Some(code) => format!("{code} ({})", self.name),
            None => self.name.clone(),
        }
    }

    /// `EPSG:code` when the system has one, otherwise well-known text: enough to rebuild it.
    #[must_use]
    pub fn definition(&self) -> String {
        let wkt = || self.to_wkt().unwrap_or_else(|_| self.name.clone());
        self.authority.clone().unwrap_or_else(wkt)
    }

    /// Whether it is a map projection whose axes are in metres.
    #[must_use]
    pub fn is_metric(&self) -> bool {
        self.kind == Kind::Projected && (self.unit_size - 1.0).abs() < 1e-9
    }

    /// Whether its axes are longitude and latitude.
    #[must_use]
    pub fn is_geographic(&self) -> bool {
        self.kind == Kind::Geographic
    }

    /// The unit of its axes, as the registry names it: `metre`, `degree`, `US survey foot`.
    #[must_use]
    pub fn unit_name(&self) -> &str {
        &self.unit_name
    }

    /// Unit of heights, when the system has a vertical part.
    #[must_use]
    pub fn height_unit(&self) -> Option<&HeightUnit> {
        self.height_unit.as_ref()
    }

    /// Name of the datum, when it is one from before satellites.
    #[must_use]
    pub fn old_datum(&self) -> Option<&'static str> {
        let base = self.base.as_deref()?;
        OLD_DATUMS.iter().find(|(code, _)| *code == base).map(|(_, name)| *name)
    }

    /// Whether coordinates of one are coordinates of the other.
    #[must_use]
    pub fn is_same(&self, other: &Self) -> bool {
        if self.definition == other.definition {
            return true;
        }
        if let (Some(one), Some(two)) = (&self.authority, &other.authority) {
            return one == two;
        }
        matches!((self.spatial_ref(), other.spatial_ref()), (Ok(one), Ok(two)) if one == two)
    }

    /// Carries points (x, y) to another system, in place.
    ///
    /// # Errors
    /// When a point has no place there; the points are then not to be used.
    pub fn transform_points(
        &self,
        to: &Self,
        points: &mut [(f64, f64)],
    ) -> Result<(), TransformError> {
        if points.is_empty() || self.is_same(to) {
            return Ok(());
        }
        let (mut x, mut y): (Vec<f64>, Vec<f64>) = points.iter().copied().unzip();
        self.along(to, |way| way.transform_coords(&mut x, &mut y, &mut []))
            .map_err(|error| self.failed(to, chatter::reason(&error)))?;
        for (point, moved) in points.iter_mut().zip(x.into_iter().zip(y)) {
            *point = moved;
        }
        if points.iter().all(|(x, y)| x.is_finite() && y.is_finite()) {
            return Ok(());
        }
        Err(self.failed(to, "a point lies where the projection has no value".to_owned()))
    }

    /// Carries a geometry to another system, vertex by vertex.
    ///
    /// # Errors
    /// When a vertex has no place there; the geometry is then not to be used.
    pub fn transform_geometry<G>(&self, to: &Self, geometry: &mut G) -> Result<(), TransformError>
    where
        G: MapCoordsInPlace<f64> + CoordsIter<Scalar = f64>,
    {
        let mut points: Vec<_> = geometry.coords_iter().map(|at| (at.x, at.y)).collect();
        self.transform_points(to, &mut points)?;
        // `map_coords_in_place` visits in the order of `coords_iter` and wants a `Copy` closure.
        let moved = RefCell::new(points.into_iter());
        geometry.map_coords_in_place(|old| moved.borrow_mut().next().map_or(old, Into::into));
        Ok(())
    }

    /// The smallest rectangle (west, south, east, north) that holds another one carried over.
    /// Where it would reach across the 180th meridian, west is greater than east.
    ///
    /// # Errors
    /// When the rectangle has no place there.
    pub(super) fn transform_bounds(
        &self,
        to: &Self,
        bounds: [f64; 4],
    ) -> Result<[f64; 4], TransformError> {
        if self.is_same(to) {
            return Ok(bounds);
        }
        self.along(to, |way| way.transform_bounds(&bounds, 21))
            .map_err(|error| self.failed(to, chatter::reason(&error)))
    }

    /// Goes the way to another system.
    fn along<T>(
        &self,
        to: &Self,
        go: impl FnOnce(&CoordTransform) -> gdal::errors::Result<T>,
    ) -> gdal::errors::Result<T> {
        chatter::silence();
        chatter::take();
        let find = || CoordTransform::new(&self.spatial_ref()?, &to.spatial_ref()?);
        ways::along([&self.definition, &to.definition], find, go)
    }

    fn failed(&self, to: &Self, reason: String) -> TransformError {
        TransformError { from: self.describe(), to: to.describe(), reason }
    }

    /// Latitude of the middle of a grid, degrees, north positive; `None` where it has none.
    #[must_use]
    pub fn latitude_of(&self, grid: &Grid) -> Option<f64> {
        let x = f64::midpoint(grid.west(), grid.east());
        let y = f64::midpoint(grid.south(), grid.north());
        self.longitude_latitude_at(x, y).ok().map(|place| place.1)
    }

    /// Longitude and latitude of a point, degrees on WGS 84.
    ///
    /// # Errors
    /// When the point has none.
    pub fn longitude_latitude_at(&self, x: f64, y: f64) -> Result<(f64, f64), TransformError> {
        let degrees = Self::longitude_latitude().map_err(|reason| self.failed(self, reason))?;
        let mut point = [(x, y)];
        self.transform_points(&degrees, &mut point)?;
        Ok(point[0])
    }

    /// How the map is stretched at a point. Distances on the ellipsoid after Karney (2013), by `geo`.
    ///
    /// # Errors
    /// When the point has no longitude and latitude.
    pub fn stretch_at(&self, x: f64, y: f64) -> Result<Stretch, TransformError> {
        const ARM: f64 = 100.0;
        // East, north and both diagonals: a map may be true along its axes and skewed between.
        const WAYS: [(f64, f64); 4] = [(ARM, 0.0), (0.0, ARM), (ARM, ARM), (ARM, -ARM)];
        let degrees = Self::longitude_latitude().map_err(|reason| self.failed(self, reason))?;
        let mut ends = [(0.0, 0.0); 8];
        for (at, (east, north)) in WAYS.into_iter().enumerate() {
            ends[2 * at] = (x - east, y - north);
            ends[2 * at + 1] = (x + east, y + north);
        }
        self.transform_points(&degrees, &mut ends)?;
        let ends = ends.map(|(x, y)| Point::new(x, y));
        let ground: [f64; 4] =
            std::array::from_fn(|at| Geodesic.distance(ends[2 * at], ends[2 * at + 1]));
        let scales: [f64; 4] =
            std::array::from_fn(|at| 2.0 * WAYS[at].0.hypot(WAYS[at].1) / ground[at]);
        // The parallelogram on the ground, by its sides and diagonals.
        let [east, north, rising, falling] = ground.map(|length| length * length);
        let dot = (rising - falling) / 4.0;
        let area_m2 = (east * north - dot * dot).sqrt();
        Ok(Stretch {
            area: 4.0 * ARM * ARM / area_m2,
            least: scales.into_iter().fold(f64::INFINITY, f64::min),
            most: scales.into_iter().fold(0.0, f64::max),
        })
    }
}

fn parse(text: &str) -> Option<Value> {
    serde_json::from_str::<Value>(text).ok().filter(|whole| whole["type"].is_string())
}

fn kind_of(crs: &Value) -> &str {
    crs["type"].as_str().unwrap_or_default()
}

fn authority_of(crs: &Value) -> Option<String> {
    let id = crs.get("id")?;
    let code = match &id["code"] {
        Value::String(text) => text.clone(),
        Value::Number(number) => number.to_string(),
        _ => return None,
    };
    Some(format!("{}:{code}", id["authority"].as_str()?))
}

/// Name of the unit of the first axis, and its size in metres or radians.
fn axis_unit(crs: &Value) -> (String, f64) {
    let unit = &crs["coordinate_system"]["axis"][0]["unit"];
    match unit {
        Value::String(name) if name == "degree" => (name.clone(), 1.0_f64.to_radians()),
        Value::String(name) => (name.clone(), 1.0),
        _ => (
            unit["name"].as_str().unwrap_or("unknown unit").to_owned(),
            unit["conversion_factor"].as_f64().unwrap_or(f64::NAN),
        ),
    }
}

fn height_unit(vertical: &Value) -> HeightUnit {
    let (name, metres) = axis_unit(vertical);
    HeightUnit { name, metres }
}

fn is_authority_code(text: &str) -> bool {
    text.split_once(':').is_some_and(|(authority, code)| {
        let plain = |part: &str| {
            !part.is_empty() && part.bytes().all(|b| b.is_ascii_alphanumeric() || b == b'_')
        };
        plain(authority) && code.split('+').all(plain)
    })
}

fn is_well_known_text(text: &str) -> bool {
    const HEADS: [&str; 9] = [
        "PROJCS[",
        "GEOGCS[",
        "COMPD_CS[",
        "PROJCRS[",
        "GEOGCRS[",
        "COMPOUNDCRS[",
        "BOUNDCRS[",
        "GEODCRS[",
        "{",
    ];
    let head = text.to_ascii_uppercase();
    HEADS.iter().any(|one| head.starts_with(one)) || head.starts_with("+PROJ=")
}

#[cfg(test)]
mod tests {
    use super::*;
    use geo::{LineString, MultiPolygon, polygon};

    fn crs(code: &str) -> Crs {
        Crs::from_user(code).unwrap()
    }

    fn moved(from: &str, to: &str, point: (f64, f64)) -> (f64, f64) {
        let mut points = [point];
        crs(from).transform_points(&crs(to), &mut points).unwrap();
        points[0]
    }

    // Control points: PROJ (9.1 and 9.6 agree to the last digit). A build that took the registry's
    // axis order would swap them and fail.
    #[test]
    fn control_points_of_nztm_come_out_longitude_first() {
        let (longitude, latitude) = moved("EPSG:2193", "EPSG:4326", (1_600_000.0, 5_400_000.0));
        assert!((longitude - 173.0).abs() < 1e-9, "{longitude}");
        assert!((latitude - -41.551_664_523_452_835).abs() < 1e-9, "{latitude}");
        let (easting, northing) = moved("EPSG:4326", "EPSG:2193", (173.0, -41.551_664_523_452_835));
        assert!((easting - 1_600_000.0).abs() < 1e-3, "{easting}");
        assert!((northing - 5_400_000.0).abs() < 1e-3, "{northing}");
    }

    #[test]
    fn control_point_of_utm_60_south() {
        let (easting, northing) = moved("EPSG:4326", "EPSG:32760", (177.0, -41.5));
        assert!((easting - 500_000.0).abs() < 1e-3, "{easting}");
        assert!((northing - 5_405_735.778).abs() < 1e-3, "{northing}");
    }

    #[test]
    fn a_geometry_is_carried_vertex_by_vertex_and_stays_closed() {
        let mut shape = MultiPolygon(vec![polygon![
            exterior: [(x: 172.9, y: -41.6), (x: 173.1, y: -41.6), (x: 173.0, y: -41.5)],
            interiors: [[(x: 172.99, y: -41.58), (x: 173.01, y: -41.58), (x: 173.0, y: -41.57)]],
        ]]);
        crs("EPSG:4326").transform_geometry(&crs("EPSG:2193"), &mut shape).unwrap();
        for ring in std::iter::once(shape.0[0].exterior()).chain(shape.0[0].interiors()) {
            assert_eq!(ring.0.len(), 4);
            assert_eq!(ring.0[0], ring.0[3]);
            assert!(ring.0.iter().all(|at| (1.58e6..1.62e6).contains(&at.x)), "{ring:?}");
        }
    }

    #[test]
    fn points_on_both_sides_of_the_antimeridian_are_neighbours_on_the_map() {
        let mut line = LineString::from(vec![(179.999, -44.0), (-179.999, -44.0)]);
        crs("EPSG:4326").transform_geometry(&crs("EPSG:3832"), &mut line).unwrap();
        let width = line.0[1].x - line.0[0].x;
        assert!((width - 222.64).abs() < 0.1, "{width}");
    }

    #[test]
    fn units_and_kinds_are_told_apart() {
        assert!(crs("EPSG:2193").is_metric());
        assert!(!crs("EPSG:4326").is_metric() && crs("EPSG:4326").is_geographic());
        let feet = crs("EPSG:2264");
        assert!(!feet.is_metric() && !feet.is_geographic());
        assert_eq!(feet.unit_name(), "US survey foot");
        assert_eq!(crs("EPSG:2193").describe(), "EPSG:2193");
    }

    #[test]
    fn a_vertical_part_is_set_apart_with_its_unit() {
        let compound = crs("EPSG:2193+7839");
        assert!(compound.is_metric());
        assert!(compound.is_same(&crs("EPSG:2193")));
        assert_eq!(compound.describe(), "EPSG:2193");
        assert_eq!(compound.height_unit().unwrap().metres, 1.0);
        let feet = crs("EPSG:32119+6360");
        assert!((feet.height_unit().unwrap().metres - 0.304_800_6).abs() < 1e-6);
    }

    #[test]
    fn systems_are_the_same_whether_named_or_spelt_out() {
        let named = crs("EPSG:2193");
        let spelt = crs(&named.to_wkt().unwrap());
        assert!(named.is_same(&spelt));
        assert!(!named.is_same(&crs("EPSG:27200")));
    }

    #[test]
    fn a_description_can_be_sent_between_threads() {
        fn sendable<T: Send + Sync>() {}
        sendable::<Crs>();
        let there = std::thread::spawn(|| crs("EPSG:2193")).join().unwrap();
        assert!(there.is_same(&crs("EPSG:2193")));
    }

    #[test]
    fn an_old_datum_is_known_under_its_projection() {
        assert_eq!(crs("EPSG:27200").old_datum(), Some("NZGD49"));
        assert_eq!(crs("EPSG:2193").old_datum(), None);
    }

    #[test]
    fn names_that_are_no_system_are_refused_and_no_file_is_followed() {
        for wrong in ["", "EPSG:999999", "/etc/passwd", "http://example.org/crs", "NZTM"] {
            assert!(Crs::from_user(wrong).is_err(), "{wrong}");
        }
        assert!(Crs::from_user("2193").unwrap_err().contains("EPSG:2193"));
    }

    #[test]
    fn web_mercator_is_found_out_by_its_areas() {
        // sec² of the latitude on the sphere (Snyder 1987, Map Projections: A Working Manual,
        // ch. 7), about 0.3 % more on the ellipsoid.
        let web = crs("EPSG:3857");
        let (x, y) = moved("EPSG:4326", "EPSG:3857", (175.0, -40.0));
        let stretch = web.stretch_at(x, y).unwrap();
        let sphere = 1.0 / 40.0_f64.to_radians().cos();
        assert!((stretch.area / sphere.powi(2) - 1.0).abs() < 0.01, "{stretch:?} {sphere}");
        assert!((stretch.least / sphere - 1.0).abs() < 0.005, "{stretch:?} {sphere}");
        let national = crs("EPSG:2193").stretch_at(1_600_000.0, 5_400_000.0).unwrap();
        assert!((national.area - 0.9996_f64.powi(2)).abs() < 1e-5, "{national:?}");
        assert!((national.most - 0.9996).abs() < 1e-5, "{national:?}");
    }

    #[test]
    fn a_map_true_in_area_may_be_stretched_in_length() {
        // Cylindrical equal area, true at 30°: along the parallel cos 30° / cos φ, across it the
        // inverse (Snyder 1987, ch. 10), on the sphere.
        let equal = crs("EPSG:6933");
        let (x, y) = moved("EPSG:4326", "EPSG:6933", (175.0, -40.0));
        let stretch = equal.stretch_at(x, y).unwrap();
        let along = 30.0_f64.to_radians().cos() / 40.0_f64.to_radians().cos();
        assert!((stretch.area - 1.0).abs() < 0.001, "{stretch:?}");
        assert!((stretch.most / along - 1.0).abs() < 0.005, "{stretch:?} {along}");
        assert!((stretch.least * along - 1.0).abs() < 0.005, "{stretch:?} {along}");
        // Sinusoidal, 30° from its middle: true along the axes' own lines, skewed between
        // (Snyder 1987, ch. 30).
        let skewed = "+proj=sinu +lon_0=145 +datum=WGS84 +units=m";
        let mut place = [(175.0, -40.0)];
        crs("EPSG:4326").transform_points(&crs(skewed), &mut place).unwrap();
        let stretch = crs(skewed).stretch_at(place[0].0, place[0].1).unwrap();
        assert!((stretch.area - 1.0).abs() < 0.005, "{stretch:?}");
        assert!(stretch.most / stretch.least > 1.2, "{stretch:?}");
    }

    #[test]
    fn a_point_beyond_the_projection_is_an_error_not_a_number() {
        let mut points = [(500.0, 95.0)];
        assert!(crs("EPSG:4326").transform_points(&crs("EPSG:2193"), &mut points).is_err());
    }
}
