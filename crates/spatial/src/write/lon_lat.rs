//! Polygons on the globe: longitude and latitude, rounded, tidy, cut at the 180th meridian.

use geo::orient::Direction;
use geo::{
    Area, BooleanOps, Coord, CoordsIter, LineString, MapCoords, MultiPolygon, Orient, Polygon, Rect,
};

use crate::problem::Problem;
use crate::zones::{from_partition, to_partition};

/// Moves points from the plan's coordinate system (easting, northing) to longitude and latitude on
/// WGS 84, degrees, in that order, in place.
pub type ToLonLat<'a> = &'a dyn Fn(&mut [(f64, f64)]) -> Result<(), Problem>;

/// Steps in a degree: 7 decimals, 11 mm along a meridian, as RFC 7946 section 11.2 holds enough.
const STEPS: f64 = 1e7;

/// Areas of the plan on the globe, after RFC 7946: shells run against the clock, holes with it, and
/// what crosses the 180th meridian is cut there.
///
/// All areas are rounded together, so that those which fit each other in the plan still do: no gap,
/// no overlap, and every corner on a border is one of both neighbours. Areas that are the same stay the
/// same; otherwise they lie side by side. Where some area crosses the
/// meridian each corner is rounded on its own: corners that neighbours share stay shared, but borders
/// that pass closer than a rounding may touch. Rings that rounding leaves without area are dropped,
/// which may leave nothing.
///
/// # Errors
/// When a point cannot be moved.
pub(crate) fn all_on_globe<'a>(
    areas: impl IntoIterator<Item = &'a MultiPolygon<f64>>,
    to_lon_lat: ToLonLat<'_>,
) -> Result<Vec<MultiPolygon<f64>>, Problem> {
    let moved = moved(&areas.into_iter().collect::<Vec<_>>(), to_lon_lat)?;
    let fitted = if moved.iter().any(crosses_antimeridian) { None } else { fitted(&moved) };
    Ok(fitted.unwrap_or_else(|| moved.into_iter().map(each_rounded).collect()))
}

/// Areas rounded together; `None` when they do not lie within 50 degrees of each other.
fn fitted(areas: &[MultiPolygon<f64>]) -> Option<Vec<MultiPolygon<f64>>> {
    /// To a unit of which a thousandth is a step.
    const SCALE: f64 = STEPS / 1000.0;
    let scaled: Vec<Vec<partition::Polygon>> = areas
        .iter()
        .map(|area| to_partition(&area.map_coords(|c| Coord { x: c.x * SCALE, y: c.y * SCALE })))
        .collect();
    let snapped = partition::snapped(&scaled).ok()?;
    let degrees = |c: Coord<f64>| rounded(Coord { x: c.x / SCALE, y: c.y / SCALE });
    Some(snapped.iter().map(|area| from_partition(area).map_coords(degrees)).collect())
}

/// An area whose corners are rounded one by one.
fn each_rounded(area: MultiPolygon<f64>) -> MultiPolygon<f64> {
    let cut = if crosses_antimeridian(&area) { cut_at_antimeridian(&area) } else { area };
    MultiPolygon::new(cut.iter().filter_map(tidy).collect()).orient(Direction::Default)
}

/// Areas on the globe as they are, all moved at once: making a transform ready takes long.
fn moved(
    areas: &[&MultiPolygon<f64>],
    to_lon_lat: ToLonLat<'_>,
) -> Result<Vec<MultiPolygon<f64>>, Problem> {
    let corners = areas.iter().flat_map(|area| area.coords_iter());
    let mut points: Vec<(f64, f64)> = corners.map(|c| (c.x, c.y)).collect();
    to_lon_lat(&mut points)?;
    if let Some((x, y)) = points.iter().find(|(x, y)| !(x.abs() <= 180.0 && y.abs() <= 90.0)) {
        return Err(Problem::error("coordinates")
            .found(format!("a corner at longitude {x}, latitude {y}"))
            .expected("longitude within ±180° and latitude within ±90°")
            .remedy("see that the coordinate system of the plan is the right one"));
    }
    let mut points = points.into_iter();
    let mut ring = |source: &LineString<f64>| {
        points.by_ref().take(source.0.len()).collect::<LineString<f64>>()
    };
    let mut polygon = |source: &Polygon<f64>| {
        let shell = ring(source.exterior());
        Polygon::new(shell, source.interiors().iter().map(&mut ring).collect())
    };
    Ok(areas.iter().map(|area| area.iter().map(&mut polygon).collect()).collect())
}

/// A side longer than half the globe is one that goes the other way round.
fn crosses_antimeridian(polygons: &MultiPolygon<f64>) -> bool {
    let long =
        |ring: &LineString<f64>| ring.lines().any(|side| (side.end.x - side.start.x).abs() > 180.0);
    polygons.iter().any(|polygon| long(polygon.exterior()))
}

/// Both sides of the meridian, each within ±180° (RFC 7946 section 3.1.9).
fn cut_at_antimeridian(polygons: &MultiPolygon<f64>) -> MultiPolygon<f64> {
    use geo::Translate;
    let eastward = |c: Coord<f64>| Coord { x: if c.x < 0.0 { c.x + 360.0 } else { c.x }, y: c.y };
    let unrolled = polygons.map_coords(eastward);
    let half = |west: f64| Rect::new((west, -90.0), (west + 180.0, 90.0)).to_polygon();
    let eastern = unrolled.intersection(&half(0.0));
    let western = unrolled.intersection(&half(180.0)).translate(-360.0, 0.0);
    eastern.into_iter().chain(western).collect()
}

/// A polygon rounded; `None` when nothing is left of it.
fn tidy(polygon: &Polygon<f64>) -> Option<Polygon<f64>> {
    let holes = polygon.interiors().iter().filter_map(tidy_ring).collect();
    tidy_ring(polygon.exterior()).map(|shell| Polygon::new(shell, holes))
}

/// A ring rounded, without repeated corners and without spikes that go out and back; `None` when it
/// has no area left.
fn tidy_ring(ring: &LineString<f64>) -> Option<LineString<f64>> {
    let mut kept: Vec<Coord<f64>> = Vec::with_capacity(ring.0.len());
    for corner in &ring.0 {
        kept.push(rounded(*corner));
        while ends_in_spike(&mut kept) {}
    }
    // The ring closes on itself: the same, across its first corner.
    while kept.len() > 1 && (kept.first() == kept.last() || kept.get(1) == kept.last()) {
        if kept.first() != kept.last() {
            kept.remove(0);
        }
        kept.pop();
        while ends_in_spike_at_start(&mut kept) {}
    }
    let ring = LineString::new(kept);
    let polygon = Polygon::new(ring, vec![]);
    (polygon.unsigned_area() > 0.0).then(|| polygon.into_inner().0)
}

/// Drops a repeated last corner, or the tip of a spike that ends there.
fn ends_in_spike(kept: &mut Vec<Coord<f64>>) -> bool {
    match kept[..] {
        [.., before, last] if before == last => kept.truncate(kept.len() - 1),
        [.., before, _, last] if before == last => kept.truncate(kept.len() - 2),
        _ => return false,
    }
    true
}

/// Drops the last corner and the one before, when the latter is the first corner again.
fn ends_in_spike_at_start(kept: &mut Vec<Coord<f64>>) -> bool {
    let spike = kept.len() > 2 && kept.first() == kept.get(kept.len() - 2);
    if spike {
        kept.truncate(kept.len() - 2);
    }
    spike
}

fn rounded(corner: Coord<f64>) -> Coord<f64> {
    Coord { x: rounded_degrees(corner.x), y: rounded_degrees(corner.y) }
}

/// Degrees with 7 decimals, about a centimetre.
pub(crate) fn rounded_degrees(degrees: f64) -> f64 {
    (degrees * STEPS).round() / STEPS + 0.0 // + 0.0: no minus zero
}

/// West, south, east, north of polygons on the globe; west is greater than east when they lie on
/// both sides of the 180th meridian (RFC 7946 section 5.2). `None` without polygons.
pub(crate) fn bounds(all: &[MultiPolygon<f64>]) -> Option<[f64; 4]> {
    let corners = || all.iter().flat_map(CoordsIter::coords_iter);
    let far = corners().any(|c| c.x > 90.0) && corners().any(|c| c.x < -90.0);
    let unrolled = |x: f64| if far && x < 0.0 { x + 360.0 } else { x };
    let rolled = |x: f64| if x > 180.0 { x - 360.0 } else { x };
    let widen = |b: Option<[f64; 4]>, c: Coord<f64>| {
        let x = unrolled(c.x);
        let [west, south, east, north] = b.unwrap_or([x, c.y, x, c.y]);
        Some([west.min(x), south.min(c.y), east.max(x), north.max(c.y)])
    };
    let [west, south, east, north] = corners().fold(None, widen)?;
    Some([rolled(west), south, rolled(east), north])
}

#[cfg(test)]
mod tests {
    use geo::polygon;
    use proptest::prelude::*;

    use super::*;

    /// A stand-in for a projection: metres over a globe of 100 km a degree, from a given origin.
    fn degrees(lon: f64) -> impl Fn(&mut [(f64, f64)]) -> Result<(), Problem> {
        move |points| {
            for (x, y) in points {
                let east = lon + *x / 1e5;
                (*x, *y) = (if east > 180.0 { east - 360.0 } else { east }, -39.0 + *y / 1e5);
            }
            Ok(())
        }
    }

    fn on_globe(
        area: &MultiPolygon<f64>,
        to_lon_lat: ToLonLat<'_>,
    ) -> Result<MultiPolygon<f64>, Problem> {
        Ok(all_on_globe([area], to_lon_lat)?.remove(0))
    }

    fn ring(corners: &[(f64, f64)]) -> LineString<f64> {
        let mut ring: LineString<f64> = corners.iter().copied().collect();
        ring.close();
        ring
    }

    fn tidied(corners: &[(f64, f64)]) -> Option<Vec<(f64, f64)>> {
        let kept = tidy_ring(&ring(corners))?.0;
        Some(kept.into_iter().map(|c| (c.x, c.y)).collect())
    }

    #[test]
    fn corners_have_seven_decimals_and_no_minus_zero() {
        let corner = rounded(Coord { x: 175.123_456_789, y: -1e-9 });
        assert_eq!(
            (corner.x.to_string(), corner.y.to_string()),
            ("175.1234568".into(), "0".into())
        );
    }

    #[test]
    fn repeated_corners_and_spikes_go() {
        let square = [(0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0)];
        let closed = [&square[..], &square[..1]].concat();
        let repeated = [(0.0, 0.0), (1.0, 0.0), (1.0, 1e-9), (1.0, 1.0), (0.0, 1.0), (1e-9, 0.0)];
        let spiked = [
            (0.0, 0.0),
            (1.0, 0.0),
            (3.0, 0.0),
            (5.0, 2.0),
            (3.0, 0.0),
            (1.0, 0.0),
            (1.0, 1.0),
            (0.0, 1.0),
        ];
        assert_eq!(tidied(&square).unwrap(), closed);
        assert_eq!(tidied(&repeated).unwrap(), closed);
        assert_eq!(tidied(&spiked).unwrap(), closed);
        let at_start = [(-2.0, 0.0), (0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0), (0.0, 0.0)];
        assert_eq!(tidied(&at_start).unwrap(), closed);
        let before_start =
            [(0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0), (0.0, 0.0), (-2.0, 0.0)];
        assert_eq!(tidied(&before_start).unwrap(), closed);
    }

    #[test]
    fn a_ring_without_area_goes() {
        assert_eq!(tidied(&[]), None);
        assert_eq!(tidied(&[(1.0, 1.0)]), None);
        assert_eq!(tidied(&[(0.0, 0.0), (1e-8, 0.0), (0.0, 1e-8)]), None);
        assert_eq!(tidied(&[(0.0, 0.0), (1.0, 0.0), (2.0, 0.0)]), None);
        assert_eq!(tidied(&[(0.0, 0.0), (1.0, 0.0), (2.0, 0.0), (1.0, 0.0)]), None);
    }

    #[test]
    fn shells_run_against_the_clock_and_holes_with_it() {
        use geo::winding_order::Winding;
        let wrong = Polygon::new(
            ring(&[(0.0, 0.0), (0.0, 9.0), (9.0, 9.0), (9.0, 0.0)]),
            vec![ring(&[(3.0, 3.0), (5.0, 3.0), (5.0, 5.0)])],
        );
        let right = on_globe(&MultiPolygon::new(vec![wrong]), &degrees(175.0)).unwrap();
        assert!(right.0[0].exterior().is_ccw() && right.0[0].interiors()[0].is_cw());
    }

    #[test]
    fn what_crosses_the_180th_meridian_is_cut_there() {
        let across = MultiPolygon::new(vec![
            polygon![(x: 0.0, y: 0.0), (x: 2e4, y: 0.0), (x: 2e4, y: 1e4), (x: 0.0, y: 1e4)],
        ]);
        let cut = on_globe(&across, &degrees(179.9)).unwrap();
        assert_eq!(cut.0.len(), 2);
        assert!((cut.unsigned_area() - 0.02).abs() < 1e-9);
        assert_eq!(bounds(&[cut]), Some([179.9, -39.0, -179.9, -38.9]));
        let here = on_globe(&across, &degrees(175.0)).unwrap();
        assert_eq!(bounds(&[here]), Some([175.0, -39.0, 175.2, -38.9]));
    }

    #[test]
    fn no_polygons_have_no_bounds() {
        assert_eq!(bounds(&[]), None);
    }

    #[test]
    fn a_point_off_the_globe_is_refused() {
        let far =
            MultiPolygon::new(vec![polygon![(x: 0.0, y: 0.0), (x: 1e9, y: 0.0), (x: 0.0, y: 1e9)]]);
        assert!(on_globe(&far, &degrees(0.0)).unwrap_err().found.contains("longitude"));
        let nowhere = |points: &mut [(f64, f64)]| {
            points.fill((f64::NAN, 0.0));
            Ok(())
        };
        assert!(on_globe(&far, &nowhere).is_err());
    }

    proptest! {
        /// Two neighbours share the corners of a wandering border, wherever it runs.
        #[test]
        fn shared_corners_stay_shared(
            border in prop::collection::vec(-0.4_f64..0.4, 1..12),
            lon in -179.0_f64..178.0,
            size in 0.1_f64..1000.0,
        ) {
            let steps = border.len() as f64 + 1.0;
            let inner: Vec<(f64, f64)> = border.iter().enumerate()
                .map(|(i, x)| (x * size, (i as f64 + 1.0) / steps * size)).collect();
            let mut left = vec![(0.0, size), (-size, size), (-size, 0.0), (0.0, 0.0)];
            left.extend(&inner);
            let mut right = vec![(0.0, 0.0), (size, 0.0), (size, size), (0.0, size)];
            right.extend(inner.iter().rev());
            let polygon =
                |corners: &[(f64, f64)]| MultiPolygon::new(vec![Polygon::new(ring(corners), vec![])]);
            let whole = [(-size, 0.0), (0.0, 0.0), (size, 0.0), (size, size), (0.0, size), (-size, size)];
            let areas = [polygon(&left), polygon(&right)];
            let areas = all_on_globe(&areas, &degrees(lon)).unwrap();
            let sum = areas[0].unsigned_area() + areas[1].unsigned_area();
            let whole = all_on_globe(&[polygon(&whole)], &degrees(lon)).unwrap();
            let whole = whole[0].unsigned_area();
            prop_assert!((sum - whole).abs() <= 1e-9 * whole);
            prop_assert!(areas.iter().all(geo::Validation::is_valid));
        }
    }
}
