//! The precision grid: every coordinate is a whole number of millimetres.

/// Grid steps in a metre: the grid is 1 mm, finer than any survey of rural land.
const STEPS_PER_METRE: f64 = 1000.0;

/// How far from the origin a point may lie, in steps (537 km), so that a cross product of
/// differences stays below 2⁶¹ and a squared one below 2¹²².
const REACH: i64 = 1 << 29;

/// A node of the precision grid, in steps east and north of the origin.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub(crate) struct Point {
    pub(crate) x: i64,
    pub(crate) y: i64,
}

impl Point {
    /// The square of the distance to another point, in steps².
    pub(crate) fn distance_squared(self, other: Self) -> i64 {
        (self.x - other.x).pow(2) + (self.y - other.y).pow(2)
    }

    /// The distance to another point, in steps.
    pub(crate) fn distance(self, other: Self) -> f64 {
        (self.distance_squared(other) as f64).sqrt()
    }
}

/// Twice the signed area of the triangle `a b c`: positive when it turns left, zero when straight.
pub(crate) fn turn(a: Point, b: Point, c: Point) -> i64 {
    (b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x)
}

/// Between metres and steps, around an origin that is itself a whole number of steps.
///
/// A coordinate that was written with three decimals comes back as the same floating-point number.
#[derive(Clone, Copy, Debug)]
pub(crate) struct PrecisionGrid {
    origin: Point,
}

impl PrecisionGrid {
    /// The grid around a point in metres; `None` if the point is beyond 10⁹ m or not a number.
    pub(crate) fn around([x, y]: [f64; 2]) -> Option<Self> {
        let near = |v: f64| (v.abs() <= 1e9).then(|| (v * STEPS_PER_METRE).round() as i64);
        Some(Self { origin: Point { x: near(x)?, y: near(y)? } })
    }

    /// The grid node nearest to a position in metres; `None` if that is out of reach or not a number.
    pub(crate) fn snap(&self, [x, y]: [f64; 2]) -> Option<Point> {
        let near = |v: f64, origin: i64| {
            let steps = (v * STEPS_PER_METRE).round() - origin as f64;
            (steps.abs() <= REACH as f64).then_some(steps as i64)
        };
        Some(Point { x: near(x, self.origin.x)?, y: near(y, self.origin.y)? })
    }

    /// The position of a grid node, in metres.
    pub(crate) fn metres(&self, p: Point) -> [f64; 2] {
        let at = |v: i64| v as f64 / STEPS_PER_METRE;
        [at(self.origin.x + p.x), at(self.origin.y + p.y)]
    }
}

/// A length in metres as steps.
pub(crate) fn steps(metres: f64) -> f64 {
    metres * STEPS_PER_METRE
}

/// A length in steps as metres.
pub(crate) fn length_m(steps: f64) -> f64 {
    steps / STEPS_PER_METRE
}

/// An area in square metres as twice as many steps², the measure that polygons add up in.
pub(crate) fn doubled_steps_squared(area_m2: f64) -> i128 {
    (area_m2 * STEPS_PER_METRE * STEPS_PER_METRE * 2.0) as i128
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn a_coordinate_of_three_decimals_comes_back_unchanged(
            east in 1_000_000_000_i64..2_100_000_000,
            north in 4_700_000_000_i64..6_200_000_000,
        ) {
            let written = [east as f64 / 1000.0, north as f64 / 1000.0];
            let near = [written[0] - 1234.5678, written[1] + 8765.4321];
            let grid = PrecisionGrid::around(near).unwrap();
            let back = grid.metres(grid.snap(written).unwrap());
            prop_assert_eq!(back.map(f64::to_bits), written.map(f64::to_bits));
        }
    }

    #[test]
    fn what_is_out_of_reach_or_no_number_is_refused() {
        let grid = PrecisionGrid::around([1.8e6, 5.6e6]).unwrap();
        assert_eq!(grid.snap([1.8e6 + 600_000.0, 5.6e6]), None);
        assert_eq!(grid.snap([f64::NAN, 5.6e6]), None);
        assert_eq!(grid.snap([1.8e6, f64::INFINITY]), None);
        assert!(PrecisionGrid::around([f64::NAN, 0.0]).is_none());
    }
}
