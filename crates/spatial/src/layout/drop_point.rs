//! Where plants for a zone are set down: a place on a track near it.

use geo::{
    BoundingRect, Centroid, Contains, Coord, Distance, Euclidean, Line, LineString, MultiPolygon,
    Point, Rect,
};
use rstar::{AABB, RTree};

use crate::zones::rings;

/// How much farther from its zone than the nearest place on a track a drop point may lie, metres;
/// our choice. A border that follows a track is as near to it all along but for roundings: within
/// this much the place in the middle is taken, not one at an end that rounding has picked.
pub const AS_NEAR_M: f64 = 1.0;

/// A place on a track. It is one on the map: it does not say that a vehicle can get there safely.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DropPoint {
    /// Easting and northing in the plan's coordinate system, metres.
    pub at: [f64; 2],
    /// Distance between the zone and the nearest track, metres of map; 0 where they meet.
    pub to_track_m: f64,
}

/// The tracks of a property, ready to be searched.
#[derive(Debug, Clone)]
pub struct Tracks {
    segments: RTree<Line<f64>>,
}

impl Tracks {
    /// Takes lines in the plan's coordinate system. Cost: O(n log n) in their segments.
    #[must_use]
    pub fn new(lines: &[LineString<f64>]) -> Self {
        let segments = lines.iter().flat_map(LineString::lines).collect();
        Self { segments: RTree::bulk_load(segments) }
    }

    /// The drop point of a zone: of all places on tracks that are as near to it as the nearest, to
    /// [`AS_NEAR_M`], that nearest to the zone's centroid, which may lie outside it. Where tracks run
    /// through the zone all places on them within it count. Of several as near to the centroid the
    /// most western, then the most southern. `None` without tracks.
    ///
    /// Cost: about O(s log n) for s sides and n segments, and a look along every side for each
    /// segment in the zone's bounds. Source: plane geometry.
    #[must_use]
    pub fn drop_point(&self, zone: &MultiPolygon<f64>) -> Option<DropPoint> {
        let (middle, bounds) = (zone.centroid()?, zone.bounding_rect()?);
        let sides: Vec<Line<f64>> =
            zone.iter().flat_map(rings).flat_map(LineString::lines).collect();
        let to_track_m = self.distance_m(zone, &sides)?;
        let within = to_track_m + AS_NEAR_M;
        let border = RTree::bulk_load(sides);
        let near = self.segments.locate_in_envelope_intersecting(&grown(bounds, within));
        let places = near.flat_map(|track| {
            let parts = parts_within(track, zone, &border, within);
            parts.into_iter().map(|part| nearest_on(track, part, middle.0))
        });
        let at = places.min_by(|a, b| order(*a, *b, middle.0))?;
        Some(DropPoint { at: [at.x, at.y], to_track_m })
    }

    /// Distance of a place from the nearest track, metres of map in a straight line, which is shorter
    /// than any way on foot; `None` without tracks. Cost: about O(log n) for n segments.
    #[must_use]
    pub fn from_place_m(&self, place: Point<f64>) -> Option<f64> {
        let nearest = self.segments.nearest_neighbor(&place)?;
        Some(Euclidean.distance(nearest, &place))
    }

    /// Distance between a zone and the nearest track, metres; `None` without tracks.
    fn distance_m(&self, zone: &MultiPolygon<f64>, sides: &[Line<f64>]) -> Option<f64> {
        let corners = sides.iter().filter_map(|side| {
            let corner = side.start_point();
            let nearest = self.segments.nearest_neighbor(&corner)?;
            Some(Euclidean.distance(nearest, &corner))
        });
        let mut least = corners.min_by(f64::total_cmp)?;
        for side in sides {
            let around = grown(side.bounding_rect(), least);
            for track in self.segments.locate_in_envelope_intersecting(&around) {
                least = least.min(Euclidean.distance(track, side));
            }
        }
        // No track crosses the border: each lies wholly within the zone or wholly outside.
        let inside = || {
            let bounds = zone.bounding_rect().map(|bounds| grown(bounds, 0.0));
            let mut near = bounds
                .iter()
                .flat_map(|bounds| self.segments.locate_in_envelope_intersecting(bounds));
            near.any(|track| zone.contains(&track.start_point()))
        };
        Some(if least > 0.0 && inside() { 0.0 } else { least })
    }
}

/// By distance from the middle, then from west to east, then from south to north.
fn order(a: Coord<f64>, b: Coord<f64>, middle: Coord<f64>) -> std::cmp::Ordering {
    let apart = |place: Coord<f64>| square(place - middle);
    apart(a).total_cmp(&apart(b)).then(a.x.total_cmp(&b.x)).then(a.y.total_cmp(&b.y))
}

fn grown(rect: Rect<f64>, by: f64) -> AABB<Point<f64>> {
    let by = Coord { x: by, y: by };
    AABB::from_corners((rect.min() - by).into(), (rect.max() + by).into())
}

/// A part of a segment, from its start at 0 to its end at 1.
type Part = [f64; 2];

/// The parts of a segment that lie within a distance, over 0, of a zone or inside it.
fn parts_within(
    track: &Line<f64>,
    zone: &MultiPolygon<f64>,
    border: &RTree<Line<f64>>,
    within: f64,
) -> Vec<Part> {
    let sides = border.locate_in_envelope_intersecting(&grown(track.bounding_rect(), within));
    let mut parts: Vec<Part> = sides.filter_map(|side| part_near(track, side, within)).collect();
    parts.sort_by(|a, b| a[0].total_cmp(&b[0]).then(a[1].total_cmp(&b[1])));
    // What lies between keeps away from the border: it is inside or outside as a whole.
    let mut gaps: Vec<Part> = Vec::new();
    let mut reached = 0.0_f64;
    for [from, to] in parts.iter().copied().chain([[1.0, 1.0]]) {
        if from > reached {
            gaps.push([reached, from]);
        }
        reached = reached.max(to);
    }
    let inside = |[from, to]: &Part| {
        let middle = track.start + track.delta() * f64::midpoint(*from, *to);
        zone.contains(&Point::from(middle))
    };
    parts.extend(gaps.into_iter().filter(inside));
    parts
}

/// The part of a segment within a distance of a side. What is so near is convex, two discs and the
/// rectangle between them: the part is one, from the first of theirs to the last.
fn part_near(track: &Line<f64>, side: &Line<f64>, within: f64) -> Option<Part> {
    let pieces = [
        part_in_disc(track, side.start, within),
        part_in_disc(track, side.end, within),
        part_beside(track, side, within),
    ];
    let hull = |a: Part, b: Part| [a[0].min(b[0]), a[1].max(b[1])];
    let [from, to] = pieces.into_iter().flatten().reduce(hull)?;
    let part = [from.max(0.0), to.min(1.0)];
    (part[0] <= part[1]).then_some(part)
}

/// The part of the endless line through a segment that lies in a disc.
fn part_in_disc(track: &Line<f64>, centre: Coord<f64>, radius: f64) -> Option<Part> {
    let (along, to) = (track.delta(), centre - track.start);
    let long = square(along);
    if long == 0.0 {
        return (square(to) <= radius * radius).then_some([0.0, 1.0]);
    }
    let foot = dot(to, along) / long;
    let off = cross(to, along);
    let half = (radius * radius - off * off / long) / long;
    (half >= 0.0).then(|| [foot - half.sqrt(), foot + half.sqrt()])
}

/// The part of the endless line through a segment that lies in the rectangle along a side, as wide
/// as a distance on each hand.
fn part_beside(track: &Line<f64>, side: &Line<f64>, within: f64) -> Option<Part> {
    let (along, from) = (track.delta(), track.start - side.start);
    let length = square(side.delta()).sqrt();
    if length == 0.0 {
        return None;
    }
    let side = side.delta() / length;
    let first = part_between(dot(from, side), dot(along, side), 0.0, length)?;
    let second = part_between(cross(from, side), cross(along, side), -within, within)?;
    let part = [first[0].max(second[0]), first[1].min(second[1])];
    (part[0] <= part[1]).then_some(part)
}

/// Where `start + slope × t` lies from `low` to `high`.
fn part_between(start: f64, slope: f64, low: f64, high: f64) -> Option<Part> {
    if slope == 0.0 {
        return (low <= start && start <= high).then_some([f64::NEG_INFINITY, f64::INFINITY]);
    }
    let [a, b] = [(low - start) / slope, (high - start) / slope];
    Some([a.min(b), a.max(b)])
}

/// The place on a part of a segment that is nearest to another place.
fn nearest_on(track: &Line<f64>, [from, to]: Part, place: Coord<f64>) -> Coord<f64> {
    let long = square(track.delta());
    let foot = if long > 0.0 { dot(place - track.start, track.delta()) / long } else { 0.0 };
    let share = foot.max(from).min(to);
    if share < 1.0 { track.start + track.delta() * share } else { track.end }
}

fn dot(a: Coord<f64>, b: Coord<f64>) -> f64 {
    a.x * b.x + a.y * b.y
}

fn cross(a: Coord<f64>, b: Coord<f64>) -> f64 {
    a.x * b.y - a.y * b.x
}

fn square(a: Coord<f64>) -> f64 {
    dot(a, a)
}

#[cfg(test)]
#[expect(clippy::float_cmp, reason = "the tests ask for exact values")]
mod tests {
    use geo::{MultiLineString, Polygon, Translate, polygon};
    use proptest::prelude::*;

    use super::*;

    /// Around the middle of a national grid, where roundings are those of real coordinates.
    const EAST: f64 = 1_800_000.0;
    const NORTH: f64 = 5_600_000.0;

    fn line(corners: &[(f64, f64)]) -> LineString<f64> {
        corners.iter().map(|(x, y)| (EAST + x, NORTH + y)).collect()
    }

    fn square_zone() -> MultiPolygon<f64> {
        let square = polygon![(x: 0.0, y: 0.0), (x: 100.0, y: 0.0), (x: 100.0, y: 100.0), (x: 0.0, y: 100.0)];
        MultiPolygon::new(vec![square]).translate(EAST, NORTH)
    }

    fn found(tracks: &[LineString<f64>], zone: &MultiPolygon<f64>) -> ([f64; 2], f64) {
        let drop = Tracks::new(tracks).drop_point(zone).unwrap();
        ([drop.at[0] - EAST, drop.at[1] - NORTH], drop.to_track_m)
    }

    #[test]
    fn no_track_no_drop_point() {
        assert_eq!(Tracks::new(&[]).drop_point(&square_zone()), None);
        let track = line(&[(0.0, 0.0), (1.0, 1.0)]);
        assert_eq!(Tracks::new(&[track]).drop_point(&MultiPolygon::new(vec![])), None);
    }

    #[test]
    fn the_end_of_a_track_is_nearest_to_a_corner() {
        // 3, 4, 5.
        let (at, metres) =
            found(&[line(&[(203.0, 104.0), (103.0, 104.0), (150.0, 300.0)])], &square_zone());
        assert!((metres - 5.0).abs() < 1e-8, "{metres}");
        assert!((at[0] - 103.0).hypot(at[1] - 104.0) < 1.5, "{at:?}");
    }

    #[test]
    fn along_a_border_it_lies_in_the_middle() {
        let beside = [line(&[(-40.0, -3.5), (60.0, -3.500_000_1), (300.0, -3.5)])];
        let (at, metres) = found(&beside, &square_zone());
        assert!((metres - 3.5).abs() < 1e-6, "{metres}");
        assert!((at[0] - 50.0).abs() < 1e-6 && (at[1] + 3.5).abs() < 1e-6, "{at:?}");
    }

    #[test]
    fn a_track_through_or_within_the_zone_meets_it_nearest_to_the_centroid() {
        let through = [line(&[(-40.0, 30.0), (300.0, 30.0)])];
        let within = [line(&[(20.0, 30.0), (80.0, 30.0)])];
        let without_length = [line(&[(50.0, 30.0), (50.0, 30.0)])];
        for tracks in [&through, &within, &without_length] {
            let (at, metres) = found(tracks, &square_zone());
            assert_eq!(metres, 0.0);
            assert!((at[0] - 50.0).abs() < 1e-6 && (at[1] - 30.0).abs() < 1e-6, "{at:?}");
        }
    }

    #[test]
    fn a_track_in_a_hole_is_not_in_the_zone() {
        let ring = |low: f64, high: f64| {
            line(&[(low, low), (high, low), (high, high), (low, high), (low, low)])
        };
        let zone = MultiPolygon::new(vec![Polygon::new(ring(0.0, 100.0), vec![ring(40.0, 60.0)])]);
        let (at, metres) = found(&[line(&[(50.0, 50.0), (50.0, 52.0)])], &zone);
        assert!((metres - 8.0).abs() < 1e-8, "{metres}");
        assert!((at[0] - 50.0).abs() < 1e-6 && at[1] >= 51.0 - 1e-6, "{at:?}");
    }

    #[test]
    fn of_two_as_near_the_western_one_is_taken_whatever_their_order() {
        let (west, east) =
            (line(&[(-5.0, 0.0), (-5.0, 100.0)]), line(&[(105.0, 0.0), (105.0, 100.0)]));
        let (at, _) = found(&[west.clone(), east.clone()], &square_zone());
        assert_eq!(at, [-5.0, 50.0]);
        assert_eq!(found(&[east, west], &square_zone()).0, at);
    }

    /// A zone of two parts, one with a hole, each a star about a place of its own.
    fn zones() -> impl Strategy<Value = MultiPolygon<f64>> {
        let star = |x: f64, hole: bool| {
            prop::collection::vec(40.0_f64..90.0, 5..12).prop_map(move |radii| {
                let turn = std::f64::consts::TAU / radii.len() as f64;
                let ring = |share: f64| -> LineString<f64> {
                    let corner = |(at, radius): (usize, &f64)| {
                        let (sin, cos) = (at as f64 * turn).sin_cos();
                        (EAST + x + radius * share * cos, NORTH + radius * share * sin)
                    };
                    let mut ring: LineString<f64> = radii.iter().enumerate().map(corner).collect();
                    ring.close();
                    ring
                };
                Polygon::new(ring(1.0), if hole { vec![ring(0.5)] } else { vec![] })
            })
        };
        (star(0.0, true), star(200.0, false)).prop_map(|(a, b)| MultiPolygon::new(vec![a, b]))
    }

    fn tracks() -> impl Strategy<Value = Vec<LineString<f64>>> {
        let corner = (-300.0_f64..500.0, -300.0_f64..300.0);
        let track = prop::collection::vec(corner, 2..6).prop_map(|corners| line(&corners));
        prop::collection::vec(track, 1..4)
    }

    proptest! {
        /// Against every segment, one by one.
        #[test]
        fn a_place_is_as_far_as_from_the_nearest_of_all_segments(
            tracks in tracks(),
            x in -400.0_f64..600.0,
            y in -400.0_f64..400.0,
        ) {
            let place = Point::new(EAST + x, NORTH + y);
            let all = tracks.iter().flat_map(LineString::lines);
            let slow = all.map(|one| Euclidean.distance(&one, &place)).fold(f64::INFINITY, f64::min);
            prop_assert_eq!(Tracks::new(&tracks).from_place_m(place), Some(slow));
            prop_assert_eq!(Tracks::new(&[]).from_place_m(place), None);
        }

        /// The distance is that of every segment from every side; the place lies on a track and as
        /// near as it may; and no place on a track, looked at every half metre, is as near and
        /// nearer to the centroid. Distances by `geo`, which shares none of the search.
        #[test]
        fn the_search_finds_what_looking_everywhere_finds(zone in zones(), tracks in tracks()) {
            let drop = Tracks::new(&tracks).drop_point(&zone).unwrap();
            let ways = MultiLineString::new(tracks.clone());
            let sides = || zone.iter().flat_map(rings).flat_map(LineString::lines);
            let segments = || tracks.iter().flat_map(LineString::lines);
            let meets = segments().any(|one| zone.contains(&one.start_point()));
            let slow = segments().flat_map(|one| sides().map(move |side| Euclidean.distance(&one, &side)));
            let slow = if meets { 0.0 } else { slow.fold(f64::INFINITY, f64::min) };
            prop_assert_eq!(drop.to_track_m, slow);
            let place = Point::new(drop.at[0], drop.at[1]);
            prop_assert!(Euclidean.distance(&place, &ways) < 1e-8);
            let limit = slow + AS_NEAR_M;
            prop_assert!(Euclidean.distance(&place, &zone) <= limit + 1e-6);
            let middle = zone.centroid().unwrap();
            let best = Euclidean.distance(&place, &middle);
            for segment in segments() {
                let steps = (square(segment.delta()).sqrt() / 0.5).ceil();
                for step in 0..=(steps as u32) {
                    let other = segment.start + segment.delta() * (f64::from(step) / steps);
                    let other = Point::from(other);
                    if Euclidean.distance(&other, &middle) < best - 1e-6 {
                        prop_assert!(Euclidean.distance(&other, &zone) > limit - 1e-6, "{other:?}");
                    }
                }
            }
        }
    }
}
