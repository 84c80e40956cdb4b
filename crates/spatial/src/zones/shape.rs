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
    /// Measures a polygon. Cost: some hundred distances to the border a part.
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

fn rings(part: &Polygon<f64>) -> impl Iterator<Item = &LineString<f64>> {
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
}

impl Square {
    fn new(middle: [f64; 2], half: f64, part: &Polygon<f64>) -> Self {
        Self { middle, half, inside: distance_inside(part, middle) }
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
/// larger one than was found (branch and bound on a quadtree).
fn largest_circle_radius(part: &Polygon<f64>, known: f64) -> f64 {
    let Some(around) = part.bounding_rect() else { return known };
    let side = around.width().min(around.height());
    if side / 2.0 <= known + precision_m(known) {
        return known;
    }
    let mut open = BinaryHeap::new();
    let mut best = known;
    let half = side / 2.0;
    for col in 0..(around.width() / side).ceil() as usize {
        for row in 0..(around.height() / side).ceil() as usize {
            let middle = [
                around.min().x + half + side * col as f64,
                around.min().y + half + side * row as f64,
            ];
            open.push(Square::new(middle, half, part));
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
            open.push(Square::new(middle, half, part));
        }
    }
    best
}

/// Distance to the border, below 0 outside.
fn distance_inside(part: &Polygon<f64>, [x, y]: [f64; 2]) -> f64 {
    let (mut inside, mut nearest) = (false, f64::INFINITY);
    for side in rings(part).flat_map(LineString::lines) {
        let (a, b) = (side.start, side.end);
        if (a.y > y) != (b.y > y) && x < (b.x - a.x) * (y - a.y) / (b.y - a.y) + a.x {
            inside = !inside;
        }
        let (dx, dy) = (b.x - a.x, b.y - a.y);
        let length = dx * dx + dy * dy;
        let along = if length > 0.0 {
            (((x - a.x) * dx + (y - a.y) * dy) / length).clamp(0.0, 1.0)
        } else {
            0.0
        };
        let (east, north) = (a.x + along * dx - x, a.y + along * dy - y);
        nearest = nearest.min(east * east + north * north);
    }
    if inside { nearest.sqrt() } else { -nearest.sqrt() }
}

#[cfg(test)]
mod tests {
    use super::*;
    use geo::{Rotate, polygon};

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
