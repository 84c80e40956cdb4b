//! How wide a polygon is.

use std::cmp::Ordering;
use std::collections::BinaryHeap;

use geo::{Area, BoundingRect, LineString, MultiPolygon, Polygon};

/// Widths of a zone, metres of map.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Shape {
    /// Width of the rectangle with the same area and the same length of border, or the side of the
    /// square with the same area where the border is shorter than any rectangle's; the mean over
    /// parts, by area. Of a strip, straight or bent, its width; of a block its shorter side.
    pub mean_width_m: f64,
    /// Diameter of the largest circle that fits into it, to 0.1 m or 1 %, whichever is more.
    pub widest_m: f64,
}

impl Shape {
    /// Measures a polygon. Cost: a few passes over the border of a part, then some hundred
    /// looks at short stretches of it.
    #[must_use]
    pub fn of(area: &MultiPolygon<f64>) -> Self {
        let (mut sum, mut width, mut widest) = (0.0, 0.0, 0.0_f64);
        for part in area {
            let part_m2 = part.unsigned_area();
            sum += part_m2;
            width += part_m2 * rectangle_width(part_m2, border_m(part));
            widest = widest.max(2.0 * largest_circle_radius(part, widest / 2.0));
        }
        Self { mean_width_m: if sum > 0.0 { width / sum } else { 0.0 }, widest_m: widest }
    }
}

/// Shorter side of the rectangle of an area and a perimeter.
fn rectangle_width(area: f64, perimeter: f64) -> f64 {
    let quarter = perimeter / 4.0;
    let rest = quarter * quarter - area;
    if rest <= 0.0 { area.sqrt() } else { area / (quarter + rest.sqrt()) }
}

/// Every ring of a polygon, the shell first.
pub(crate) fn rings(part: &Polygon<f64>) -> impl Iterator<Item = &LineString<f64>> {
    std::iter::once(part.exterior()).chain(part.interiors())
}

fn border_m(part: &Polygon<f64>) -> f64 {
    let sides = rings(part).flat_map(LineString::lines);
    sides.map(|side| (side.end.x - side.start.x).hypot(side.end.y - side.start.y)).sum()
}

/// How near the radius of the largest circle is found: metres, and as a share of it.
const PRECISION_M: f64 = 0.05;
const PRECISION_SHARE: f64 = 0.01;

/// What a radius may lack.
fn precision_m(radius: f64) -> f64 {
    PRECISION_M.max(radius * PRECISION_SHARE)
}

/// A square that may hold the middle of a larger circle.
struct Square {
    middle: [f64; 2],
    half: f64,
    /// Distance from the middle to the border, below 0 outside.
    inside: f64,
    /// The sides of the border that may be the nearest to some point of the square.
    near: Vec<u32>,
}

impl Square {
    /// A square whose points have their nearest side among some.
    fn new(
        middle: [f64; 2],
        half: f64,
        border: &Border,
        among: &[u32],
        room: &mut Vec<f64>,
    ) -> Self {
        let squared = |side: &u32| border.sides[*side as usize].distance_squared(middle);
        room.clear();
        room.extend(among.iter().map(squared));
        let nearest = room.iter().copied().fold(f64::INFINITY, f64::min).sqrt();
        // The side nearest to a point of the square is no further from the middle than this, and
        // a hair for rounding.
        let reach = (nearest + 2.0 * half * std::f64::consts::SQRT_2) * (1.0 + 1e-9);
        let is_near = |squared: &f64| *squared <= reach * reach;
        let near = among.iter().zip(&*room).filter(|(_, squared)| is_near(squared));
        let near = near.map(|(side, _)| *side).collect();
        let inside = if border.holds(middle) { nearest } else { -nearest };
        Self { middle, half, inside, near }
    }

    /// No circle about any of its points is larger.
    fn most(&self) -> f64 {
        self.inside + self.half * std::f64::consts::SQRT_2
    }
}

impl Ord for Square {
    fn cmp(&self, other: &Self) -> Ordering {
        self.most().total_cmp(&other.most())
    }
}

impl PartialOrd for Square {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl PartialEq for Square {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other) == Ordering::Equal
    }
}

impl Eq for Square {}

/// Radius of the largest circle inside a polygon, or `known` where that is larger; to
/// [`precision_m`].
///
/// Squares are quartered, the one that could hold the largest circle first, until none could hold a
/// larger one than was found (branch and bound on a quadtree). Each passes on only the sides that
/// can be nearest in it.
fn largest_circle_radius(part: &Polygon<f64>, known: f64) -> f64 {
    let Some(around) = part.bounding_rect() else { return known };
    let side = around.width().min(around.height());
    if side / 2.0 <= known + precision_m(known) {
        return known;
    }
    let border = Border::new(part);
    let all: Vec<u32> = (0..border.sides.len() as u32).collect();
    let mut room = Vec::new();
    let mut open = BinaryHeap::new();
    let mut best = known;
    let half = side / 2.0;
    for col in 0..(around.width() / side).ceil() as usize {
        for row in 0..(around.height() / side).ceil() as usize {
            let middle = [
                around.min().x + half + side * col as f64,
                around.min().y + half + side * row as f64,
            ];
            open.push(Square::new(middle, half, &border, &all, &mut room));
        }
    }
    while let Some(square) = open.pop() {
        best = best.max(square.inside);
        if square.most() <= best + precision_m(best) {
            break;
        }
        let half = square.half / 2.0;
        for [east, north] in [[-half, -half], [half, -half], [-half, half], [half, half]] {
            let middle = [square.middle[0] + east, square.middle[1] + north];
            open.push(Square::new(middle, half, &border, &square.near, &mut room));
        }
    }
    best
}

/// A straight piece of the border, from one end to the other.
#[derive(Clone, Copy)]
struct Side {
    from: [f64; 2],
    to: [f64; 2],
}

impl Side {
    fn distance_squared(&self, [x, y]: [f64; 2]) -> f64 {
        let [[ax, ay], [bx, by]] = [self.from, self.to];
        let (dx, dy) = (bx - ax, by - ay);
        let length = dx * dx + dy * dy;
        let along = if length > 0.0 {
            (((x - ax) * dx + (y - ay) * dy) / length).clamp(0.0, 1.0)
        } else {
            0.0
        };
        let (east, north) = (ax + along * dx - x, ay + along * dy - y);
        east * east + north * north
    }

    /// Whether it crosses the way from a point straight to the east.
    fn is_east_of(&self, [x, y]: [f64; 2]) -> bool {
        let [[ax, ay], [bx, by]] = [self.from, self.to];
        (ay > y) != (by > y) && x < (bx - ax) * (y - ay) / (by - ay) + ax
    }
}

/// The border of a polygon, its sides also by how far north they lie.
struct Border {
    sides: Vec<Side>,
    south: f64,
    /// Height of a band, metres, and for each band the sides that reach into it.
    band_m: f64,
    bands: Vec<Vec<u32>>,
}

impl Border {
    fn new(part: &Polygon<f64>) -> Self {
        let side = |side: geo::Line<f64>| Side {
            from: [side.start.x, side.start.y],
            to: [side.end.x, side.end.y],
        };
        let sides: Vec<Side> = rings(part).flat_map(LineString::lines).map(side).collect();
        let heights = || sides.iter().flat_map(|side| [side.from[1], side.to[1]]);
        let south = heights().fold(f64::INFINITY, f64::min);
        let north = heights().fold(f64::NEG_INFINITY, f64::max);
        let count = (sides.len() / 4).max(1);
        let band_m = ((north - south) / count as f64).max(f64::MIN_POSITIVE);
        let mut border = Self { sides, south, band_m, bands: vec![Vec::new(); count] };
        for number in 0..border.sides.len() {
            let Side { from, to } = border.sides[number];
            let [low, high] = [from[1].min(to[1]), from[1].max(to[1])];
            for band in border.band(low)..=border.band(high) {
                border.bands[band].push(number as u32);
            }
        }
        border
    }

    /// The band that a northing lies in. It never falls as the northing rises, so a side that
    /// spans a northing is in its band, whatever the rounding.
    fn band(&self, y: f64) -> usize {
        (((y - self.south) / self.band_m) as usize).min(self.bands.len() - 1)
    }

    /// Whether a point lies inside, by the parity of the sides east of it.
    fn holds(&self, point: [f64; 2]) -> bool {
        let band = &self.bands[self.band(point[1])];
        band.iter().filter(|side| self.sides[**side as usize].is_east_of(point)).count() % 2 == 1
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use geo::{Rotate, polygon};
    use proptest::prelude::*;

    fn rectangle(length: f64, width: f64, turned_deg: f64) -> MultiPolygon<f64> {
        let (x, y) = (1_800_000.0, 5_600_000.0);
        let straight = polygon![
            (x: x, y: y), (x: x + length, y: y), (x: x + length, y: y + width), (x: x, y: y + width)
        ];
        MultiPolygon::new(vec![straight.rotate_around_centroid(turned_deg)])
    }

    #[test]
    fn a_rectangle_is_as_wide_as_its_shorter_side() {
        for turned in [0.0, 30.0, 45.0] {
            for (length, width) in [(400.0, 12.0), (60.0, 50.0), (20.0, 20.0)] {
                let shape = Shape::of(&rectangle(length, width, turned));
                assert!((shape.mean_width_m - width).abs() < 1e-3, "{shape:?}");
                assert!((shape.widest_m - width).abs() < (width * 0.01).max(0.1), "{shape:?}");
            }
        }
    }

    #[test]
    fn a_bent_strip_keeps_its_width() {
        // Three sides of a square of 100 m, 10 m wide: 10 × 280 m along the middle.
        let strip = polygon![
            (x: 0.0, y: 0.0), (x: 100.0, y: 0.0), (x: 100.0, y: 100.0), (x: 90.0, y: 100.0),
            (x: 90.0, y: 10.0), (x: 10.0, y: 10.0), (x: 10.0, y: 100.0), (x: 0.0, y: 100.0)
        ];
        let shape = Shape::of(&MultiPolygon::new(vec![strip]));
        assert!((shape.mean_width_m - 10.0).abs() < 1e-9, "{shape:?}");
        // The corner takes a circle that touches both outer sides and the inner corner.
        let corner = 2.0 * 10.0 / (1.0 + std::f64::consts::FRAC_1_SQRT_2);
        assert!((shape.widest_m - corner).abs() < (corner * 0.01).max(0.1), "{shape:?}");
    }

    /// Distance to the border, below 0 outside, from all sides, one after the other.
    fn distance_inside(border: &Border, point: [f64; 2]) -> f64 {
        let sides = &border.sides;
        let nearest =
            sides.iter().map(|side| side.distance_squared(point)).fold(f64::INFINITY, f64::min);
        let crossed = sides.iter().filter(|side| side.is_east_of(point)).count();
        if crossed % 2 == 1 { nearest.sqrt() } else { -nearest.sqrt() }
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(48))]

        /// Stars with ragged rays, a hole in them: against a walk along a lattice of points.
        #[test]
        fn no_point_of_a_lattice_lies_deeper_inside(
            rays in prop::collection::vec(30.0_f64..200.0, 3..60),
            hole_m in 1.0_f64..20.0,
        ) {
            let turn = std::f64::consts::TAU / rays.len() as f64;
            let corner = |(ray, length): (usize, &f64)| {
                let (sin, cos) = (turn * ray as f64).sin_cos();
                (1_800_000.0 + length * cos, 5_600_000.0 + length * sin)
            };
            let shell: Vec<_> = rays.iter().enumerate().map(corner).collect();
            let hole = [(0.0, 0.0), (hole_m, 0.0), (0.0, hole_m)];
            let hole = hole.map(|(x, y)| (1_800_000.0 + x, 5_600_000.0 + y)).to_vec();
            let part = Polygon::new(LineString::from(shell), vec![LineString::from(hole)]);
            let found = largest_circle_radius(&part, 0.0);
            let border = Border::new(&part);
            let mut deepest = 0.0_f64;
            for step in 0..120 * 120 {
                let (east, north) = (f64::from(step % 120 - 60), f64::from(step / 120 - 60));
                let point = [1_800_000.0 + 3.4 * east, 5_600_000.0 + 3.4 * north];
                deepest = deepest.max(distance_inside(&border, point));
            }
            prop_assert!(deepest <= found + precision_m(found), "{deepest} {found}");
            // No lattice point is further than half a diagonal from the middle of the circle.
            prop_assert!(found <= deepest + 1.7 * std::f64::consts::SQRT_2, "{deepest} {found}");
        }
    }

    #[test]
    fn a_hole_takes_room_and_nothing_has_no_width() {
        let square = rectangle(100.0, 100.0, 0.0).0.remove(0);
        let hole = rectangle(60.0, 60.0, 0.0).0.remove(0);
        let (east, north) = (20.0, 20.0);
        let hole = LineString::from(
            hole.exterior().coords().map(|c| (c.x + east, c.y + north)).collect::<Vec<_>>(),
        );
        let holed = Polygon::new(square.exterior().clone(), vec![hole]);
        let shape = Shape::of(&MultiPolygon::new(vec![holed]));
        let corner = 2.0 * 20.0 / (1.0 + std::f64::consts::FRAC_1_SQRT_2);
        assert!((shape.widest_m - corner).abs() < (corner * 0.01).max(0.1), "{shape:?}");
        let none = Shape::of(&MultiPolygon::new(vec![]));
        assert_eq!(none, Shape { mean_width_m: 0.0, widest_m: 0.0 });
    }
}
