//! How two segments on the precision grid meet, decided exactly.

use crate::precision::{Point, turn};

/// A straight piece of linework and the source it came from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Segment {
    pub(crate) from: Point,
    pub(crate) to: Point,
    pub(crate) source: u32,
}

/// How two segments meet.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Meeting {
    /// Nowhere.
    Apart,
    /// In one point that is an end of both.
    Joined,
    /// In one point inside both.
    Crossing,
    /// An end of one lies inside the other, or they share more than a point.
    Touching,
}

impl Segment {
    /// How this segment meets another; neither may be of zero length.
    pub(crate) fn meeting(&self, other: &Self) -> Meeting {
        if !self.bounds_overlap(other) {
            return Meeting::Apart;
        }
        let sides = [other.from, other.to].map(|p| turn(self.from, self.to, p).signum());
        let other_sides = [self.from, self.to].map(|p| turn(other.from, other.to, p).signum());
        let apart = |s: [i64; 2]| s[0] == s[1] && s[0] != 0;
        if apart(sides) || apart(other_sides) {
            Meeting::Apart
        } else if sides == [0, 0] {
            self.meeting_in_line(other)
        } else if sides[0] * sides[1] < 0 && other_sides[0] * other_sides[1] < 0 {
            Meeting::Crossing
        } else if self.shares_an_end_with(other) {
            Meeting::Joined
        } else {
            Meeting::Touching
        }
    }

    /// The grid node nearest to where two segments cross, halves rounded up; the crossing point is
    /// a fraction of whole numbers, so nothing is lost before the rounding.
    pub(crate) fn rounded_crossing(&self, other: &Self) -> Point {
        let toward = turn(other.from, other.to, self.from);
        let beyond = turn(other.from, other.to, self.to);
        let (part, whole) = if toward < beyond {
            (-i128::from(toward), i128::from(beyond - toward))
        } else {
            (i128::from(toward), i128::from(toward - beyond))
        };
        let along = |from: i64, to: i64| {
            let moved = 2 * part * i128::from(to - from) + whole;
            from + moved.div_euclid(2 * whole) as i64
        };
        Point { x: along(self.from.x, self.to.x), y: along(self.from.y, self.to.y) }
    }

    /// Whether the segment meets the pixel around a grid node: the unit square that owns its
    /// western and southern sides and its south-western corner, as rounding does.
    pub(crate) fn enters_pixel(&self, centre: Point) -> bool {
        let twice = |p: Point| Point { x: 2 * p.x, y: 2 * p.y };
        let (a, b, c) = (twice(self.from), twice(self.to), twice(centre));
        let beside = |a: i64, b: i64, c: i64| a.max(b) < c - 1 || a.min(b) > c + 1;
        if beside(a.x, b.x, c.x) || beside(a.y, b.y, c.y) {
            return false;
        }
        let corner = |dx, dy| turn(a, b, Point { x: c.x + dx, y: c.y + dy }).signum();
        let sides = [corner(-1, -1), corner(1, -1), corner(1, 1), corner(-1, 1)];
        (sides.contains(&1) && sides.contains(&-1)) || sides[0] == 0
    }

    fn bounds_overlap(&self, other: &Self) -> bool {
        let overlap = |a: i64, b: i64, c: i64, d: i64| a.min(b) <= c.max(d) && c.min(d) <= a.max(b);
        overlap(self.from.x, self.to.x, other.from.x, other.to.x)
            && overlap(self.from.y, self.to.y, other.from.y, other.to.y)
    }

    fn shares_an_end_with(&self, other: &Self) -> bool {
        [other.from, other.to].iter().any(|&p| p == self.from || p == self.to)
    }

    /// Two segments of one straight line: points in order along it compare as points do.
    fn meeting_in_line(&self, other: &Self) -> Meeting {
        let (low, high) = self.ends_in_order();
        let (other_low, other_high) = other.ends_in_order();
        let (start, end) = (low.max(other_low), high.min(other_high));
        match start.cmp(&end) {
            std::cmp::Ordering::Less => Meeting::Touching,
            std::cmp::Ordering::Equal => Meeting::Joined,
            std::cmp::Ordering::Greater => Meeting::Apart,
        }
    }

    /// Both ends, the western (or else southern) first.
    pub(crate) fn ends_in_order(&self) -> (Point, Point) {
        (self.from.min(self.to), self.from.max(self.to))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn segment(from: (i64, i64), to: (i64, i64)) -> Segment {
        let point = |(x, y)| Point { x, y };
        Segment { from: point(from), to: point(to), source: 0 }
    }

    #[test]
    fn meetings_are_told_apart() {
        let base = segment((0, 0), (10, 0));
        let cases = [
            (segment((0, 1), (10, 1)), Meeting::Apart),
            (segment((11, 0), (20, 0)), Meeting::Apart),
            (segment((10, 0), (20, 5)), Meeting::Joined),
            (segment((10, 0), (20, 0)), Meeting::Joined),
            (segment((5, -1), (5, 1)), Meeting::Crossing),
            (segment((5, 0), (5, 1)), Meeting::Touching),
            (segment((5, 0), (20, 0)), Meeting::Touching),
            (segment((10, 0), (0, 0)), Meeting::Touching),
        ];
        for (other, expected) in cases {
            assert_eq!(base.meeting(&other), expected, "{other:?}");
            assert_eq!(other.meeting(&base), expected, "{other:?}");
        }
    }

    #[test]
    fn a_crossing_is_rounded_to_the_nearest_node_and_halves_go_up() {
        let crossing = |a: Segment, b: Segment| {
            let p = a.rounded_crossing(&b);
            assert_eq!(p, b.rounded_crossing(&a));
            (p.x, p.y)
        };
        assert_eq!(crossing(segment((0, 0), (1, 1)), segment((1, 0), (0, 1))), (1, 1));
        assert_eq!(crossing(segment((0, 0), (-1, -1)), segment((-1, 0), (0, -1))), (0, 0));
        // y = 2x/3 and y = 5 - x meet at (3, 2)
        assert_eq!(crossing(segment((0, 0), (9, 6)), segment((0, 5), (5, 0))), (3, 2));
        let far = 1 << 29;
        assert_eq!(
            crossing(segment((-far, -far), (far, far)), segment((-far, far), (far, -far))),
            (0, 0)
        );
    }

    #[test]
    fn a_pixel_owns_its_western_and_southern_sides() {
        let origin = Point { x: 0, y: 0 };
        assert!(segment((-5, 0), (5, 0)).enters_pixel(origin));
        assert!(!segment((-5, 1), (5, 1)).enters_pixel(origin));
        // through the south-western corner (-1/2, -1/2), and through the north-eastern one
        assert!(segment((-1, 0), (0, -1)).enters_pixel(origin));
        assert!(!segment((1, 0), (0, 1)).enters_pixel(origin));
        // through the north-western and the south-eastern corner only
        assert!(!segment((-1, 0), (0, 1)).enters_pixel(origin));
        assert!(!segment((0, -1), (1, 0)).enters_pixel(origin));
    }
}
