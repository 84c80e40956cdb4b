//! The property: its polygons made into one shape in the plan's coordinate system.

use geo::orient::{Direction, Orient};
use geo::{Area, CoordsIter, MultiPolygon, RemoveRepeatedPoints, Validation, unary_union};

use super::crs::Crs;
use super::rings::first_crossing;
use super::shape::polygons_of;
use super::vector_file::{Feature, VectorFile};
use crate::problem::Problem;
use crate::site::VectorSource;

/// Below this a boundary is taken for a slip of the pen, square metres of map.
const MIN_AREA_M2: f64 = 100.0;

/// Up to this many vertices the full check of the simple-feature rules is fast enough (it is
/// quadratic); beyond it crossings are still found.
const FULL_CHECK_VERTICES: usize = 20_000;

/// A boundary and the layer it came from.
pub(super) struct Boundary {
    pub(super) shape: MultiPolygon<f64>,
    pub(super) file: VectorFile,
    pub(super) features: usize,
}

/// Reads the boundary: the union of all polygons of the layer. The vertices of a boundary of one
/// feature are kept to the last bit.
///
/// # Errors
/// When there is no polygon, something other than a polygon, a ring that crosses itself or
/// another, a hole outside its polygon, or next to no area.
pub(super) fn read(source: &VectorSource, to: &Crs) -> Result<Boundary, Vec<Problem>> {
    let file = VectorFile::open("boundary", source)?;
    let features = file.features(to, None, None)?;
    if features.is_empty() {
        return Err(file
            .fault()
            .found(format!("no feature in layer `{}`", file.layer))
            .expected("at least one polygon")
            .remedy("name the layer that holds the boundary, and check `filter`")
            .into());
    }
    let mut shapes = Vec::new();
    let mut problems = Vec::new();
    for feature in &features {
        match whole_shape(&file, feature) {
            Ok(shape) => shapes.push(shape),
            Err(problem) => problems.push(problem),
        }
    }
    if !problems.is_empty() {
        return Err(problems);
    }
    let shape = join(shapes);
    check_area(&file, &shape)?;
    Ok(Boundary { shape, features: features.len(), file })
}

/// Rings are wound alike first: the union takes its rule from the first ring it meets.
fn join(shapes: Vec<MultiPolygon<f64>>) -> MultiPolygon<f64> {
    let mut shapes: Vec<_> =
        shapes.into_iter().map(|shape| shape.orient(Direction::Default)).collect();
    let only = if shapes.len() == 1 { shapes.pop() } else { None };
    only.unwrap_or_else(|| unary_union(&shapes))
}

fn check_area(file: &VectorFile, shape: &MultiPolygon<f64>) -> Result<(), Problem> {
    let area = shape.unsigned_area();
    if area >= MIN_AREA_M2 {
        return Ok(());
    }
    Err(file
        .fault()
        .found(format!("a boundary of {area:.3} m² of map"))
        .expected(format!("at least {MIN_AREA_M2} m²"))
        .remedy("check that the layer holds the property and is in the coordinate system it says"))
}

fn whole_shape(file: &VectorFile, feature: &Feature) -> Result<MultiPolygon<f64>, Problem> {
    let fault = |found: &str, remedy: &str| {
        file.fault()
            .found(format!("feature {} of layer `{}`: {found}", feature.id, file.layer))
            .expected("polygons that do not cross themselves or each other")
            .remedy(remedy)
    };
    let Some(geometry) = &feature.geometry else {
        return Err(fault("no geometry", "draw or remove the feature"));
    };
    let (polygons, other) = polygons_of(geometry);
    if other || polygons.is_empty() {
        let remedy = "draw the boundary as a polygon; a closed line can be made into one with a \
                      mapping package's `lines to polygons`";
        return Err(fault("points or lines", remedy));
    }
    let shape = MultiPolygon(polygons).remove_repeated_points();
    let mend = "move the vertices there so that the ring does not cross, or mend a copy with \
                `ogr2ogr -makevalid` and look at what it made";
    if let Some(met) = first_crossing(&shape) {
        let (x, y) = met.at;
        let (first, second) = met.vertices;
        let what = met.other.map_or_else(
            || format!("the {} crosses or touches itself", met.ring),
            |other| format!("the {} and the {other} cross", met.ring),
        );
        let found = format!(
            "{what} at ({x:.2}, {y:.2}), on the edges that begin at vertices {first} and {second}"
        );
        return Err(fault(&found, mend));
    }
    if shape.coords_count() <= FULL_CHECK_VERTICES
        && let Err(reason) = shape.check_validation()
    {
        return Err(fault(&reason.to_string(), mend));
    }
    Ok(shape)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::read::fixture::{Folder, feature, rectangle};

    fn read_features(features: &[&str]) -> Result<Boundary, Vec<Problem>> {
        let folder = Folder::new();
        let file = folder.geojson("boundary.geojson", Some("EPSG:2193"), features);
        let source = VectorSource { file, layer: None, filter: None };
        read(&source, &Crs::from_user("EPSG:2193").unwrap())
    }

    fn refused(features: &[&str]) -> Problem {
        read_features(features).err().unwrap().remove(0)
    }

    #[test]
    fn one_feature_keeps_its_vertices() {
        let shape = feature("Polygon", &rectangle(1.6e6, 5.4e6, 1.600_123_4e6, 5.400_2e6), "");
        let boundary = read_features(&[&shape]).unwrap();
        assert_eq!(boundary.shape.0[0].exterior().0[1].x, 1.600_123_4e6);
    }

    #[test]
    fn several_features_are_joined_without_counting_twice() {
        let one = feature("Polygon", &rectangle(0.0, 0.0, 100.0, 100.0), "");
        let two = feature("Polygon", &rectangle(50.0, 0.0, 150.0, 100.0), "");
        // Wound the other way round, as files do.
        let far = feature("Polygon", "[[[500,0],[500,100],[600,100],[600,0],[500,0]]]", "");
        let boundary = read_features(&[&one, &two, &far]).unwrap();
        assert!((boundary.shape.unsigned_area() - 25_000.0).abs() < 1e-3);
        assert_eq!(boundary.shape.0.len(), 2);
        assert!(boundary.shape.is_valid());
    }

    #[test]
    fn faults_name_the_feature_and_the_place() {
        let tie = feature("Polygon", "[[[0,0],[100,100],[100,0],[0,100],[0,0]]]", "");
        let problem = refused(&[&tie]);
        assert!(problem.found.contains("feature 0") && problem.found.contains("(50.00, 50.00)"));
        assert!(problem.remedy.contains("makevalid"), "{problem}");

        let line = feature("LineString", "[[0,0],[100,100]]", "");
        assert!(refused(&[&line]).found.contains("points or lines"));

        let tiny = feature("Polygon", &rectangle(0.0, 0.0, 1.0, 1.0), "");
        assert!(refused(&[&tiny]).found.contains("1.000 m²"));

        assert!(refused(&[]).found.contains("no feature"));

        let null = r#"{"type":"Feature","properties":{},"geometry":null}"#;
        assert!(refused(&[null]).found.contains("no geometry"));

        let empty = feature("Polygon", "[]", "");
        assert!(refused(&[&empty]).found.contains("no geometry"));

        let hole = feature(
            "Polygon",
            "[[[0,0],[100,0],[100,100],[0,100],[0,0]],[[200,200],[210,200],[210,210],[200,200]]]",
            "",
        );
        assert!(refused(&[&hole]).found.contains("not contained"), "{}", refused(&[&hole]));
    }

    #[test]
    fn every_fault_is_told_at_once() {
        let tie = feature("Polygon", "[[[0,0],[100,100],[100,0],[0,100],[0,0]]]", "");
        let line = feature("LineString", "[[0,0],[100,100]]", "");
        assert_eq!(read_features(&[&tie, &line]).err().unwrap().len(), 2);
    }
}
