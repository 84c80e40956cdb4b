//! Drawn breaks and hand-drawn zones: what people draw, zones keep to, to the millimetre.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "a test that stops has failed"
)]

mod support;

use std::path::Path;

use gdal::Dataset;
use gdal::vector::LayerAccess;
use geo::{Area, BooleanOps, Euclidean, Length, MultiPolygon, Polygon};
use support::small::{self, NORTH, WEST, points};
use support::written::{self, Row};
use support::{expect, scratch, text};

/// A fence right across the property, bent, and one that hangs loose inside. The first crosses the
/// boundary at whole millimetres, so that no corner of the property moves.
const FENCE: [(f64, f64); 5] =
    [(5.0, 120.0), (28.5, 124.9), (90.0, 131.0), (174.5, 104.0), (195.0, 100.0)];
const LOOSE: [(f64, f64); 2] = [(60.0, 40.0), (63.0, 70.0)];
/// A paddock east of the stream.
const PADDOCK: [(f64, f64); 5] =
    [(120.0, 52.0), (158.0, 57.0), (151.0, 93.0), (117.0, 88.0), (120.0, 52.0)];
/// A zone drawn by hand south of the fence, west of the stream.
const DRAWN: [(f64, f64); 5] =
    [(41.0, 137.0), (72.0, 139.0), (70.0, 157.5), (44.0, 154.0), (41.0, 137.0)];

fn write_site(folder: &Path, loose: bool) {
    small::write(folder);
    let (fence, loose_end) = (points(&FENCE), points(&LOOSE));
    let paddock = format!("[{}]", points(&PADDOCK));
    let mut breaks = vec![("LineString", &*fence), ("Polygon", &*paddock)];
    if loose {
        breaks.push(("LineString", &loose_end));
    }
    small::text(folder, "breaks.geojson", &small::collection(&breaks));
    let drawn = format!("[{}]", points(&DRAWN));
    small::text(folder, "drawn.geojson", &small::feature("Polygon", &drawn));
    let layers = "[layers.breaks]\nfile = \"breaks.geojson\"\n[layers.drawn_zones]\nfile = \"drawn.geojson\"\n[[keep_clear]]";
    small::replace(folder, "site.toml", "[[keep_clear]]", layers);
}

fn polygon(corners: &[(f64, f64)]) -> MultiPolygon<f64> {
    let ring: Vec<(f64, f64)> = corners.iter().map(|(x, y)| (WEST + x, NORTH - y)).collect();
    Polygon::new(ring.into(), vec![]).into()
}

/// No zone lies on both sides of a ring, but for the millimetre that its corners are rounded to.
fn assert_on_one_side(zones: &[Row], ring: &MultiPolygon<f64>, what: &str) {
    for zone in zones {
        let inside = zone.geometry.intersection(ring).unsigned_area();
        let outside = zone.geometry.difference(ring).unsigned_area();
        let border: f64 = ring.iter().map(|part| Euclidean.length(part.exterior())).sum();
        assert!(
            inside.min(outside) <= 0.001 * border,
            "{} lies on both sides of {what}: {inside} m² and {outside} m²",
            zone.text("zone_id")
        );
    }
}

#[test]
fn zones_keep_to_what_is_drawn() {
    let folder = scratch();
    write_site(folder.path(), true);
    expect(folder.path(), &["plan", "site.toml", "-o", "plan"], 0);
    let plan = folder.path().join("plan");
    let boundary = Dataset::open(folder.path().join("boundary.geojson")).unwrap();
    let name = boundary.layer(0).unwrap().name();
    written::assert_laws(&plan, &written::rows(&boundary, &name).remove(0).geometry);

    let zones = written::layer(&plan, "zones");
    let north: Vec<(f64, f64)> = FENCE.into_iter().chain([(195.0, 0.0), (5.0, 0.0)]).collect();
    assert_on_one_side(&zones, &polygon(&north), "the fence");
    assert_on_one_side(&zones, &polygon(&PADDOCK), "the paddock");
    let paddock = zones
        .iter()
        .filter(|zone| zone.geometry.intersection(&polygon(&PADDOCK)).unsigned_area() > 100.0);
    assert!(paddock.count() > 0, "the paddock is planted");

    let drawn: Vec<&Row> =
        zones.iter().filter(|zone| zone.text("reason").starts_with("drawn by hand")).collect();
    let [drawn] = drawn[..] else { panic!("{} zones are drawn by hand", drawn.len()) };
    let apart = drawn.geometry.xor(&polygon(&DRAWN)).unsigned_area();
    assert!(apart <= 0.001 * 100.0, "{apart} m² off what was drawn");
    assert!(drawn.text("short_reason").is_empty());

    let told = written::json(&plan)["warnings"].to_string();
    assert!(told.contains("1 of 2 break lines end inside the property: 30 m"), "{told}");
}

#[test]
fn a_line_that_hangs_loose_moves_nothing() {
    let zones = |loose: bool| {
        let folder = scratch();
        write_site(folder.path(), loose);
        expect(folder.path(), &["plan", "site.toml", "-o", "plan", "--only", "zones"], 0);
        std::fs::read(folder.path().join("plan/zones.geojson")).unwrap()
    };
    assert!(zones(true) == zones(false), "zones differ");
}

#[test]
fn a_point_is_no_break() {
    let folder = scratch();
    write_site(folder.path(), false);
    let point = small::feature("Point", &format!("[{},{}]", WEST + 90.0, NORTH - 90.0));
    small::text(folder.path(), "drawn.geojson", &point);
    let refused = expect(folder.path(), &["plan", "site.toml", "-o", "plan"], 2);
    let said = text(&refused.stderr);
    assert!(said.contains("drawn.geojson") && said.contains("is not a polygon"), "{said}");
    assert!(!folder.path().join("plan").exists());
}
