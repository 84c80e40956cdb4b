//! From GDAL's geometries to `geo`'s.

use gdal::vector::{Geometry as Foreign, geometry_type_flatten};
use gdal_sys::OGRwkbGeometryType as Kind;
use geo::{Coord, Geometry, GeometryCollection, LineString, Point, Polygon};

use super::foreign::straight_pieces;

/// Arcs become chains that turn at most this much a piece: 0.04 ‰ of the radius off the arc.
const ARC_STEP_DEG: f64 = 1.0;

/// Collections inside collections, before a file is taken for broken.
const DEPTH: usize = 16;

/// A geometry without heights, measures, arcs and empty parts. `None` when nothing is left.
///
/// # Errors
/// A phrase that says what is wrong with it.
pub(super) fn from_gdal(foreign: &Foreign) -> Result<Option<Geometry<f64>>, String> {
    if foreign.is_empty() {
        return Ok(None);
    }
    if is_curved(foreign, DEPTH) {
        let straight = straight_pieces(foreign, ARC_STEP_DEG)
            .ok_or_else(|| format!("arcs that cannot be followed ({})", foreign.geometry_name()))?;
        return convert(&straight, DEPTH);
    }
    convert(foreign, DEPTH)
}

fn is_curved(foreign: &Foreign, depth: usize) -> bool {
    let parts = || (0..foreign.geometry_count()).map(|part| foreign.get_geometry(part));
    match geometry_type_flatten(foreign.geometry_type()) {
        Kind::wkbCircularString
        | Kind::wkbCompoundCurve
        | Kind::wkbCurvePolygon
        | Kind::wkbMultiCurve
        | Kind::wkbMultiSurface => true,
        Kind::wkbGeometryCollection => depth > 0 && parts().any(|part| is_curved(&part, depth - 1)),
        _ => false,
    }
}

fn convert(foreign: &Foreign, depth: usize) -> Result<Option<Geometry<f64>>, String> {
    if foreign.is_empty() {
        return Ok(None);
    }
    match geometry_type_flatten(foreign.geometry_type()) {
        Kind::wkbPoint => Ok(points(foreign)?.first().map(|at| Point(*at).into())),
        Kind::wkbLineString => Ok(Some(LineString(points(foreign)?).into())),
        Kind::wkbPolygon | Kind::wkbTriangle => polygon(foreign).map(|made| made.map(Into::into)),
        Kind::wkbMultiPoint
        | Kind::wkbMultiLineString
        | Kind::wkbMultiPolygon
        | Kind::wkbPolyhedralSurface
        | Kind::wkbTIN
        | Kind::wkbGeometryCollection => {
            if depth == 0 {
                return Err("collections inside collections without end".to_owned());
            }
            let parts = (0..foreign.geometry_count())
                .map(|part| convert(&foreign.get_geometry(part), depth - 1))
                .collect::<Result<Vec<_>, _>>()?;
            let parts: Vec<_> = parts.into_iter().flatten().collect();
            if parts.is_empty() {
                return Ok(None);
            }
            Ok(Some(Geometry::GeometryCollection(GeometryCollection(parts))))
        }
        _ => Err(format!("a geometry of a kind that is not read: {}", foreign.geometry_name())),
    }
}

fn points(foreign: &Foreign) -> Result<Vec<Coord<f64>>, String> {
    let mut found = Vec::new();
    foreign.get_points(&mut found);
    let line: Vec<_> = found.into_iter().map(|(x, y, _)| Coord { x, y }).collect();
    match line.iter().find(|at| !(at.x.is_finite() && at.y.is_finite())) {
        Some(at) => Err(format!("a vertex at ({}, {})", at.x, at.y)),
        None => Ok(line),
    }
}

fn polygon(foreign: &Foreign) -> Result<Option<Polygon<f64>>, String> {
    let mut rings = (0..foreign.geometry_count())
        .map(|ring| foreign.get_geometry(ring))
        .filter(|ring| !ring.is_empty())
        .map(|ring| points(&ring).map(LineString));
    let Some(outer) = rings.next().transpose()? else { return Ok(None) };
    let holes = rings.collect::<Result<Vec<_>, _>>()?;
    Ok(Some(Polygon::new(outer, holes)))
}

/// The polygons of a geometry, and whether there was anything else in it.
pub(super) fn polygons_of(geometry: &Geometry<f64>) -> (Vec<Polygon<f64>>, bool) {
    let mut found = (Vec::new(), false);
    sort_out(geometry, &mut |part| match part {
        Part::Polygon(one) => found.0.push(one.clone()),
        Part::Line(_) | Part::Point(_) => found.1 = true,
    });
    found
}

/// A simple part of a geometry.
pub(super) enum Part<'a> {
    /// An area.
    Polygon(&'a Polygon<f64>),
    /// A line.
    Line(&'a LineString<f64>),
    /// A place.
    Point(Point<f64>),
}

/// Calls `each` for every simple part of a geometry that [`from_gdal`] made.
pub(super) fn sort_out<'a>(geometry: &'a Geometry<f64>, each: &mut impl FnMut(Part<'a>)) {
    match geometry {
        Geometry::Polygon(one) => each(Part::Polygon(one)),
        Geometry::LineString(one) => each(Part::Line(one)),
        Geometry::Point(one) => each(Part::Point(*one)),
        Geometry::MultiPolygon(many) => many.iter().for_each(|one| each(Part::Polygon(one))),
        Geometry::MultiLineString(many) => many.iter().for_each(|one| each(Part::Line(one))),
        Geometry::MultiPoint(many) => many.iter().for_each(|one| each(Part::Point(*one))),
        Geometry::GeometryCollection(many) => many.iter().for_each(|one| sort_out(one, each)),
        // `from_gdal` makes none of these.
        Geometry::Line(_) | Geometry::Rect(_) | Geometry::Triangle(_) => {}
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use geo::{Area, Euclidean, Length};

    fn read(wkt: &str) -> Result<Option<Geometry<f64>>, String> {
        super::super::chatter::silence();
        from_gdal(&Foreign::from_wkt(wkt).unwrap())
    }

    #[test]
    fn heights_measures_and_empty_parts_are_dropped() {
        let line = read("LINESTRING ZM (0 0 5 1, 3 4 6 2)").unwrap().unwrap();
        let Geometry::LineString(line) = line else { panic!("{line:?}") };
        assert_eq!(Euclidean.length(&line), 5.0);
        assert!(read("POLYGON EMPTY").unwrap().is_none());
        assert!(read("MULTIPOLYGON EMPTY").unwrap().is_none());
        let many = read("GEOMETRYCOLLECTION (POINT EMPTY, POINT (3 4))").unwrap().unwrap();
        let mut places = Vec::new();
        sort_out(&many, &mut |part| {
            if let Part::Point(at) = part {
                places.push(at);
            }
        });
        assert_eq!(places, [Point::new(3.0, 4.0)]);
    }

    #[test]
    fn a_circle_drawn_with_arcs_keeps_its_area() {
        let circle = "CURVEPOLYGON (CIRCULARSTRING (10 0, 0 10, -10 0, 0 -10, 10 0))";
        let (parts, other) = polygons_of(&read(circle).unwrap().unwrap());
        assert!(!other);
        let share = parts[0].unsigned_area() / (std::f64::consts::PI * 100.0);
        assert!((share - 1.0).abs() < 1e-4, "{share}");
    }

    #[test]
    fn holes_and_parts_are_kept() {
        let text = "MULTIPOLYGON (((0 0, 9 0, 9 9, 0 9, 0 0), (1 1, 2 1, 2 2, 1 2, 1 1)), \
                    ((20 0, 21 0, 21 1, 20 0)))";
        let (parts, _) = polygons_of(&read(text).unwrap().unwrap());
        assert_eq!(parts.iter().map(Area::unsigned_area).sum::<f64>(), 80.5);
    }
}
