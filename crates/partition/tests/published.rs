//! Overlay and validity of areas against cases published with JTS, most of them once a fault of some program
//! (`data/jts/README.md`): our own pieces, and the two operations of `geo` that the engine relies on elsewhere.

#![expect(clippy::unwrap_used, reason = "a failed test may panic")]

use std::collections::BTreeSet;
use std::panic::catch_unwind;

#[expect(dead_code, reason = "each test file uses its part")]
mod oracle;

use geo::{Area, BooleanOps, Euclidean, Length, MultiPolygon, Validation};
use oracle::check_coverage;
use partition::{Lattice, Layer, Place, Polygon, partition};

/// A pair of areas, and how much GEOS finds of both, of the first alone and of the second alone.
struct Case {
    name: String,
    a: MultiPolygon<f64>,
    b: MultiPolygon<f64>,
    areas: [f64; 3],
}

fn rows(text: &str) -> Vec<csv::StringRecord> {
    csv::Reader::from_reader(text.as_bytes()).records().map(Result::unwrap).collect()
}

/// Polygons parted by ` | `, rings by `; `, points by `, `.
fn shape(text: &str) -> MultiPolygon<f64> {
    let point = |text: &str| {
        let (x, y) = text.trim().split_once(' ').unwrap();
        (x.parse::<f64>().unwrap(), y.parse::<f64>().unwrap())
    };
    let ring = |text: &str| {
        let points = text.split(',').filter(|text| !text.trim().is_empty()).map(point);
        geo::LineString::from(points.collect::<Vec<_>>())
    };
    let polygon = |text: &str| {
        let mut rings = text.split(';').map(ring);
        geo::Polygon::new(rings.next().unwrap(), rings.collect())
    };
    MultiPolygon(text.split('|').filter(|text| !text.is_empty()).map(polygon).collect())
}

fn cases() -> Vec<Case> {
    let of_row = |row: csv::StringRecord| Case {
        name: row[0].to_owned(),
        a: shape(&row[1]),
        b: shape(&row[2]),
        areas: [3, 4, 5].map(|column| row[column].parse().unwrap()),
    };
    let cases: Vec<Case> =
        rows(include_str!("data/jts/overlay.csv")).into_iter().map(of_row).collect();
    assert!(cases.len() > 130);
    cases
}

fn perimeter(areas: &MultiPolygon<f64>) -> f64 {
    let rings = areas.iter().flat_map(|one| std::iter::once(one.exterior()).chain(one.interiors()));
    rings.map(|ring| Euclidean.length(ring)).sum()
}

fn assert_among(found: &BTreeSet<String>, known: &[&str], what: &str) {
    let known: BTreeSet<String> = known.iter().map(|name| (*name).to_owned()).collect();
    assert_eq!(*found, known, "{what}: found, and known of");
}

/// As a layer of the partition, moved to the origin and made some 1000 m wide by a power of two.
fn laid(area: &MultiPolygon<f64>, corner: [f64; 2], scale: f64) -> Layer {
    let ring = |line: &geo::LineString<f64>| {
        line.coords().map(|at| [(at.x - corner[0]) * scale, (at.y - corner[1]) * scale]).collect()
    };
    let polygon = |one: &geo::Polygon<f64>| Polygon {
        shell: ring(one.exterior()),
        holes: one.interiors().iter().map(ring).collect(),
    };
    Layer { polygons: area.iter().map(polygon).collect() }
}

/// How much both, the first alone and the second alone have by our pieces, which cover their ground once in valid rings;
/// and what a millimetre along each line comes to.
fn parted(a: &MultiPolygon<f64>, b: &MultiPolygon<f64>) -> ([f64; 3], f64) {
    let at = || a.iter().chain(b).flat_map(|one| one.exterior().coords());
    let least = |axis: fn(&geo::Coord<f64>) -> f64| at().map(axis).fold(f64::MAX, f64::min);
    let most = |axis: fn(&geo::Coord<f64>) -> f64| at().map(axis).fold(f64::MIN, f64::max);
    let corner = [least(|at| at.x), least(|at| at.y)];
    let side = (most(|at| at.x) - corner[0]).max(most(|at| at.y) - corner[1]);
    let scale = (1000.0 / side).log2().floor().exp2();
    let layers = [laid(a, corner, scale), laid(b, corner, scale)];
    let lattice =
        Lattice { cols: 1, rows: 1, west: 0.0, north: 1.0, cell_width: 1.0, cell_height: 1.0 };
    let key = |place: Place| match [0, 1].map(|layer| place.layers.contains(layer)) {
        [true, true] => Some(0),
        [true, false] => Some(1),
        [false, true] => Some(2),
        [false, false] => None,
    };
    let parted = partition(&[0], &lattice, 0.0, &layers, &[], key, None).unwrap();
    check_coverage(&parted.pieces);
    let area = |key: u64| -> f64 {
        let pieces = parted.pieces.iter().filter(|piece| piece.key == key);
        let area: f64 = pieces.flat_map(|piece| &piece.polygons).map(Polygon::area_m2).sum();
        area / (scale * scale)
    };
    ([0, 1, 2].map(area), 0.001 / scale * (perimeter(a) + perimeter(b)))
}

/// As GEOS finds, but for a millimetre along each line of areas that are made some 500 to 1000 m wide.
#[test]
fn pieces_of_two_layers_have_the_published_areas() {
    let mut narrow = 0;
    for Case { name, a, b, areas } in cases() {
        let (found, allowed) = parted(&a, &b);
        for (found, area) in found.into_iter().zip(areas) {
            assert!(
                (found - area).abs() <= allowed,
                "{name}: {found} against {area}, {allowed} allowed"
            );
        }
        narrow += usize::from(allowed < 0.001 * areas.iter().sum::<f64>());
    }
    assert!(narrow > 100, "{narrow}: as much allowed would hide a fault");
}

/// Every operation ends, in areas that add up and agree with GEOS.
#[test]
fn operations_on_areas_end_well() {
    let (mut broken, mut apart, mut invalid) = (BTreeSet::new(), BTreeSet::new(), BTreeSet::new());
    for case in cases() {
        let Case { name, a, b, areas } = &case;
        let made =
            catch_unwind(|| [a.intersection(b), a.difference(b), b.difference(a), a.union(b)]);
        let Ok(made) = made else {
            broken.insert(name.clone());
            continue;
        };
        let [both, a_alone, b_alone] = *areas;
        let expected = [both, a_alone, b_alone, both + a_alone + b_alone];
        let allowed = 1e-6 * expected[3];
        if made
            .iter()
            .zip(expected)
            .any(|(made, area)| (made.unsigned_area() - area).abs() > allowed)
        {
            apart.insert(name.clone());
        }
        if !made.iter().all(Validation::is_valid) {
            invalid.insert(name.clone());
        }
    }
    assert_among(&broken, &[], "operations that break off");
    assert_among(&apart, &[], "operations with other areas");
    assert_among(&invalid, &[], "results that are not valid");
}

/// Areas that are no one piece inside, for holes that touch at points part them, and one without any area: JTS refuses them,
/// `geo` does not look at that. An area of them is what it says, and our pieces part it.
const PARTED_INSIDE: [&str; 11] = [
    "general/TestValid 47", // without area; a boundary of less than 1 m² is refused by its area
    "general/TestValid 74",
    "general/TestValid 75",
    "general/TestValid 76",
    "general/TestValid 77",
    "general/TestValid 78",
    "general/TestValid 79",
    "general/TestValid 80",
    "misc/TestInvalidA 51",
    "misc/TestInvalidA 57",
    "misc/TestInvalidA 58",
];

/// What the engine asks of a boundary is what JTS does, but for those that our pieces put right.
#[test]
fn areas_are_valid_where_published_so() {
    let mut apart = BTreeSet::new();
    let rows = rows(include_str!("data/jts/validity.csv"));
    assert!(rows.len() > 390);
    for row in rows {
        let (area, is_valid) = (shape(&row[1]), &row[2] == "true");
        if area.is_valid() == is_valid {
            continue;
        }
        assert!(!is_valid, "{}: refused though it is valid", &row[0]);
        apart.insert(row[0].to_owned());
        let ([both, whole, _], allowed) = parted(&area, &MultiPolygon(Vec::new()));
        let expected = area.unsigned_area();
        assert!(both == 0.0 && (whole - expected).abs() <= allowed, "{}: {whole}", &row[0]);
    }
    assert_among(&apart, &PARTED_INSIDE, "areas on whose validity JTS and geo differ");
}
